"""Take an older folder over, in which bookings stood in a season.json and confirmations in a ledger."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from fieldplan.model.records import Fresh
from fieldplan.model.standing import Person
from fieldplan.office.entered import booking_entry
from fieldplan.office.intake import taken_in
from fieldplan.office.office import Office
from fieldplan.season.bookings import read_bookings
from fieldplan.season.durations import boundary_of, duration_of
from fieldplan.season.odds import odds_within, promised


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenOver:
    """Entries of what was taken over.

    Parameters
    ----------
    unlike
        Ids of requests that the ledger has confirmed elsewhere.
    without
        Ids of requests with a booking and no row in the list.
    """

    fresh: tuple[Fresh, ...]
    people: tuple[Person, ...]
    unlike: tuple[str, ...]
    without: tuple[str, ...]


def taken_over(office: Office, was_path: Path, day: date) -> TakenOver:
    """The list of requests and the bookings of a season.json that the store does not have yet.

    Bookings that season.json has as confirmed and the ledger does not are confirmed.

    Raises
    ------
    InputError
        If the file is not what ``season plan --out`` writes.
    """
    taken = taken_in(office, day)
    requests = {request.request_id: request for request in office.listed}
    drills = {drill.name: drill for drill in office.program.drills}
    fresh = list(taken.fresh)
    unlike, without = [], []
    for name, booked in read_bookings(was_path).items():
        if name not in requests or booked.drill not in drills:
            without.append(name)
            continue
        agreed = office.standing.agreed.get(name)
        if name in office.standing.bookings:
            continue
        if agreed is not None and (agreed.drill, agreed.first) != (booked.drill, booked.days[0]):
            unlike.append(name)
            continue
        drill, request = drills[booked.drill], requests[name]
        farthest_m = booked.farthest_m or 0.0
        duration = duration_of(request, boundary_of(request), drill, office.program, farthest_m)
        if duration.cannot is None and not booked.shares_with:
            odds_prob = odds_within(duration.job_s, booked.days, drill, office.program)
            promise = promised(duration.job_s, duration.field_s, odds_prob, drill, office.program)
            booked = replace(booked, promise=promise)
        fresh.append(booking_entry("planned", name, booked, day))
        if booked.confirmed and agreed is None:
            fresh.append(Fresh(kind="confirm", typed={"request": name, "day": day.isoformat()}))
    return TakenOver(fresh=tuple(fresh), people=taken.people, unlike=tuple(unlike), without=tuple(without))
