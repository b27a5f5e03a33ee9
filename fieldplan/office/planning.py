"""Plan a season as it stands, and plan it again after days were lost: what comes of it, and what is to be entered."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from fieldplan.errors import InputError
from fieldplan.model.booked import Booked
from fieldplan.model.records import Fresh
from fieldplan.model.replanned import Replanned, SoFar
from fieldplan.model.season import Season
from fieldplan.model.standing import Checked, Freed, Person, Since, Standing
from fieldplan.office.entered import booked_as, booking_entry, cancelled, changed_bookings
from fieldplan.office.intake import taken_in
from fieldplan.office.office import Office, done_of
from fieldplan.office.required import checked_bookings
from fieldplan.season.after_rain import season_after
from fieldplan.season.durations import Progress, boundary_of
from fieldplan.season.held import overdue
from fieldplan.season.living import plan_living
from fieldplan.season.living_rain import bookings_after, rain_living
from fieldplan.season.schedule import Steps


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A season as it was planned, what is to be entered of it, and what happened since the last plan."""

    season: Season
    fresh: tuple[Fresh, ...]
    people: tuple[Person, ...]
    since: Since
    checks: Mapping[str, Sequence[Checked]]


@dataclass(frozen=True, slots=True, kw_only=True)
class RainPlanned:
    """A season after days lost, and what is to be entered of it."""

    found: Replanned
    season: Season
    fresh: tuple[Fresh, ...]
    checks: Mapping[str, Sequence[Checked]]


def planned(
    office: Office,
    day: date,
    start: date | None = None,
    progress: Progress = iter,
    steps: Steps = iter,
    *,
    refill: bool = False,
) -> Planned:
    """Plan a season as it stands.

    Parameters
    ----------
    day
        The day on which it is planned, for the entries.
    start
        The first day that can still be given; else the latest on which something happened.
    progress, steps, refill
        As in `plan_living`.

    Raises
    ------
    FieldplanError
        As `plan_living`, and if the list cannot be taken in.
    """
    taken = taken_in(office, day)
    standing = office.standing if start is None else replace(office.standing, latest=start)
    season = plan_living(office.program, office.requests, standing, progress, steps, refill=refill)
    why = "planned again"
    fresh = tuple(changed_bookings(season, standing, day, why))
    checks = checked_bookings(office, season, day)
    since = replace(
        taken.since,
        open_before_out={
            name: tuple(one.name for one in found if one.open is not None)
            for name, found in checks.items()
            if any(one.open is not None for one in found)
        },
        came=taken.since.came if office.entries else (),
        moved=tuple(one.typed["request"] for one in fresh if one.kind == "moved"),
        lost=tuple(one.typed["request"] for one in fresh if one.kind == "cancel"),
        overdue=overdue(standing, start),
        again=tuple(
            placement.request.request_id
            for placement in season.placements
            if placement.request.request_id in standing.struck
        ),
        freed=_still_free(standing, season),
    )
    return Planned(
        season=season, fresh=(*taken.fresh, *fresh), people=taken.people, since=since, checks=checks
    )


def _still_free(standing: Standing, season: Season) -> tuple[Freed, ...]:
    taken = {(placement.drill, day) for placement in season.placements for day in placement.days}
    return tuple(
        replace(one, days=days)
        for one in standing.freed
        if (days := tuple(day for day in one.days if (one.drill, day) not in taken))
    )


def rain_planned(
    office: Office,
    today: date,
    lost: Iterable[date] = (),
    done: Mapping[str, float] | None = None,
    progress: Progress = iter,
    steps: Steps = iter,
) -> RainPlanned:
    """Plan a season again after days were lost, as its entries have them.

    Parameters
    ----------
    today
        The first day still to come.
    lost, done
        For a what-if: days lost besides, with all drills, and shares done besides.
    progress, steps
        As in `plan_season`.

    Raises
    ------
    InputError
        If nothing was planned yet, or a share is of a request without a booking.
    """
    standing = office.standing
    if not standing.bookings:
        raise InputError.of("season-unplanned", file=str(office.path))
    names = [drill.name for drill in office.program.drills]
    standing = replace(
        standing,
        lost={**standing.lost, **{(name, day): "what if" for name in names for day in lost}},
    )
    for name in done or {}:
        if name not in standing.bookings:
            raise InputError.of("done-unknown", request=name, bookings=tuple(standing.bookings))
    requests = office.requests
    ground_m2 = {
        request.request_id: sum(field.plantable_m2 for field in boundary_of(request).fields)
        for request in requests
        if request.request_id in standing.sown_m2
    }
    done_frac = {**done_of(office, ground_m2), **(done or {})}
    found = rain_living(office.program, requests, standing, today, done_frac, progress, steps)
    there = {request.request_id for request in requests}
    was = {name: booked for name, booked in standing.bookings.items() if name in there}
    so_far = SoFar(today=today, lost=frozenset(), done_frac=done_frac)
    season = season_after(office.program, requests, was, found, so_far, progress)
    placed = {placement.request.request_id: placement for placement in season.placements}
    moved_why = "days lost" if standing.lost else "work goes on"
    unknown = {one.request.request_id for one in found.questions}
    fresh: list[Fresh] = []
    for name, now in bookings_after(found, was, today):
        if now is None:
            reason = next(change.reason for change in found.changes if change.request.request_id == name)
            fresh.append(cancelled(name, today, reason))
            continue
        begun = any(change.begun for change in found.changes if change.request.request_id == name)
        booked: Booked = (
            replace(now, promise=was[name].promise) if begun else booked_as(season, placed[name])
        )
        why = ("still out" if name in unknown else "goes on") if begun else moved_why
        fresh.append(booking_entry("moved", name, booked, today, why))
    checks = checked_bookings(office, season, today)
    return RainPlanned(found=found, season=season, fresh=tuple(fresh), checks=checks)
