"""The booking as a calendar file (RFC 5545): all-day, tentative, with an id that stays so that a re-import updates it."""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime, time, timedelta

from fieldplan.errors import MissingExtra, UsageError
from fieldplan.model.plan import Plan
from fieldplan.report.plain import plain
from fieldplan.report.quantities import hours, shown_odds


def booking_ics(plan: Plan, written: date | None = None) -> bytes:
    """One event over the days to book.

    Parameters
    ----------
    written
        The day that the file is said to be of; today if not given. A calendar takes the later of two files.

    Raises
    ------
    UsageError
        If the job file names no start.
    """
    booking, start = plan.booking, plan.job.booking.start
    if start is None or booking.finish is None:
        raise UsageError.of("booking-no-start", "A calendar needs the day the booking starts.", "start = 2027-05-10 in [booking]")
    try:
        from icalendar import Calendar, Event
    except ImportError:
        raise MissingExtra.named("season", "A calendar file") from None
    fields = ", ".join(f"{one.field.field_id} {one.field.name}".strip() for one in plan.fields)
    prob = next(odds.prob for odds in booking.odds if odds.days == booking.suggested_days)
    calendar = Calendar()
    calendar.add("prodid", "-//fieldplan//booking//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    event = Event()
    key = f"{plan.job.drill.name}|{fields}"
    event.add("uid", f"{hashlib.sha256(key.encode()).hexdigest()[:24]}@fieldplan")
    event.add("dtstamp", datetime.combine(written or date.today(), time.min, UTC))
    event.add("dtstart", start)
    event.add("dtend", booking.finish + timedelta(days=1))
    event.add("summary", plain(f"{plan.job.drill.name}: {fields}"))
    event.add(
        "description",
        f"{hours(plan.job_time.job_s)} of work, {booking.fit_days_needed} fit day(s); {shown_odds(prob)} odds of being done.",
    )
    event.add("status", "TENTATIVE")
    event.add("transp", "OPAQUE")
    lon, lat = plan.fields[0].gate_lonlat
    event.add("geo", (round(lat, 6), round(lon, 6)))
    calendar.add_component(event)
    return bytes(calendar.to_ical())
