"""Laws of rain: a booking that is still to come holds the days that it was made for, whatever is lost or
behind.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import pytest
from conftest import SAMPLES
from hypothesis import given, settings
from hypothesis import strategies as st

pytest.importorskip("ortools")

from fieldplan.facts import fact
from fieldplan.model.booked import Booked
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.replanned import SoFar
from fieldplan.model.request import Request
from fieldplan.model.season import Season
from fieldplan.season.after_rain import season_after
from fieldplan.season.plan import plan_season
from fieldplan.season.program import load_program
from fieldplan.season.rain import replan
from fieldplan.units import ACRE_M2

OPENS = date(2027, 5, 3)
_BOTH = load_program(SAMPLES / "season.toml")
_FIRST = replace(_BOTH.drills[0], weekdays_off=frozenset({6}))
_FACTS = {"county": "", "practice": "", "asked": ""}


@cache
def _lending(share_days: bool) -> RentalProgram:
    """Two drills of a kind in one place in May; one where days may be shared."""
    terms = replace(_BOTH.terms, opens=OPENS, closes=date(2027, 6, 5), share_days=share_days)
    both = (replace(_FIRST, name="one"), replace(_FIRST, name="two"))
    return replace(_BOTH, terms=terms, drills=both[:1] if share_days else both)


def _request(k: int, name: str, acres: float, north_deg: float, ready: date) -> Request:
    return Request(
        row=k + 2,
        request_id=name,
        renter=name,
        ready=ready,
        until=date(2027, 6, 5),
        asked=None,
        fields=None,
        ground_m2=acres * ACRE_M2,
        place_lonlat=(-95.75, 44.25 + north_deg),
        mix="oats and alfalfa",
        pto_power_w=None,
        facts=_FACTS,
    )


@cache
def _requests(share_days: bool) -> tuple[Request, ...]:
    """The first lies 40 miles off, or 8 where short jobs are to fit in a day: the days of all others hold
    the road from there.
    """
    rows = [
        ("far", 3, 0.12 if share_days else 0.6, 0),
        ("b", 1, 0.02, 6),
        ("c", 1.5, 0.03, 6),
        ("d", 11, 0.01, 11),
    ]
    rows += [] if share_days else [("a", 14, 0.0, 3)]
    return tuple(
        _request(k, name, acres, north, OPENS + timedelta(days=after))
        for k, (name, acres, north, after) in enumerate(rows)
    )


@cache
def _season(share_days: bool) -> Season:
    return plan_season(_lending(share_days), _requests(share_days))


def _booked(season: Season) -> dict[str, Booked]:
    return {
        placement.request.request_id: Booked(
            drill=placement.drill,
            days=placement.days,
            shares_with=placement.shares_with,
            position=placement.shared_booking.index(placement.request.request_id),
            farthest_m=placement.farthest_m,
        )
        for placement in season.placements
    }


@pytest.mark.parametrize("share_days", [False, True])
def test_where_nothing_is_lost_the_season_is_the_same(share_days: bool) -> None:
    """Every booking with its drill, days, hours, company, road and odds, though a request from farther off
    has come into the list.
    """
    program, season = _lending(share_days), _season(share_days)
    asked = (*_requests(share_days), _request(9, "new", 20, -0.9, OPENS))
    so_far = SoFar(today=OPENS, lost=frozenset(), done_frac={})
    was = _booked(season)
    found = replan(program, asked, was, so_far)
    assert not [change for change in found.changes if change.must_be_notified]
    after = season_after(program, asked, was, found, so_far)
    assert [replace(placement, reason=fact("kept-in-rain")) for placement in after.placements] == [
        replace(placement, reason=fact("kept-in-rain")) for placement in season.placements
    ]
    assert any(placement.shares_with for placement in season.placements) == share_days


@pytest.mark.parametrize("share_days", [False, True])
@settings(max_examples=6, deadline=None, derandomize=True)
@given(today=st.integers(0, 20), lost=st.sets(st.integers(0, 33), max_size=4))
def test_what_is_still_to_come_holds_the_odds_it_was_promised(
    share_days: bool, today: int, lost: set[int]
) -> None:
    """Wherever it is moved to, one that has not begun has as many days as it was booked for, and the odds;
    what has not the odds is named.
    """
    program, was = _lending(share_days), _booked(_season(share_days))
    first = OPENS + timedelta(days=today)
    done = {name: 1.0 for name, one in was.items() if one.days[0] < first}
    found = replan(
        program,
        _requests(share_days),
        was,
        SoFar(today=first, lost=frozenset(OPENS + timedelta(days=k) for k in lost), done_frac=done),
    )
    assert not found.unlikely
    for change in found.changes:
        assert change.now is not None
        assert change.odds_prob is not None
        assert change.odds_prob >= program.terms.confidence_prob
        if change.now.shares_with == change.was.shares_with:
            assert len(change.now.days) == len(change.was.days)
