"""Bookings as calendar files (RFC 5545): all-day and tentative, with fixed ids, so importing again updates them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

from fieldplan.errors import MissingExtra, PlanError, UsageError
from fieldplan.facts import Fact, fact
from fieldplan.model.booked import Placement
from fieldplan.model.plan import Plan
from fieldplan.model.replanned import Change
from fieldplan.model.request import Request
from fieldplan.model.season import Season
from fieldplan.report.files import Writer
from fieldplan.report.output import Diary, Output, PlanAsked, SeasonAsked, ready
from fieldplan.report.words.hours import hours
from fieldplan.report.words.numbers import counted, odds_text
from fieldplan.report.words.plain import plain, slugs
from fieldplan.report.words.seed import parcel
from fieldplan.report.words.sharing import collected_from, sharing_text


@dataclass(frozen=True, slots=True, kw_only=True)
class _Event:
    """Days that a drill is booked. The same ``key`` gives the same id in every file.

    ``sequence`` and ``stamp`` say how often it changed and when it changed last.
    """

    key: str
    first: date
    last: date
    summary: str
    description: str
    lonlat: tuple[float, float]
    status: str = "TENTATIVE"
    sequence: int = 0
    stamp: datetime | None = None


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
    fields = ", ".join(parcel(planned) for planned in plan.driven)
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
    events = [_event(season, placement, season.program.terms.id, phones=phones) for placement in placements]
    events += [
        _Event(
            key=_key(season.program.terms.id, change.request.request_id),
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


def saying(season: Season, placement: Placement, *, phones: bool) -> str:
    """Hash of all that the event of a booking says: while it is the same, nothing changed."""
    event = _event(season, placement, "", phones=phones)
    return hashlib.sha256(repr(event).encode()).hexdigest()


def status_of(placement: Placement) -> str:
    """The status of a booking's event."""
    return "CONFIRMED" if placement.confirmed else "TENTATIVE"


def _event(season: Season, placement: Placement, season_id: str, *, phones: bool) -> _Event:
    return _Event(
        key=_key(season_id, placement.request.request_id),
        first=placement.days[0],
        last=placement.days[-1],
        status=status_of(placement),
        summary=f"{placement.drill}: {placement.request.renter}",
        lonlat=placement.request.place_lonlat,
        description=f"{hours(placement.duration.job_s)} of work; collect from {collected_from(placement)}.{_shared(season, placement)}"
        + (f" Telephone {placement.request.phone}." if phones and placement.request.phone else ""),
    )


def _key(season_id: str, request_id: str) -> str:
    return f"{season_id}|{request_id}"


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
        entry.add("dtstamp", booking.stamp or datetime.combine(written or date.today(), time.min, UTC))
        entry.add("sequence", booking.sequence)
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
    """A calendar for each drill and each renter, by the renter's id; each has all events that it ever carried."""
    by_calendar: dict[tuple[str, str], list[_Event]] = {}
    if asked.diary is not None:
        for calendar, event in _carried(asked, asked.diary):
            what, _, name = calendar.partition(" ")
            by_calendar.setdefault((what, name), []).append(event)
        made = {calendar: _calendar(events, None) for calendar, events in by_calendar.items()}
    else:
        made = _of_one_plan(asked)
    found: dict[str, Writer] = {}
    for what in ("drill", "renter"):
        names = [name for kind, name in made if kind == what]
        for name, file in zip(names, slugs(names), strict=True):
            found[f"{what}-{file}.ics"] = ready(made[what, name])
    return found


def _carried(asked: SeasonAsked, diary: Diary) -> Iterator[tuple[str, _Event]]:
    """Every calendar with each event that it carries; a cancelled one with its last days there."""
    placed = {placement.request.request_id: placement for placement in asked.season.placements}
    for one in diary.carried:
        if one.status == "CANCELLED":
            event = _Event(
                key=_key(diary.season_id, one.request),
                first=one.first,
                last=one.last,
                status=one.status,
                summary=f"{one.drill}: {diary.names.get(one.renter_id, one.renter_id)}",
                description="Cancelled.",
                lonlat=one.lonlat,
            )
        else:
            event = _event(asked.season, placed[one.request], diary.season_id, phones=asked.phones)
        yield one.calendar, replace(event, sequence=one.sequence, stamp=datetime.fromisoformat(one.stamp))


def _of_one_plan(asked: SeasonAsked) -> dict[tuple[str, str], bytes]:
    """The calendars of a plan that is not in a store: nothing is known of what they carried before."""
    season, lost = asked.season, asked.lost
    groups: dict[tuple[str, str], tuple[list[Placement], list[Change]]] = {}
    for what in ("drill", "renter"):
        for placement in season.placements:
            name = placement.drill if what == "drill" else _renter(placement.request)
            groups.setdefault((what, name), ([], []))[0].append(placement)
        for change in lost:
            name = change.was.drill if what == "drill" else _renter(change.request)
            groups.setdefault((what, name), ([], []))[1].append(change)
    return {
        calendar: bookings_ics(season, kept, phones=asked.phones, lost=cancelled)
        for calendar, (kept, cancelled) in groups.items()
    }


def _renter(request: Request) -> str:
    return request.renter_id or request.request_id


BOOKING: Output[PlanAsked] = Output(
    name="calendar", words="the booking", make=lambda asked: {"booking.ics": ready(booking_ics(asked.plan))}
)
BOOKINGS: Output[SeasonAsked] = Output(
    name="calendars", words="one calendar a drill and one a renter", make=_bookings
)
