"""Mixes that were published, designed again from what they were to be."""

from __future__ import annotations

import pytest
from mix_targets import offer, target

from fieldplan.seed.mix_design import design
from fieldplan.units import ACRE_M2, POUND_KG, SQUARE_FOOT_M2

# Minnesota Board of Water and Soil Resources, "Dry Northwest" mix, as reproduced at
# docslib.org/doc/11777459/conservation-prairie: species, PLS lb/ac, PLS/ft² as printed. Counts are whole seeds an
# ounce × 16, the form of the list that the board and the STRIPS seed tool of Iowa State University print (big
# bluestem 10,000 an ounce, sand dropseed 200,000, prairie dropseed 16,000).
DRY_NORTHWEST = (
    ("big bluestem", 10_000, 1.5, 5.51),
    ("sideoats grama", 6_000, 1.4, 3.09),
    ("blue grama", 40_000, 0.5, 7.35),
    ("kalm's brome", 8_000, 0.9, 2.64),
    ("canada wildrye", 5_200, 1.0, 1.91),
    ("slender wheatgrass", 6_900, 1.0, 2.53),
    ("junegrass", 200_000, 0.15, 11.02),
    ("little bluestem", 15_000, 2.3, 12.67),
    ("indiangrass", 12_000, 1.0, 4.41),
    ("sand dropseed", 200_000, 0.08, 5.88),
    ("prairie dropseed", 16_000, 0.25, 1.47),
)

# Colorado Division of Reclamation, Mining and Safety, permit table 14-8 (upland/lowland), document 1214831 page 53:
# species, seeds/lb as its own pounds and seeds imply, PLS lb/ac as printed.
TABLE_14_8 = (
    ("bluebunch wheatgrass", 139_000, 1.00, "grasses"),
    ("western wheatgrass", 113_000, 0.50, "grasses"),
    ("indian ricegrass", 139_000, 1.00, "grasses"),
    ("slender wheatgrass", 157_000, 0.50, "grasses"),
    ("sandberg bluegrass", 915_000, 0.20, "grasses"),
    ("squirreltail", 192_000, 0.25, "grasses"),
    ("alkali sacaton", 1_770_000, 0.15, "grasses"),
    ("cicer milkvetch", 144_000, 1.00, "legumes"),
    ("maximilian sunflower", 227_000, 0.50, "forbs"),
    ("palmer penstemon", 610_000, 0.40, "forbs"),
    ("scarlet globemallow", 494_000, 0.30, "forbs"),
)


def test_seeds_of_a_published_mix_give_its_pounds() -> None:
    """Eleven grasses of the Dry Northwest mix: from seeds/ft² to PLS lb/ac, within half the last digits printed."""
    lots = [offer(species, per_oz * 16) for species, per_oz, _, _ in DRY_NORTHWEST]
    spans = {("seeds", species): (seeds, seeds) for species, _, _, seeds in DRY_NORTHWEST}
    found = design(target(*lots, spans=spans))  # type: ignore[arg-type]
    assert len(found.shares) == len(DRY_NORTHWEST)
    for share, (species, per_oz, pounds, _) in zip(found.shares, DRY_NORTHWEST, strict=True):
        rounding_lb = 0.005 * 43_560 / (per_oz * 16)
        got_lb = share.pls_kg_per_m2 * ACRE_M2 / POUND_KG
        assert got_lb == pytest.approx(pounds, abs=rounding_lb + 1e-9), species
    assert found.seeds_per_m2 * SQUARE_FOOT_M2 == pytest.approx(
        58.48, abs=11 * 0.005
    )  # sum of the printed column


def test_shares_of_a_published_mix_give_its_pounds() -> None:
    """The same mix from shares of all seeds by count and the seeds in all alone."""
    whole = sum(seeds for _, _, _, seeds in DRY_NORTHWEST)
    lots = [offer(species, per_oz * 16) for species, per_oz, _, _ in DRY_NORTHWEST]
    spans = {
        ("share", species): (seeds / whole, seeds / whole) for species, _, _, seeds in DRY_NORTHWEST[:-1]
    }
    found = design(target(*lots, seeds=(whole, whole), spans=spans))  # type: ignore[arg-type]
    for share, (species, per_oz, pounds, _) in zip(found.shares, DRY_NORTHWEST, strict=True):
        rounding_lb = 0.006 * 43_560 / (per_oz * 16)
        assert share.pls_kg_per_m2 * ACRE_M2 / POUND_KG == pytest.approx(pounds, abs=rounding_lb), species


def test_no_published_mix_is_cheaper_than_the_design_that_asks_for_no_more() -> None:
    """Table 14-8 at invented prices: the design with its seeds in all, its shares of groups and no species at over
    twice its seeds costs no more than the table's own pounds, and meets them all.
    """
    prices = (14, 9, 18, 8, 12, 30, 11, 6, 16, 42, 55)
    lots = [
        offer(species, per_lb, price=price, group=group)
        for (species, per_lb, _, group), price in zip(TABLE_14_8, prices, strict=True)
    ]
    counts = {species: pounds * per_lb / 43_560 for species, per_lb, pounds, _ in TABLE_14_8}
    whole = sum(counts.values())
    groups: dict[str, float] = {}
    for species, _, _, group in TABLE_14_8:
        groups[group] = groups.get(group, 0.0) + counts[species]
    published_cost = sum(
        pounds * price for (_, _, pounds, _), price in zip(TABLE_14_8, prices, strict=True)
    )
    spans = {("share", group): (seeds / whole, seeds / whole) for group, seeds in list(groups.items())[:-1]}
    limits = {("seeds", species): (0.5 * seeds, 2 * seeds) for species, seeds in counts.items()}
    found = design(target(*lots, seeds=(whole, None), spans={**spans, **limits}))  # type: ignore[arg-type]
    assert found.cost_per_m2 is not None
    cost = found.cost_per_m2 * ACRE_M2
    assert cost < published_cost
    assert len(found.shares) == len(TABLE_14_8)
    pinned = {("seeds", species): (seeds, seeds) for species, seeds in counts.items()}
    same = design(target(*lots, spans=pinned))  # type: ignore[arg-type]
    assert (same.cost_per_m2 or 0) * ACRE_M2 == pytest.approx(published_cost)
