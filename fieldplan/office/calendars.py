"""What the calendars of a season carry after a plan: which events changed, and which are cancelled in which file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from fieldplan.model.booked import Placement
from fieldplan.model.season import Season
from fieldplan.model.standing import Carried
from fieldplan.office.office import Office
from fieldplan.report.data.calendar import saying, status_of
from fieldplan.report.output import Diary

CANCELLED = "CANCELLED"


def diary_of(
    office: Office, season: Season, now: datetime, *, phones: bool
) -> tuple[Diary, tuple[Carried, ...]]:
    """What the calendars carry, and what of it changed since they were last written.

    An event that changes gets the next number of its sequence. One that leaves a calendar, because its booking is gone or
    moved to another drill, is cancelled there first and gets its next number in the other one after that: whoever reads
    both sees it live.

    Parameters
    ----------
    now
        The moment of the change.
    """
    before = office.store.beside.carried
    after = dict(before)
    placed = {placement.request.request_id: placement for placement in season.placements}
    for name in dict.fromkeys((*(request for request, _ in before), *placed)):
        own = {calendar: one for (request, calendar), one in before.items() if request == name}
        for one in _own(own, placed.get(name), season, now, phones=phones):
            after[name, one.calendar] = one
    changed = tuple(one for at, one in after.items() if before.get(at) != one)
    names = {person.renter_id: person.called for person in office.people.values()}
    for request in office.listed:
        if not office.people.get(request.renter_id) or not office.people[request.renter_id].taken_out:
            names[request.renter_id] = request.renter
    return Diary(season_id=office.season_id, carried=tuple(after.values()), names=names), changed


def _own(
    before: dict[str, Carried], placement: Placement | None, season: Season, now: datetime, *, phones: bool
) -> Iterator[Carried]:
    """The event of one request in every calendar that carries it now or did before."""
    number = max((one.sequence for one in before.values()), default=-1)
    stamp = now.isoformat(timespec="seconds")
    calendars: tuple[str, ...] = ()
    if placement is not None:
        renter = placement.request.renter_id or placement.request.request_id
        calendars = (f"drill {placement.drill}", f"renter {renter}")
    gone = [one for one in before.values() if one.calendar not in calendars and one.status != CANCELLED]
    number += bool(gone)
    yield from (replace(one, status=CANCELLED, sequence=number, stamp=stamp, digest="") for one in gone)
    if placement is None:
        return
    digest = saying(season, placement, phones=phones)
    there = [before.get(calendar) for calendar in calendars]
    if all(one is not None and one.digest == digest for one in there):
        return
    for calendar in calendars:
        yield Carried(
            request=placement.request.request_id,
            calendar=calendar,
            renter_id=placement.request.renter_id or placement.request.request_id,
            sequence=number + 1,
            stamp=stamp,
            status=status_of(placement),
            digest=digest,
            drill=placement.drill,
            first=placement.days[0],
            last=placement.days[-1],
            lonlat=placement.request.place_lonlat,
        )
