"""The season as it stands after rain: finished bookings where they were, those that go on, those that were
moved.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from fieldplan.facts import Fact, fact
from fieldplan.model.season import (
    Booked,
    Change,
    Placement,
    Proof,
    Refusal,
    RentalProgram,
    Replanned,
    Request,
    Season,
    SoFar,
)
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
    """The whole season with the bookings that rain left, for its papers and for the next rain.

    Nothing is proven of waiting and towing: their bounds are 0.
    """
    changes = {change.request.request_id: change for change in found.changes}
    now = {name: cut for name in found.finished if (cut := _worked(was[name], so_far)).days}
    now |= {name: _whole(change, change.now, so_far) for name, change in changes.items() if change.now}
    own = [request for request in requests if request.request_id in now]
    farthest_m = booked_for(requests, own, now, program)
    placements = tuple(_placements(program, own, now, changes, farthest_m, progress))
    lost = [(change.request, change.reason) for change in found.changes if change.reason is not None]
    never = [request for request in requests if request.request_id not in was]
    return Season(
        program=program,
        placements=placements,
        refusals=(
            *(Refusal(request=one, reason=reason, changes=()) for one, reason in lost),
            *(Refusal(request=one, reason=fact("never-booked"), changes=()) for one in never),
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
    """A finished booking with the days that are past: what was done early leaves its other days to
    others.
    """
    return replace(booked, days=tuple(day for day in booked.days if day < so_far.today))


def _whole(change: Change, now: Booked, so_far: SoFar) -> Booked:
    """A booking with the days that it had before today, if it has begun."""
    if not change.begun:
        return now
    before = tuple(day for day in change.was.days if day < so_far.today and day not in so_far.lost)
    return replace(now, days=(*before, *now.days))


def _placements(
    program: RentalProgram,
    own: Sequence[Request],
    now: Mapping[str, Booked],
    changes: Mapping[str, Change],
    farthest_m: Sequence[Mapping[str, float]],
    progress: Progress,
) -> Iterator[Placement]:
    """Drill by drill in the order of days."""
    docket = docket_of(program, own, progress, farthest_m=farthest_m, begun=range(len(own)))
    at = {one.request_id: i for i, one in enumerate(own)}
    for d, drill in enumerate(program.drills):
        before = len(own)
        alone = {i: docket.duration(i, d) for i in range(len(own))}
        for i in sorted(
            _with(drill.name, own, now),
            key=lambda i: (now[own[i].request_id].days[0], now[own[i].request_id].priority),
        ):
            name, booked = own[i].request_id, now[own[i].request_id]
            shared_booking = sorted(
                (name, *(one for one in booked.shares_with if one in now)),
                key=lambda one: now[one].priority,
            )
            shared = together(tuple(at[one] for one in shared_booking), alone, docket.road_m[d], drill)
            yield Placement(
                request=own[i],
                drill=drill.name,
                days=booked.days,
                duration=shared[shared_booking.index(name)],
                waiting_days=max(0, docket.waiting_days(booked.days[0], i)),
                tow_m=docket.tow_m[d][before][i],
                collect_from="" if before == len(own) else own[before].renter,
                reason=_reason(changes.get(name)),
                shared_booking=tuple(shared_booking),
                confirmed=booked.confirmed,
                farthest_m=farthest_m[i][drill.name],
                odds_prob=changes[name].odds_prob if name in changes else None,
            )
            before = i


def _towed_m(program: RentalProgram, placements: Sequence[Placement]) -> float:
    """Road from home to home of all drills, in m."""
    total = sum(placement.tow_m for placement in placements)
    for drill in program.drills:
        own = [placement for placement in placements if placement.drill == drill.name]
        if own:
            total += round(roads_of([own[-1].request], drill, program.distances)[0][1])
    return total


def _with(drill: str, own: Sequence[Request], now: Mapping[str, Booked]) -> Iterable[int]:
    return (i for i, one in enumerate(own) if now[one.request_id].drill == drill)


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
