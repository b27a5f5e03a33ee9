"""Age of germination tests: what the law of a state lets be sold, and what a note says of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from fieldplan.model.notes import Note
from fieldplan.model.seed import Component, Mix, Rate
from fieldplan.model.seed_law import SeedLaw
from fieldplan.seed.test_age import test_age_notes as age_notes

LOT = Component(
    species="wheat",
    lot="7",
    box="grain",
    rate=Rate(value=0.01, basis="bulk"),
    purity_frac=1.0,
    germination_frac=0.9,
    hard_frac=0.0,
    dormant_frac=0.0,
    bulk_kg_per_m3=700,
    bag_kg=25,
    tested=date(2026, 5, 1),
)
ON = date(2027, 3, 10)
"""Ten months after the month of the test."""


def _notes(law: SeedLaw, *lots: Component, on: date | None = ON) -> dict[str, Note]:
    mix = Mix(name="m", components=lots or (LOT,), overage_frac=0.0)
    return {f"{note.code}/{note.case}": note for note in age_notes(mix, law, on)}


@pytest.mark.parametrize(
    ("state", "old"),
    [
        ("Iowa", True),
        ("iowa ", True),
        ("Michigan", False),
        ("Minnesota", False),
        ("Idaho", False),
        ("Utah", False),
    ],
)
def test_the_state_decides_whether_a_test_is_too_old(state: str, old: bool) -> None:
    """9 months in Iowa, 11 in Michigan, 12 in Minnesota, 15 in Idaho, 18 in Utah: a warning, with the source."""
    found = _notes(SeedLaw(state=state))
    assert ("test-old/state" in found) == old
    assert "test-old/" not in found
    if old:
        note = found["test-old/state"]
        assert note.warning
        assert note.sources == ("law-ia",)
        assert "wheat (7) 10 months, to be sold through 28 Feb 2027" in note.text
        assert "hermetically sealed 36 months" in note.text
        assert "The limit is on sale, not on sowing." in note.text


def test_without_a_state_the_limit_between_states_is_told_with_those_of_states() -> None:
    """Five months, and 9 to 18 by state; no warning, for nobody knows that it crosses a line."""
    note = _notes(SeedLaw())["test-old/"]
    assert not note.warning
    assert note.sources == ("law-us",)
    assert "limits of states are 9 to 18 months: give state in [seed_law]" in note.text


def test_seed_from_another_state_is_under_both_limits() -> None:
    """Ten months are lawful in Minnesota, and too many for seed that is shipped there."""
    found = _notes(SeedLaw(state="Minnesota", from_state="Iowa"))
    assert set(found) == {"test-old/crosses"}
    assert found["test-old/crosses"].warning
    assert _notes(SeedLaw(state="Minnesota", from_state="minnesota")) == {}


def test_a_limit_of_ones_own_comes_before_that_of_the_state() -> None:
    """With its source in words."""
    law = SeedLaw(state="Utah", max_months=9, source="Utah Code 4-16-202 (2026)")
    assert (
        "the limit that the job file sets (Utah Code 4-16-202 (2026))" in _notes(law)["test-old/limit"].text
    )
    assert _notes(replace(law, max_months=10)) == {}


@pytest.mark.parametrize(
    ("state", "said"),
    [
        ("New York", "for New York: test made for the calendar year of sale (source: law-ny)"),
        ("Kansas", "for Kansas: no number was found (source: law-none)"),
        ("Hawaii", "for Hawaii. Ask its seed control office"),
    ],
)
def test_a_state_without_a_number_is_told_and_the_federal_limit_counts(state: str, said: str) -> None:
    """What its law says instead, if that was found."""
    found = _notes(SeedLaw(state=state))
    assert said in found["test-limit-unknown/"].text
    assert "test-old/" in found


def test_of_tetrazolium_alone_its_own_date_counts() -> None:
    """A lot without a germination test is as old as its tetrazolium test."""
    by_tz = replace(
        LOT, tested=None, tz_frac=0.9, tz_tested=date(2027, 2, 1), unsaid=frozenset({"germination"})
    )
    assert _notes(SeedLaw(state="Iowa"), by_tz) == {}
    assert set(_notes(SeedLaw(state="Iowa"), replace(by_tz, tz_tested=date(2026, 5, 1)))) == {
        "test-old/state"
    }
    assert "test-unsaid/" in _notes(SeedLaw(), replace(by_tz, tz_tested=None))
    assert _notes(SeedLaw(), on=None) == {}
