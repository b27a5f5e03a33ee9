"""Bookings as calendar files (RFC 5545): one for each drill and one for each renter, tentative, with ids that stay."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta

from fieldplan.errors import MissingExtra
from fieldplan.model.season import Placement, Season
from fieldplan.report.plain import plain
from fieldplan.report.quantities import hours


def bookings_ics(season: Season, placements: Sequence[Placement], written: date | None = None) -> bytes:
    """All-day events, one a booking. The id of a request stays the same from file to file, so that a calendar updates it.

    Parameters
    ----------
    written
        The day that the file is said to be of; today if not given. A calendar takes the later of two files.
    """
    try:
        from icalendar import Calendar, Event
    except ImportError:
        raise MissingExtra.named("season", "A calendar file") from None
    calendar = Calendar()
    calendar.add("prodid", "-//fieldplan//season//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for one in placements:
        key = f"{season.lending.terms.name}|{season.lending.terms.opens}|{one.request.request_id}"
        event = Event()
        event.add("uid", f"{hashlib.sha256(key.encode()).hexdigest()[:24]}@fieldplan")
        event.add("dtstamp", datetime.combine(written or date.today(), time.min, UTC))
        event.add("dtstart", one.days[0])
        event.add("dtend", one.days[-1] + timedelta(days=1))
        event.add("summary", plain(f"{one.drill}: {one.request.renter}"))
        event.add("description", plain(f"{hours(one.length.job_s)} of work; collect from {one.collect_from}."))
        event.add("status", "TENTATIVE")
        event.add("transp", "OPAQUE")
        lon, lat = one.request.place_lonlat
        event.add("geo", (round(lat, 6), round(lon, 6)))
        calendar.add_component(event)
    return bytes(calendar.to_ical())
