"""Meters that turn over or are replaced while a drill is out: one entry, and what was drilled worked by hand."""

from __future__ import annotations

from datetime import date

import pytest
from unit.ledger_of_one import entries_of, request_of

from fieldplan.records.accounts import accounts_of
from fieldplan.records.board import board_of
from fieldplan.records.meters import meter_backwards, one_renter_at_a_time
from fieldplan.units import ACRE_M2

DAY = date(2027, 5, 3)


def _ledger(*lines: str) -> list[tuple[str, dict[str, str]]]:
    """Entries of R1 with the drill d, written as kind, then name=value with bars between them."""
    typed = []
    for line in lines:
        kind, _, words = line.partition(" ")
        facts = dict(word.split("=", 1) for word in words.split("|"))
        who = {} if kind in ("meter", "down", "repair") else {"request": "R1"}
        typed.append((kind, {**who, "drill": "d", "day": str(DAY), **facts}))
    return typed


def _drilled_ac(*lines: str) -> float:
    (account,) = accounts_of(entries_of(_ledger(*lines)), [request_of(DAY, {})])
    return account.drilled_m2 / ACRE_M2


def test_a_meter_that_turns_over_counts_on() -> None:
    """Out at 9,991.5, over at 10,000, in at 12.0: 8.5 + 12.0 = 20.5 ac."""
    assert _drilled_ac("out meter=9991.5 ac", "in meter=12.0 ac|turns_at=10000 ac") == pytest.approx(20.5)


def test_a_meter_replaced_in_the_field_is_told_at_the_return() -> None:
    """Old one from 1,204.6 to 1,210.0 is 5.4 ac; the new one from 3.0 to 17.2 is 14.2 ac; 19.6 ac together. A new one
    begins at 0 unless it is said otherwise: 5.4 + 17.2 = 22.6 ac.
    """
    back = "in meter=17.2 ac|old_meter=1210.0 ac"
    assert _drilled_ac("out meter=1204.6 ac", back + "|new_meter=3.0 ac") == pytest.approx(19.6)
    assert _drilled_ac("out meter=1204.6 ac", back) == pytest.approx(22.6)


def test_a_meter_replaced_in_the_field_is_told_on_the_day() -> None:
    """The same by an entry of its own while the drill is out: 5.4 ac, then 17.2 − 3.0 = 14.2 ac."""
    fitted = "meter meter=3.0 ac|old_meter=1210.0 ac|why=cable torn"
    assert _drilled_ac("out meter=1204.6 ac", fitted, "in meter=17.2 ac") == pytest.approx(19.6)


def test_a_meter_may_be_replaced_and_turn_over_in_one_rental() -> None:
    """9,990.0 to 10,000 is 10.0 ac, 0 to 4.0 is 4.0 ac, then a new one from 0 to 6.5: 20.5 ac."""
    lines = (
        "out meter=9990.0 ac",
        "meter meter=4.0 ac|turns_at=10000 ac|why=read",
        "in meter=6.5 ac|old_meter=4.0 ac",
    )
    assert _drilled_ac(*lines) == pytest.approx(20.5)


@pytest.mark.parametrize(
    ("lines", "codes"),
    [
        (("out meter=9991.5 ac", "in meter=12.0 ac"), ["meter-backwards"]),
        (("out meter=9991.5 ac", "in meter=12.0 ac|turns_at=10000 ac"), []),
        (("out meter=9991.5 ac", "in meter=12.0 ac|turns_at=9000 ac"), ["meter-turns-below"]),
        (("out meter=1204.6 ac", "in meter=17.2 ac|old_meter=1204.0 ac"), ["meter-backwards"]),
        (
            ("out meter=1204.6 ac", "in meter=2.2 ac|old_meter=1210.0 ac|new_meter=3.0 ac"),
            ["meter-new-backwards"],
        ),
        (
            ("out meter=9991.5 ac", "in meter=2.2 ac|old_meter=9995.0 ac|turns_at=10000 ac"),
            ["meter-turned-and-new"],
        ),
        (("out meter=1204.6 ac", "meter meter=0 ac|why=new meter"), ["drill-out"]),
        (("out meter=1204.6 ac", "meter meter=0 ac|old_meter=1210 ac|why=new meter"), []),
    ],
)
def test_what_a_meter_cannot_do_is_refused(lines: tuple[str, ...], codes: list[str]) -> None:
    """Each reading must fit the one before, by what the entry says of the meter."""
    entries = entries_of(_ledger(*lines))
    found = [*one_renter_at_a_time(entries), *meter_backwards(entries)]
    assert [problem.code for _, problem in found] == codes


def test_ground_metered_at_home_is_told_whatever_meter_counted_it() -> None:
    """Back at 110.0; at home it counts to 112.5, then a new one is fitted at 0, and it goes out at 1.5: 4.0 ac unaccounted."""
    lines = (
        "out meter=100.0 ac",
        "in meter=110.0 ac",
        "meter meter=0 ac|old_meter=112.5 ac|why=new meter",
        "out meter=1.5 ac",
    )
    entries = entries_of(_ledger(*lines))
    accounts = accounts_of(entries, [request_of(DAY, {})])
    board = board_of(entries, accounts, {"R1": ()}, ["d"], None, DAY)
    assert board.unaccounted_m2 / ACRE_M2 == pytest.approx(4.0)
