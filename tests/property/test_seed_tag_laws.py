"""Laws of seed tags: the last day of sale, names of species, live seed by any test, depth of a box."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from conftest import SAMPLES
from hypothesis import given
from hypothesis import strategies as st

from fieldplan.jobfile.load import load_job
from fieldplan.model.seed import Component, Mix, Rate
from fieldplan.model.seed_law import age_months, sold_through
from fieldplan.seed.depth import box_depths
from fieldplan.seed.known import species_facts
from fieldplan.tables import read as tables
from fieldplan.tables.names import misspelled, species_kind, species_names
from fieldplan.tables.species import species_figure

DAYS = st.dates(date(2000, 1, 1), date(2090, 12, 31))
KINDS = sorted({row["species"] for row in tables.rows("species_names")})
DRILL = load_job(SAMPLES / "farm.toml").drill
LOT = Component(
    species="wheat",
    box="grain",
    rate=Rate(value=0.01, basis="bulk"),
    purity_frac=1.0,
    germination_frac=0.9,
    hard_frac=0.0,
    dormant_frac=0.0,
    bulk_kg_per_m3=400,
    bag_kg=25,
)


@given(tested=DAYS, months=st.integers(0, 60), later=st.integers(0, 40))
def test_seed_is_too_old_from_the_day_after_the_last_day_of_sale(
    tested: date, months: int, later: int
) -> None:
    """On that day it is just as many months old as it may be, the day after it is older."""
    last = sold_through(tested, months)
    assert age_months(tested, last) == months
    assert age_months(tested, last + timedelta(days=1)) == months + 1
    assert sold_through(tested, months + later) >= last
    # a tag shows no day: that of the test makes no difference
    assert sold_through(tested.replace(day=1), months) == last


@given(kind=st.sampled_from(KINDS), data=st.data())
def test_a_letter_that_is_missing_finds_the_kind_or_asks(kind: str, data: st.DataObject) -> None:
    """A name without one of its letters is still the kind, or one is suggested; another is never taken for
    it without a word.
    """
    if "(" in kind or "/" in kind or len(kind) < 9:
        return
    place = data.draw(st.integers(1, len(kind) - 2))
    typed = kind[:place] + kind[place + 1 :]
    if species_kind(typed).casefold() in species_names():
        return  # "orchard grass" and the like are names of it
    near, _ = misspelled(typed)
    assert near, typed
    assert species_facts(typed).kind in ("", near)


@given(kind=st.sampled_from(KINDS))
def test_ranges_hold_every_figure_that_may_be_used(kind: str) -> None:
    """The figure used lies within; every fit figure lies within, and none that is unfit widens it."""
    figure = species_figure(kind, "seeds per pound")
    rows = [
        row
        for row in tables.rows("species")
        if (row["species"], row["quantity"]) == (kind, "seeds per pound")
    ]
    if figure is None:
        assert not rows
        return
    fit = [row for row in rows if not row["unfit"]]
    counted = fit if not figure.unfit else rows
    assert figure.low == min(float(row["low"]) for row in counted)
    assert figure.high == max(float(row["high"]) for row in counted)
    assert figure.low <= figure.value <= figure.high
    assert 1 <= figure.witnesses <= len(figure.sources)


@given(kinds=st.lists(st.sampled_from(KINDS), min_size=1, max_size=5, unique=True))
def test_a_box_is_never_deeper_than_any_of_its_species_allows(kinds: list[str]) -> None:
    """And whatever has no depth is asked for, but for seed that belongs on the surface."""
    lots = tuple(replace(LOT, species=kind, lot=str(n)) for n, kind in enumerate(kinds))
    (box,) = box_depths(Mix(name="m", components=lots, overage_frac=0.0), DRILL)
    depths = {kind: figure for kind in kinds if (figure := species_figure(kind, "depth"))}
    for figure in depths.values():
        assert box.depth_m is None or box.depth_m <= figure.high + 1e-12
    surface = {
        kind
        for kind in kinds
        if any(
            (row["species"], row["quantity"], row["low"]) == (kind, "placement", "surface")
            for row in tables.rows("species")
        )
    }
    assert set(box.asked) == set(kinds) - set(depths) - surface
    if box.finest in box.asked:
        assert box.depth_m is None


@given(
    germination=st.floats(0, 0.6), hard=st.floats(0, 0.2), more=st.floats(0, 0.2), purity=st.floats(0.1, 1)
)
def test_live_seed_is_the_same_by_either_test(
    germination: float, hard: float, more: float, purity: float
) -> None:
    """What tetrazolium finds in all is germination, hard and dormant seed together."""
    viable = germination + hard + more
    if viable < 0.05:
        return
    by_parts = replace(
        LOT, purity_frac=purity, germination_frac=germination, hard_frac=hard, dormant_frac=more
    )
    by_tz = replace(
        LOT,
        purity_frac=purity,
        germination_frac=viable,
        tz_frac=viable,
        unsaid=frozenset({"germination"}),
    )
    assert by_tz.pls_frac == pytest.approx(by_parts.pls_frac)
    assert (by_parts.viability, by_tz.viability) == ("germination", "TZ")
