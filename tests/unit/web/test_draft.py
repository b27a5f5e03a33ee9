"""Units that were chosen before a number: they go where their table goes."""

from __future__ import annotations

from fieldplan.web.draft import Draft

FIRST, SECOND, THIRD = ((("mix", 0, "component", k), "rate") for k in range(3))
VOLUME = (("drill", "box", 1), "volume")


def test_they_move_up_when_a_table_before_theirs_is_taken_away() -> None:
    """Those of the table that goes are gone, those of other lists stay."""
    draft = Draft(units={FIRST: "a", SECOND: "b", THIRD: "c", VOLUME: "d"})
    moved = draft.with_units_moved_up(("mix", 0, "component", 1))
    assert moved.units == {FIRST: "a", SECOND: "c", VOLUME: "d"}
    assert draft.with_units_moved_up(("mix", 0)).units == {VOLUME: "d"}


def test_they_are_copied_with_their_table() -> None:
    """A copy of a mix has what was chosen in its lots."""
    draft = Draft(units={SECOND: "b"}).with_units_copied(("mix", 0), ("mix", 1))
    assert draft.units == {SECOND: "b", (("mix", 1, "component", 1), "rate"): "b"}


def test_they_go_with_their_drill_and_by_themselves() -> None:
    """Another drill has units of its own; a number takes the place of a choice."""
    draft = Draft(units={FIRST: "a", VOLUME: "d"})
    assert draft.without_units_at(("drill",)).units == {FIRST: "a"}
    assert draft.with_unit(FIRST, "").units == {VOLUME: "d"}
    assert draft.with_unit(FIRST, "e").units[FIRST] == "e"
