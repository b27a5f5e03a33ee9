"""The whole season after rain: finished bookings as they were, those that go on, and those that moved."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from fieldplan.facts import Fact, fact
from fieldplan.model.booked import Booked, Placement
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.replanned import Change, Replanned, SoFar
from fieldplan.model.request import Request
from fieldplan.model.season import Proof, Refusal, Season
from fieldplan.season.docket import docket_of
from fieldplan.season.durations import Progress
from fieldplan.season.rain import booked_for
from fieldplan.season.roads import roads_of
from fieldplan.season.shared_bookings import together


def season_after(
    program: RentalProgram,
    requests: Sequence[Request],
    was: Mapping[str, Booked],
    found: Replanned,
    so_far: SoFar,
    progress: Progress = iter,
) -> Season:
    """The whole season with the bookings left after rain, for its papers and for the next rain.

    Parameters
    ----------
    requests
        The whole list, served or not.
    was
        Bookings before the rain, by request.
    found
        What becomes of them (`replan`).
    progress
        Wraps the requests while their booking durations are calculated, to show progress.

    Returns
    -------
    Season
        Nothing is proven of its waiting and towing: their bounds are 0.
    """
    changes = {change.request.request_id: change for change in found.changes}
    now = {name: cut for name in found.finished if (cut := _worked(was[name], so_far)).days}
    now |= {name: _whole(change, change.now, so_far) for name, change in changes.items() if change.now}
    kept = [request for request in requests if request.request_id in now]
    farthest_m = booked_for(requests, kept, now, program)
    placements = tuple(_placements(program, kept, now, changes, farthest_m, progress))
    lost = [(change.request, change.reason) for change in found.changes if change.reason is not None]
    never = [request for request in requests if request.request_id not in was]
    return Season(
        program=program,
        placements=placements,
        refusals=(
            *(Refusal(request=request, reason=reason, changes=()) for request, reason in lost),
            *(Refusal(request=request, reason=fact("never-booked"), changes=()) for request in never),
        ),
        proof=Proof(
            served_proven=found.served_proven,
            waiting_days=sum(placement.waiting_days for placement in placements),
            waiting_bound_days=0,
            tow_m=_towed_m(program, placements),
            tow_bound_m=0.0,
        ),
        notes=program.notes,
    )


def _worked(booked: Booked, so_far: SoFar) -> Booked:
    """A finished booking with its days before today; days left over by early work are free again."""
    return replace(booked, days=tuple(day for day in booked.days if day < so_far.today))


def _whole(change: Change, now: Booked, so_far: SoFar) -> Booked:
    """A booking; if it has begun, with the days that it had before today."""
    if not change.begun:
        return now
    before = tuple(day for day in change.was.days if day < so_far.today and day not in so_far.lost)
    return replace(now, days=(*before, *now.days))


def _placements(
    program: RentalProgram,
    requests: Sequence[Request],
    now: Mapping[str, Booked],
    changes: Mapping[str, Change],
    farthest_m: Sequence[Mapping[str, float]],
    progress: Progress,
) -> Iterator[Placement]:
    """Bookings drill by drill, in the order of days; those on the same days in the order they get the drill."""
    docket = docket_of(program, requests, progress, farthest_m=farthest_m, begun=range(len(requests)))
    at = {request.request_id: i for i, request in enumerate(requests)}
    for d, drill in enumerate(program.drills):
        before = len(requests)
        alone = {i: docket.duration(i, d) for i in range(len(requests))}
        for i in sorted(
            _with(drill.name, requests, now),
            key=lambda i: (now[requests[i].request_id].days[0], now[requests[i].request_id].position),
        ):
            name, booked = requests[i].request_id, now[requests[i].request_id]
            sharing = sorted(
                (name, *(other for other in booked.shares_with if other in now)),
                key=lambda other: now[other].position,
            )
            durations = together(tuple(at[other] for other in sharing), alone, docket.road_m[d], drill)
            yield Placement(
                request=requests[i],
                drill=drill.name,
                days=booked.days,
                duration=durations[sharing.index(name)],
                waiting_days=max(0, docket.waiting_days(booked.days[0], i)),
                tow_m=docket.tow_m[d][before][i],
                collect_from="" if before == len(requests) else requests[before].renter,
                reason=_reason(changes.get(name)),
                shared_booking=tuple(sharing),
                confirmed=booked.confirmed,
                farthest_m=farthest_m[i][drill.name],
                odds_prob=changes[name].odds_prob if name in changes else None,
            )
            before = i


def _towed_m(program: RentalProgram, placements: Sequence[Placement]) -> float:
    """Meters of road that all drills are towed, home to home."""
    total = sum(placement.tow_m for placement in placements)
    for drill in program.drills:
        of_drill = [placement for placement in placements if placement.drill == drill.name]
        if of_drill:
            total += round(roads_of([of_drill[-1].request], drill, program.distances)[0][1])
    return total


def _with(drill: str, requests: Sequence[Request], now: Mapping[str, Booked]) -> Iterable[int]:
    return (i for i, request in enumerate(requests) if now[request.request_id].drill == drill)


def _reason(change: Change | None) -> Fact:
    if change is None:
        return fact("finished-before-rain")
    if change.begun:
        return fact("goes-on")
    if not change.moved:
        return fact("kept-in-rain")
    return fact(
        "moved-after-rain", first=change.was.days[0], last=change.was.days[-1], drill=change.was.drill
    )
