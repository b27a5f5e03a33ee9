"""Small seasons: bookings of the sample district's drill, as few as a test needs."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from conftest import SAMPLES

from fieldplan.facts import fact
from fieldplan.model.booked import BookingDuration, Placement
from fieldplan.model.request import Request
from fieldplan.model.season import Proof, Season
from fieldplan.season.program import load_program

LENDING = load_program(SAMPLES / "season.toml")


def season_of(
    opens: date, closes: date, bookings: list[tuple[str, str, date, int]], drills: int = 2
) -> Season:
    """Bookings as drill, renter, first day and working days, Sundays off."""
    terms = replace(LENDING.terms, opens=opens, closes=closes)
    every = tuple(replace(LENDING.drills[0], name=f"drill {k + 1}") for k in range(drills))
    placements = []
    for drill, renter, first, n in bookings:
        days = [day for k in range(2 * n) if (day := first + timedelta(days=k)).weekday() != 6][:n]
        request = Request(
            row=2,
            request_id=renter,
            renter=renter,
            ready=opens,
            until=closes,
            asked=None,
            fields=None,
            ground_m2=1.0,
            place_lonlat=(0.0, 0.0),
            mix=None,
            pto_power_w=None,
        )
        placements.append(
            Placement(
                request=request,
                drill=drill,
                days=tuple(days),
                duration=BookingDuration(days=n),
                waiting_days=0,
                tow_m=0.0,
                collect_from="",
                reason=fact("kept-in-rain"),
            )
        )
    proof = Proof(served_proven=True, waiting_days=0, waiting_bound_days=0, tow_m=0.0, tow_bound_m=0.0)
    program = replace(LENDING, terms=terms, drills=every)
    return Season(program=program, placements=tuple(placements), refusals=(), proof=proof, notes=())
