"""Days and bags that are doubted: the bounds stand in the table of what is plausible."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from fieldplan.facts import Fact
from fieldplan.model.budget import OrderLine
from fieldplan.model.job import BookingTerms, Job
from fieldplan.model.notes import Note
from fieldplan.model.seed import Component, Price
from fieldplan.units import ACRE_M2, POUND_KG
from fieldplan.work.warnings import day_warnings, order_warnings

TODAY = date(2027, 4, 1)


def _days(**booking: Any) -> list[tuple[str, str]]:
    terms = BookingTerms(day_s=28_800.0, fieldwork_day_prob=0.5, confidence_prob=0.8, **booking)
    return [(note.case, note.text) for note in day_warnings(terms, [], TODAY)]


@pytest.mark.parametrize(("away", "doubted"), [(-14, False), (-15, True), (550, False), (551, True)])
def test_a_start_is_doubted_from_two_weeks_past_and_from_a_year_and_a_half_ahead(
    away: int, doubted: bool
) -> None:
    """The band is −14 to 550 days."""
    assert bool(_days(start=TODAY + timedelta(days=away))) == doubted
    assert not _days(start=TODAY + timedelta(days=away), meant=frozenset({"start"}))


def test_how_far_a_day_lies_is_told_in_days_or_years() -> None:
    """20 days before; 2,152 days = 5.9 years before."""
    ((case, near),) = _days(start=TODAY - timedelta(days=20))
    ((_, far),) = _days(start=date(2021, 5, 10))
    assert case == "start"
    assert near.startswith(
        "booking: start = 2027-03-12 is 20 days before the day of planning, 2027-04-01. If that is right"
    )
    assert "start = 2021-05-10 is 5.9 years before" in far


def test_days_off_in_another_year_are_named_and_counted() -> None:
    """The first three of four; one is in the singular."""
    start = date(2027, 5, 10)
    off = [date(2026, 5, day) for day in (11, 12, 13, 14)]
    ((_, many),) = _days(start=start, dates_off=frozenset([*off, date(2027, 5, 12)]))
    ((_, one),) = _days(start=start, dates_off=frozenset(off[:1]))
    assert "days_off has 2026-05-11, 2026-05-12, 2026-05-13, not within" in many
    assert "days_off has 2026-05-11, not within a year from start = 2027-05-10" in one


def test_an_old_seed_test_is_told_with_its_mix(job: Job) -> None:
    """1,101 days is over the three years of the band; on 1,100 nothing is said."""
    (mix,) = job.mixes
    for days, n in ((1100, 0), (1101, 1)):
        lot = replace(mix.components[0], tested=TODAY - timedelta(days=days))
        found = day_warnings(job.booking, [replace(mix, components=(lot, *mix.components[1:]))], TODAY)
        assert len(found) == n
    assert found[0].text.startswith(
        f"mix {mix.name}, component oats: tested = 2024-03-26 is 3.0 years before"
    )


def _bags(
    job: Job, bags: int, acres: float = 10.0, price: Price | None = None, **lot: Any
) -> tuple[Note, ...]:
    """Bags of 50 lb of the sample job's oats."""
    (mix,) = job.mixes
    oats: Component = replace(mix.components[0], **lot)
    line = OrderLine(
        species="oats",
        lot=oats.lot,
        sown_kg=1.0,
        need_kg=1.0,
        residual_kg=0.0,
        bag_kg=50 * POUND_KG,
        bags=bags,
        pls_frac=0.9,
        price=price,
    )
    return order_warnings([line], [replace(mix, components=(oats,))], {("oats", oats.lot): acres * ACRE_M2})


@pytest.mark.parametrize(
    ("bags", "acres", "doubted"), [(80, 10, False), (81, 10, True), (2, 0.1, False), (3, 0.1, True)]
)
def test_over_eight_bags_an_acre_are_asked_about_but_not_one_or_two(
    job: Job, bags: int, acres: float, doubted: bool
) -> None:
    """The band is 8 bags/ac; whoever says that a figure is meant is not asked."""
    found = _bags(job, bags, acres)
    assert bool(found) == doubted
    assert not doubted or "That is many bags" in found[0].text
    assert not _bags(job, bags, acres, meant=frozenset({"bag"}))


def test_dear_seed_is_asked_about_in_dollars_only(job: Job) -> None:
    """10 bags × 50 lb on 10 acres at $31 = $1,550 an acre, over the band of $1,500; of EUR nothing is
    known.
    """
    (note,) = _bags(job, 10, price=Price(per_kg=31 / POUND_KG, currency="$"))
    assert "They cost $15,500: is the price right?" in note.text
    assert "many bags" not in note.text
    assert not _bags(job, 10, price=Price(per_kg=29.9 / POUND_KG, currency="$"))
    assert not _bags(job, 10, price=Price(per_kg=31 / POUND_KG, currency="EUR"))


def test_an_unlikely_figure_of_the_tag_is_told_in_bags(job: Job) -> None:
    """A purity of 1 % makes bags; so it is said how many, in the singular for one."""
    (note,) = _bags(job, 1, unlikely=("purity",))
    assert note.text == "The order has 1 bag of oats (QF-2214), 50.0 lb (22.7 kg) for 10.00 ac (4.05 ha)."
    assert not _bags(job, 1, unlikely=("coating",))


@pytest.mark.parametrize(("away", "told"), [(-399, "days"), (-400, "years"), (551, "years")])
def test_from_four_hundred_days_on_a_day_is_years_away(away: int, told: str) -> None:
    """Before or after the day of planning, counted without its sign."""
    terms = BookingTerms(
        day_s=28_800.0, fieldwork_day_prob=0.5, confidence_prob=0.8, start=TODAY + timedelta(days=away)
    )
    (note,) = day_warnings(terms, [], TODAY)
    fact = note.values["away"]
    assert isinstance(fact, Fact)
    assert fact.code == f"{told}-away/{'before' if away < 0 else 'after'}"
    assert fact.values[f"n_{told}"] == (abs(away) if told == "days" else pytest.approx(abs(away) / 365.25))


@pytest.mark.parametrize(("after", "doubted"), [(-1, True), (0, False), (400, False), (401, True)])
def test_days_off_are_doubted_before_the_start_and_over_400_days_after_it(
    after: int, doubted: bool
) -> None:
    """The day of the start itself may be off."""
    start = date(2027, 5, 10)
    assert bool(_days(start=start, dates_off=frozenset({start + timedelta(days=after)}))) == doubted


@pytest.mark.parametrize("key", ["start", "finish_by", "days_off"])
def test_what_is_meant_is_not_doubted(key: str) -> None:
    """Nor is anything else taken for it: the other two are still told."""
    past = TODAY - timedelta(days=100)
    given: dict[str, Any] = {
        "start": past,
        "finish_by": past,
        "dates_off": frozenset({past - timedelta(days=1)}),
    }
    cases = {"start": "start", "finish_by": "finish-by", "days_off": "days-off"}
    assert {case for case, _ in _days(**given)} == set(cases.values())
    assert {case for case, _ in _days(**given, meant=frozenset({key}))} == set(cases.values()) - {
        cases[key]
    }
