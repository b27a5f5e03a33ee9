"""Bookings as calendar files (RFC 5545): all-day and tentative, with fixed ids, so importing again updates them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from fieldplan.errors import MissingExtra, PlanError, UsageError
from fieldplan.facts import Fact, fact
from fieldplan.model.plan import Plan
from fieldplan.model.season import Change, Placement, Request, Season
from fieldplan.report.files import Writer
from fieldplan.report.output import Output, PlanAsked, SeasonAsked, ready
from fieldplan.report.words.plain import plain, slugs
from fieldplan.report.words.quantities import counted, hours, odds_text
from fieldplan.report.words.sharing import collected_from, sharing_text


@dataclass(frozen=True, slots=True, kw_only=True)
class _Event:
    """Days that a drill is booked. The same ``key`` gives the same id in every file."""

    key: str
    first: date
    last: date
    summary: str
    description: str
    lonlat: tuple[float, float]
    status: str = "TENTATIVE"


def without_days(plan: Plan) -> Fact | None:
    """Why a plan has no days for a calendar; ``None`` if it has them."""
    if plan.job.booking.start is None:
        return fact("booking-no-start")
    return fact("booking-none/calendar") if plan.booking.finish is None else None


def booking_ics(plan: Plan, written: date | None = None) -> bytes:
    """One event over the days to book, as an iCalendar file.

    Parameters
    ----------
    written
        Date of the file, by default today. Of two files a calendar takes the later one.

    Raises
    ------
    UsageError
        If the job file names no start.
    PlanError
        If there are no days to book.
    """
    booking, start = plan.booking, plan.job.booking.start
    if start is None:
        raise UsageError.of("booking-no-start")
    if booking.finish is None:
        raise PlanError.of("booking-none/calendar")
    fields = ", ".join(f"{planned.field.field_id} {planned.field.name}".strip() for planned in plan.driven)
    event = _Event(
        key=f"{plan.job.drill.name}|{fields}",
        first=start,
        last=booking.finish,
        summary=f"{plan.job.drill.name}: {fields}",
        description=f"{hours(plan.job_time.job_s)} of work, {counted(booking.fieldwork_days_needed, 'fieldwork day')}; {odds_text(booking.prob)} odds of being done.",
        lonlat=plan.fields[0].gate_lonlat,
    )
    return _calendar([event], written)


def bookings_ics(
    season: Season,
    placements: Sequence[Placement],
    *,
    phones: bool = False,
    lost: Sequence[Change] = (),
    written: date | None = None,
) -> bytes:
    """An event for each booking of a season, as an iCalendar file; lost bookings are marked canceled.

    Parameters
    ----------
    phones
        Whether renters' telephone numbers are in it.
    lost
        Bookings lost to rain.
    written
        As in `booking_ics`.
    """
    events = [
        _Event(
            key=_key(season, placement.request),
            first=placement.days[0],
            last=placement.days[-1],
            status="CONFIRMED" if placement.confirmed else "TENTATIVE",
            summary=f"{placement.drill}: {placement.request.renter}",
            lonlat=placement.request.place_lonlat,
            description=f"{hours(placement.duration.job_s)} of work; collect from {collected_from(placement)}.{_shared(season, placement)}"
            + (f" Telephone {placement.request.phone}." if phones and placement.request.phone else ""),
        )
        for placement in placements
    ]
    events += [
        _Event(
            key=_key(season, change.request),
            first=change.was.days[0],
            last=change.was.days[-1],
            status="CANCELLED",
            summary=f"{change.was.drill}: {change.request.renter}",
            lonlat=change.request.place_lonlat,
            description=f"Lost: {change.reason}.",
        )
        for change in lost
    ]
    return _calendar(events, written)


def _key(season: Season, request: Request) -> str:
    return f"{season.program.terms.name}|{request.request_id}"


def _shared(season: Season, placement: Placement) -> str:
    text = sharing_text(season, placement)
    return f" Shared days, {text}." if text else ""


def _calendar(events: Iterable[_Event], written: date | None) -> bytes:
    try:
        import icalendar
    except ImportError:
        raise MissingExtra.named("season", fact("extra-for/calendar")) from None
    calendar = icalendar.Calendar()
    calendar.add("prodid", "-//fieldplan//bookings//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for booking in events:
        entry = icalendar.Event()
        entry.add("uid", f"{hashlib.sha256(booking.key.encode()).hexdigest()[:24]}@fieldplan")
        entry.add("dtstamp", datetime.combine(written or date.today(), time.min, UTC))
        entry.add("dtstart", booking.first)
        entry.add("dtend", booking.last + timedelta(days=1))
        entry.add("summary", plain(booking.summary))
        entry.add("description", plain(booking.description))
        entry.add("status", booking.status)
        entry.add("transp", "OPAQUE")
        lon, lat = booking.lonlat
        entry.add("geo", (round(lat, 6), round(lon, 6)))
        calendar.add_component(entry)
    return bytes(calendar.to_ical())


def _bookings(asked: SeasonAsked) -> dict[str, Writer]:
    """A calendar for each drill and each renter, including renters who lost their days to rain."""
    season, lost = asked.season, asked.lost
    drills = [placement.drill for placement in season.placements] + [change.was.drill for change in lost]
    renters = [placement.request.renter for placement in season.placements] + [
        change.request.renter for change in lost
    ]
    by_drill = {
        name: (
            [placement for placement in season.placements if placement.drill == name],
            [change for change in lost if change.was.drill == name],
        )
        for name in dict.fromkeys(drills)
    }
    by_renter = {
        name: (
            [placement for placement in season.placements if placement.request.renter == name],
            [change for change in lost if change.request.renter == name],
        )
        for name in dict.fromkeys(renters)
    }
    return {
        f"{what}-{name}.ics": ready(bookings_ics(season, kept, phones=asked.phones, lost=cancelled))
        for what, groups in (("drill", by_drill), ("renter", by_renter))
        for name, (kept, cancelled) in zip(slugs(list(groups)), groups.values(), strict=True)
    }


BOOKING: Output[PlanAsked] = Output(
    name="calendar", words="the booking", make=lambda asked: {"booking.ics": ready(booking_ics(asked.plan))}
)
BOOKINGS: Output[SeasonAsked] = Output(
    name="calendars", words="one calendar a drill and one a renter", make=_bookings
)
