"""Facts, notes and problems that stand within the sentence of another, and the sources that they bring."""

from __future__ import annotations

from datetime import date

from fieldplan.errors import problem
from fieldplan.facts import fact
from fieldplan.model.notes import Note
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.report.words.sources import sources_of
from fieldplan.units import ACRE_M2

US = Quantities("us")


def _less(acres: float, drill: str = "prairie", **more: str) -> Note:
    values = {"less_m2": acres * ACRE_M2, "ground_m2": 8 * ACRE_M2, "drill": drill, "n_days": 3}
    return Note(code="offer-less-ground", values=values, **more)


def test_notes_that_differ_in_quantities_alone_are_one_member_of_a_list() -> None:
    """Two of one drill as a range, in the place of the first; that of another drill by itself."""
    why = (_less(1), _less(2, drill="ten foot"), _less(3, field_id="north"))
    assert sentence(fact("drill-cannot-book", why=why), US) == (
        "1.0 to 3.0 ac less (8.0 ac): prairie is free for 3 working days. 2.0 ac less (8.0 ac): ten foot is free for 3 working days"
    )


def test_facts_of_a_list_are_never_thrown_together() -> None:
    """Holders of a drill with different turns are all named."""
    named = (fact("holder", renter="A", n_turn=1), fact("holder", renter="A", n_turn=2))
    assert sentence(fact("holders", named=named), US) == "A (priority 1), A (priority 2)"
    assert (
        sentence(fact("holders", named=named, n_more=3), US) == "A (priority 1), A (priority 2) and 3 more"
    )


def test_a_problem_within_a_sentence_has_no_full_stop_of_its_own() -> None:
    """Alone it has one."""
    twice = problem("drill-twice", file="season.toml", drill="prairie")
    assert twice.text == 'season.toml: two drills are named "prairie".'
    assert (
        sentence(fact("drill-cannot", drill="x", why=twice), US)
        == 'x: season.toml: two drills are named "prairie"'
    )


def test_a_note_is_said_after_what_it_is_about() -> None:
    """Notes about different things are two members of a list."""
    assert _less(1, about="ten foot (farm.toml)").text.startswith("ten foot (farm.toml): 1.0 ac")
    assert (
        sentence(fact("drill-cannot-book", why=(_less(1, about="a"), _less(2, about="b"))), US).count(
            "working days"
        )
        == 2
    )


def test_days_of_a_list_are_said_as_they_are_typed() -> None:
    """What a clerk compares with a list reads as the list does; a day that is news reads as people
    write.
    """
    assert str(fact("lost/no-days", last_typed_day=date(2027, 5, 3))).endswith("before 2027-05-03")
    moved = fact("moved-after-rain", first=date(2027, 5, 3), last=date(2027, 5, 4), drill="x")
    assert str(moved) == "moved after rain, from 03 May 2027 to 04 May 2027 with x"


def test_sources_are_found_wherever_they_stand() -> None:
    """Of a note, of a value named so, and of facts in lists within them; texts that look like keys are
    none.
    """
    old = fact(
        "test-old",
        lot="guide2007",
        tested_typed_day=date(2027, 1, 2),
        n_months=9.0,
        sources=("seed-clause",),
    )
    within = fact(
        "drill-cannot-book",
        why=(Note(code="season-roads", sources=("tow20", "assumed")), fact("holders", named=(old,))),
    )
    assert list(sources_of([within])) == ["tow20", "assumed", "seed-clause"]
