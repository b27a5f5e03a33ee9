"""Warnings of a booking that cannot be had: every cure that is named is reckoned here again."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from fieldplan.facts import Fact
from fieldplan.model.cost import TractorCheck
from fieldplan.model.job import BookingTerms
from fieldplan.model.notes import Note
from fieldplan.model.work import JobTime, TimePart
from fieldplan.units import HOUR_S
from fieldplan.work.booking import booking_for, prob_within, with_latest_start
from fieldplan.work.findings import BOOKING_CODES, LONGER_DAYS_S, Work, booking_findings, tractor_findings

TODAY, HERE = date(2027, 4, 1), (-95.0, 44.0)
TERMS = BookingTerms(day_s=8 * HOUR_S, fieldwork_day_prob=0.5, confidence_prob=0.8, start=date(2027, 5, 10))


def _work(*fields_h: float) -> Work:
    """The fields, and two hours around them."""
    parts = (
        TimePart(key="set_up", spent_s=2 * HOUR_S),
        TimePart(key="field", spent_s=sum(fields_h) * HOUR_S),
    )
    return Work(
        fields_s=[one * HOUR_S for one in fields_h],
        time=JobTime(parts=parts),
        place_lonlat=HERE,
        today=TODAY,
    )


def _found(work: Work, **changes: Any) -> list[Note]:
    terms = replace(TERMS, **changes)
    booking = with_latest_start(booking_for(work.time.job_s, terms, HERE), work.time.job_s, terms, HERE)
    return list(booking_findings(booking, terms, work))


def _cures(note: Note) -> dict[str, Fact]:
    told = note.values["cure"]
    assert isinstance(told, Fact)
    return {one.code: one for one in told.values.get("cures", ())}  # type: ignore[union-attr, misc]


def test_nothing_is_said_of_a_booking_that_can_be_had() -> None:
    """20 hours of work and no end asked for."""
    assert _found(_work(18.0)) == []


def test_every_code_is_one_of_those_that_are_replaced_when_a_booking_is_made_anew() -> None:
    """Crews and progress take these notes away and make their own."""
    found = [*_found(_work()), *_found(_work(4000.0)), *_found(_work(60.0), finish_by=date(2027, 5, 12))]
    assert {note.code for note in found} == set(BOOKING_CODES)
    assert all(note.warning for note in found)


def test_each_cure_of_an_end_that_is_missed_was_reckoned() -> None:
    """62 hours by 26 May: the shortest longer day, the fewest drills, the highest odds and the last start
    that do, and none that is less.
    """
    work, end = _work(20.0, 20.0, 20.0), date(2027, 5, 26)
    (note,) = _found(work, finish_by=end)
    cures = {code: cure.values for code, cure in _cures(note).items()}
    assert {code.removeprefix("cure-") for code in cures} == {
        "earlier-start",
        "longer-days",
        "more-drills",
        "later-end",
        "lower-odds",
    }

    def odds(job_s: float = work.time.job_s, **changes: Any) -> float:
        terms = replace(TERMS, **changes)
        return prob_within(job_s, terms, HERE, (end - (terms.start or end)).days + 1)

    day_s = cures["cure-longer-days"]["day_s"]
    assert odds(day_s=day_s) >= 0.8 > odds(day_s=LONGER_DAYS_S[LONGER_DAYS_S.index(day_s) - 1])  # type: ignore[arg-type]
    assert cures["cure-more-drills"]["n_drills"] == 2
    assert odds(work.shared_s(2)) >= 0.8 > odds(work.shared_s(1))
    start = cures["cure-earlier-start"]["start"]
    assert isinstance(start, date)
    assert odds(start=start) >= 0.8 > odds(start=start + timedelta(days=1))
    assert cures["cure-later-end"]["finish"] == booking_for(work.time.job_s, TERMS, HERE).finish
    assert cures["cure-lower-odds"]["asked_prob"] == math.floor(odds() * 100) / 100
    assert note.values["by_then_prob"] == odds()


def test_fewer_fields_are_named_only_where_nothing_else_helps() -> None:
    """Ten fields of 100 h, one day in twenty fit: five drills of 202 h are not enough, one field of 102 h
    is, and two are not.
    """
    (note,) = _found(_work(*[100.0] * 10), fieldwork_day_prob=0.05, start=None)
    (cure,) = _cures(note).values()
    terms = replace(TERMS, fieldwork_day_prob=0.05, start=None)
    assert (cure.code, cure.values["n_fields"]) == ("cure-fewer-fields", 1)
    assert cure.values["n_days"] == booking_for(102 * HOUR_S, terms, HERE).suggested_days
    assert booking_for(202 * HOUR_S, terms, HERE).suggested_days is None


def test_where_nothing_helps_that_is_said() -> None:
    """A field of 400 h alone is too long."""
    (note,) = _found(_work(*[400.0] * 10), fieldwork_day_prob=0.05, start=None)
    assert note.text.endswith(
        "4,002.0 h of work need 501 fieldwork days, and 366 days do not have that many. No single change helps: tried were "
        "longer working days, up to 5 drills side by side, fewer fields and lower odds."
    )


def test_work_is_shared_out_by_fields_and_not_by_hours() -> None:
    """20, 10 and 9 h and two around them: two drills take 22 h, since a field is one drill's."""
    assert _work(20.0, 10.0, 9.0).shared_s(2) == pytest.approx(22 * HOUR_S)


