"""Bookings that stay as they are: confirmed ones, those whose drill is out or was back, and who shares their days."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import date

from fieldplan.model.booked import Booked, BookingDuration
from fieldplan.model.standing import Standing
from fieldplan.season.docket import Docket
from fieldplan.season.scheduling_problem import Run
from fieldplan.season.shared_bookings import SharedBooking, together


def held_of(standing: Standing) -> dict[str, Booked]:
    """The bookings that no plan may change, by request: those confirmed, out, back, or begun by their days.

    A shared booking is held if one of its members is.
    """
    confirmed = {name for name, booked in standing.bookings.items() if booked.confirmed}
    held = confirmed | begun_of(standing)
    sharing = {
        other
        for name in held
        for other in standing.bookings[name].shares_with
        if other in standing.bookings and standing.bookings[other].days == standing.bookings[name].days
    }
    return {name: booked for name, booked in standing.bookings.items() if name in held | sharing}


def begun_of(standing: Standing) -> set[str]:
    """Ids of the bookings that have begun: their drill is out or was, or their first day is past."""
    return {
        name
        for name, booked in standing.bookings.items()
        if name in standing.out
        or name in standing.back
        or (standing.latest is not None and booked.days[0] < standing.latest)
    }


def overdue(standing: Standing, today: date | None) -> tuple[str, ...]:
    """Ids of requests with a drill past their last day, and not known to be done: when it comes back nobody knows.

    Parameters
    ----------
    today
        The first day still to come; else the latest on which something happened.
    """
    day = today or standing.latest
    return tuple(
        name
        for name in standing.out
        if name in standing.bookings
        and day is not None
        and standing.bookings[name].days[-1] < day
        and standing.done_frac.get(name, 0.0) < 1
    )


def order_of(name: str, bookings: Mapping[str, Booked]) -> tuple[str, ...]:
    """Ids of all who share the days of a booking, in the order that they get the drill."""
    booked = bookings[name]
    sharing = [
        other
        for other in booked.shares_with
        if other in bookings
        and (bookings[other].drill, bookings[other].days) == (booked.drill, booked.days)
    ]
    return tuple(sorted((name, *sharing), key=lambda other: (bookings[other].position, other)))


def with_held_sharing(docket: Docket, held: Mapping[str, Booked]) -> Docket:
    """The docket with what held bookings take that share their days, which it would not offer by itself."""
    at = {request.request_id: i for i, request in enumerate(docket.requests)}
    drills = {drill.name: d for d, drill in enumerate(docket.program.drills)}
    shared: dict[tuple[int, tuple[int, ...]], SharedBooking] = {}
    for name in held:
        order = order_of(name, held)
        if len(order) > 1 and all(other in at for other in order):
            d, requests = drills[held[name].drill], tuple(at[other] for other in order)
            alone = {i: docket.duration(i, d) for i in requests}
            each = together(requests, alone, docket.road_m[d], docket.program.drills[d])
            durations = tuple(replace(one, days=len(held[name].days)) for one in each)
            shared[d, requests] = SharedBooking(requests=requests, durations=durations)
    return replace(docket, shared_bookings={**docket.shared_bookings, **shared})


def held_runs(docket: Docket, held: Mapping[str, Booked], costs: int) -> list[Run]:
    """The run of working days that each held booking covers, from its first day to its last.

    Days that a drill lost are no working days any more. Runs do not overlap: where bookings do, the later one keeps
    what the earlier one leaves. One that keeps no day has no run.

    Parameters
    ----------
    costs
        How many costs a run has.
    """
    at = {request.request_id: i for i, request in enumerate(docket.requests)}
    runs: list[Run] = []
    for d, drill in enumerate(docket.program.drills):
        of_drill = [name for name, booked in held.items() if booked.drill == drill.name and name in at]
        groups = dict.fromkeys(order_of(name, held) for name in of_drill)
        end = 0
        for order in sorted(groups, key=lambda order: held[order[0]].days):
            days = held[order[0]].days
            span = [k for k, day in enumerate(docket.days[d]) if days[0] <= day <= days[-1] and k >= end]
            if span:
                end = span[-1] + 1
                runs.append(
                    Run(
                        requests=tuple(at[name] for name in order),
                        drill=d,
                        first=span[0],
                        n_days=len(span),
                        costs=(0,) * costs,
                    )
                )
    return runs


def days_taken(docket: Docket, runs: Sequence[Run]) -> set[tuple[int, date]]:
    """Drills, by index, and the days that runs take of them."""
    return {(run.drill, day) for run in runs for day in docket.days_of(run)}


def usable(booked: Booked, lost: Collection[tuple[str, date]]) -> list[date]:
    """The days of a booking that its drill did not lose."""
    return [day for day in booked.days if (booked.drill, day) not in lost]


def duration_held(duration: BookingDuration, booked: Booked) -> BookingDuration:
    """What a held booking takes, in the days that it was promised."""
    return replace(duration, days=len(booked.days))
