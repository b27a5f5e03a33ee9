"""A booking that clerk and renter agreed on by themselves, such as an offer: its days, counted like any other's."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fieldplan.errors import InputError
from fieldplan.model.booked import Booked
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.request import Request
from fieldplan.model.standing import Standing
from fieldplan.season.durations import boundary_of, duration_of
from fieldplan.season.odds import odds_within, promised
from fieldplan.season.roads import farthest_of
from fieldplan.season.windows import working_days


def agreed_booking(
    program: RentalProgram,
    requests: Sequence[Request],
    standing: Standing,
    name: str,
    drill_name: str,
    first: date,
) -> Booked | None:
    """The booking of a request with a drill from a first day on; ``None`` if request or drill are not known.

    Raises
    ------
    InputError
        If the drill cannot do it, or the season has too few days left.
    """
    i = next((i for i, request in enumerate(requests) if request.request_id == name), None)
    drill = next((drill for drill in program.drills if drill.name == drill_name), None)
    if i is None or drill is None:
        return None
    farthest_m = farthest_of(requests, program.drills, program.distances)[i][drill_name]
    duration = duration_of(requests[i], boundary_of(requests[i]), drill, program, farthest_m)
    if duration.cannot is not None:
        raise InputError.of("agreed-cannot", request=name, drill=drill_name, why=duration.cannot)
    lost = standing.lost_on(drill_name)
    days = [day for day in working_days(drill, program) if day >= first and day not in lost]
    if len(days) < duration.days:
        raise InputError.of(
            "agreed-few-days", request=name, drill=drill_name, n_days=duration.days, n_left=len(days)
        )
    booked = tuple(days[: duration.days])
    odds_prob = odds_within(duration.job_s, booked, drill, program)
    return Booked(
        drill=drill_name,
        days=booked,
        confirmed=True,
        farthest_m=farthest_m,
        promise=promised(duration.job_s, duration.field_s, odds_prob, drill, program),
    )