def test_only_what_fails_is_a_warning_and_it_carries_its_sources() -> None:
    """One note a failing check, with the check's own words in it."""
    checks = [
        TractorCheck(about=about, verdict=verdict, text=Fact("remotes-needed/none"), sources=("practice",))  # type: ignore[arg-type]
        for about, verdict in (("power", "warn"), ("hitch", "fail"), ("gate", "ask"), ("slope", "pass"))
    ]
    (note,) = tractor_findings(checks)
    assert (note.code, note.warning, note.sources) == ("tractor-fails", True, ("practice",))
    assert note.text == "The tractor fails the check of hitch: the drill needs none."


def test_each_cure_of_a_booking_that_cannot_be_had_was_reckoned() -> None:
    """Three fields of 300 h on one day in four: the shortest day that does, the fewest drills, each with
    its days to book.
    """
    terms = replace(TERMS, fieldwork_day_prob=0.25, start=None)
    work = _work(300.0, 300.0, 300.0)
    (note,) = _found(work, fieldwork_day_prob=0.25, start=None)
    cures = {code: cure.values for code, cure in _cures(note).items()}

    def days(job_s: float = work.time.job_s, **changes: Any) -> int | None:
        return booking_for(job_s, replace(terms, **changes), HERE).suggested_days

    day_s, drills = cures["cure-longer-days"]["day_s"], cures["cure-more-drills"]["n_drills"]
    assert cures["cure-longer-days"]["n_days"] == days(day_s=day_s)
    assert days(day_s=LONGER_DAYS_S[LONGER_DAYS_S.index(day_s) - 1]) is None  # type: ignore[arg-type]
    assert cures["cure-more-drills"]["n_days"] == days(work.shared_s(drills))  # type: ignore[arg-type]
    assert days(work.shared_s(drills - 1)) is None  # type: ignore[operator]
    assert (note.values["job_s"], note.values["n_fit_days"]) == (902 * HOUR_S, 113)


def test_lower_odds_are_named_in_whole_percent_and_hold() -> None:
    """The odds of a year of days, rounded down; none under a half."""
    terms = replace(TERMS, fieldwork_day_prob=0.5, confidence_prob=0.99, start=None)
    work = _work(1400.0)
    (note,) = _found(work, confidence_prob=0.99, start=None)
    cure = _cures(note)["cure-lower-odds"].values
    best = prob_within(work.time.job_s, terms, HERE, 366)
    assert cure["asked_prob"] == math.floor(best * 100) / 100
    assert (
        cure["n_days"]
        == booking_for(
            work.time.job_s, replace(terms, confidence_prob=cure["asked_prob"]), HERE
        ).suggested_days
    )  # type: ignore[arg-type]
    assert note.values["best_prob"] == best
    (unlikely,) = _found(_work(1600.0), confidence_prob=0.99, start=None)
    assert "cure-lower-odds" not in _cures(unlikely)
