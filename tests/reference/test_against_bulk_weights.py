"""Weight by volume and the carrier that lifts a box into its metering range."""

from __future__ import annotations

import pytest

from fieldplan.model.machine import Drill, SeedBox
from fieldplan.model.seed import Carrier, Component, Mix, Rate
from fieldplan.seed.budget import seed_budget
from fieldplan.typed_quantity import parse_quantity
from fieldplan.units import ACRE_M2, BUSHEL_M3, CUBIC_FOOT_M3, POUND_KG

LB_PER_AC = POUND_KG / ACRE_M2
BU_PER_AC = BUSHEL_M3 / ACRE_M2


@pytest.mark.parametrize(
    ("lb_per_bu", "lb_per_ft3", "kg_per_m3"),
    [
        (60, 48.21, 772.3),
        (56, 45.00, 720.8),
        (48, 38.57, 617.8),
        (32, 25.71, 411.9),
        (14, 11.25, 180.2),
        (9, 7.23, 115.8),
    ],
)
def test_bushel_weights(lb_per_bu: float, lb_per_ft3: float, kg_per_m3: float) -> None:
    """The US bushel of 2150.42 in³ (NIST Handbook 133, appendix E); 1 lb/bu = 12.87186 kg/m³."""
    got = parse_quantity(f"{lb_per_bu} lb/bu", "density")
    assert got == pytest.approx(kg_per_m3, abs=0.05)
    assert got * CUBIC_FOOT_M3 / POUND_KG == pytest.approx(lb_per_ft3, abs=0.005)
    assert pytest.approx(35.23907016688) == BUSHEL_M3 * 1000
    assert got / lb_per_bu == pytest.approx(12.87186, abs=0.000005)


def test_carrier_up_to_two_bushels_an_acre() -> None:
    """Derived example (no published one was found): 6.0 lb/ac of live seed at 60 % are 10.0 lb/ac of bulk,
    at 8 lb/bu 1.25 bu/ac; 0.75 bu of hulls at 9 lb/bu, 6.75 lb/ac, make 2.0 bu/ac; the drill delivers 16.75
    lb/ac, 35.8 % of it live seed.
    """
    hulls = Carrier(
        name="rice hulls", bulk_kg_per_m3=9 * POUND_KG / BUSHEL_M3, volume_m3_per_m2=2.0 * BU_PER_AC
    )
    lot = Component(
        species="x",
        box="native",
        rate=Rate(value=6.0 * LB_PER_AC, basis="pls"),
        purity_frac=0.8,
        germination_frac=0.75,
        hard_frac=0,
        dormant_frac=0,
        bulk_kg_per_m3=8 * POUND_KG / BUSHEL_M3,
        bag_kg=10,
        carrier=hulls,
    )
    drill = Drill(
        name="d",
        rows=16,
        row_spacing_m=0.19,
        turning_radius_m=6,
        follows_bend_deg=30,
        notch_depth_m=0.006,
        boxes=(SeedBox(name="native", kind="native", volume_m3=0.5, usable_frac=0.5, min_frac=0.1),),
    )
    (box,) = seed_budget("f", Mix(name="m", components=(lot,), overage_frac=0), drill, ACRE_M2, 1).boxes
    assert box.bulk_kg_per_m2 / LB_PER_AC == pytest.approx(10.0)
    assert box.carrier_kg_per_m2 / LB_PER_AC == pytest.approx(6.75)
    assert box.volume_m3_per_m2 / BU_PER_AC == pytest.approx(2.0)
    assert box.load_kg_per_m2 / LB_PER_AC == pytest.approx(16.75)
    assert box.sown_pls_kg / (box.sown_bulk_kg + box.carrier_kg) * 100 == pytest.approx(35.8, abs=0.05)
