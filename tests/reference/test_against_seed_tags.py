"""Pure live seed against printed examples; the misprints are told apart."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldplan.model.seed import Component, Rate
from fieldplan.seed.budget import bulk_kg_per_m2, pls_kg_per_m2
from fieldplan.units import ACRE_M2, POUND_KG

LB_PER_AC = POUND_KG / ACRE_M2
LOT = Component(
    species="x", box="grain", rate=Rate(value=LB_PER_AC, basis="pls"), purity_frac=1, germination_frac=1, hard_frac=0,
    dormant_frac=0, bulk_kg_per_m3=500, bag_kg=20,
)  # fmt: skip


@pytest.mark.parametrize(
    ("purity", "germination", "other_live", "printed", "source"),
    [
        (96, 91, 0, 87.36, "Society for Range Management glossary"),
        (90, 90, 0, 81, "University of Georgia, What is Pure Live Seed"),
        (98, 92, 5, 95.06, "native seed trade page, switchgrass with 5 % hard seed"),
        (95, 85, 0, 80.75, "native seed trade page, butterfly milkweed"),
        (98, 90, 0, 88.2, "seed trade question page"),
        (98.75, 88, 5, 91.84, "Iowa conservation district, Calculate seeding rates in PLS (prints 91.83; exactly 91.8375)"),
    ],
)
def test_pure_live_seed(purity: float, germination: float, other_live: float, printed: float, source: str) -> None:
    """Purity × (germination + hard + dormant)."""
    lot = replace(LOT, purity_frac=purity / 100, germination_frac=germination / 100, hard_frac=other_live / 100)
    assert lot.pls_frac * 100 == pytest.approx(printed, abs=0.005 + 1e-9), source


USGS_ROWS = {100: "1.0 1.05 1.1 1.2 1.25 1.35 1.4 1.55 1.65 1.8 2.0", 80: "1.25 1.3 1.4 1.5 1.55 1.65 1.8 1.9 2.1 2.25 2.5",
             50: "2.0 2.1 2.2 2.35 2.5 2.65 2.85 3.1 3.35 3.65 4.0"}  # fmt: skip


@pytest.mark.parametrize("purity", USGS_ROWS)
def test_bulk_pounds_for_a_pound_of_live_seed(purity: int) -> None:
    """USGS Northern Prairie, table 4, after SCS Job Sheet ND-20 (1980): printed to the nearest 0.05, not always the right one."""
    for germination, printed in zip((100, 95, 90, 85, 80, 75, 70, 65, 60, 55, 50), USGS_ROWS[purity].split(), strict=True):
        lot = replace(LOT, purity_frac=purity / 100, germination_frac=germination / 100)
        assert bulk_kg_per_m2(lot) / LB_PER_AC == pytest.approx(float(printed), abs=0.05)


@pytest.mark.parametrize(
    ("seeds_per_lb", "lb_per_ac", "seeds_per_ft2"), [(200_000, 1, 4.59), (680_000, 1, 15.61), (1_230_000, 1, 28.24)]
)
def test_live_seeds_per_square_foot(seeds_per_lb: float, lb_per_ac: float, seeds_per_ft2: float) -> None:
    """West Virginia University TRIM 5302 (1994): lb/ac × seeds/lb / 43,560, before its rounding to whole seeds."""
    rate = Rate(value=seeds_per_ft2 / 0.3048**2, basis="live seeds")
    lot = replace(LOT, rate=rate, seeds_per_kg=seeds_per_lb / POUND_KG)
    assert pls_kg_per_m2(lot) / LB_PER_AC == pytest.approx(lb_per_ac, abs=0.005 / seeds_per_ft2 + 1e-4)
