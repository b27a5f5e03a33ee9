"""What a plan enters into the store: the list as it was taken in, and bookings that are other than they were."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import UTC, date, datetime
from typing import Any

from fieldplan.errors import UsageError
from fieldplan.facts import Fact
from fieldplan.jobfile.values import LONGEST_TEXT
from fieldplan.model.booked import Booked, Placement, Promise
from fieldplan.model.records import Entry, Fresh
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.season import Season
from fieldplan.model.standing import Carried, Person, Standing
from fieldplan.office.office import Office
from fieldplan.records.ledger import append
from fieldplan.records.reading import days_text, promise_text
from fieldplan.season.odds import promised


def booked_as(season: Season, placement: Placement) -> Booked:
    """A placement as a booking, with what was reckoned for it."""
    sharing = [
        other
        for other in season.placements
        if other.drill == placement.drill and other.request.request_id in placement.shared_booking
    ]
    return Booked(
        drill=placement.drill,
        days=placement.days,
        shares_with=placement.shares_with,
        position=placement.shared_booking.index(placement.request.request_id),
        confirmed=placement.confirmed,
        farthest_m=placement.farthest_m,
        promise=_promise(season.program, placement, sharing or [placement]),
    )


def _promise(program: RentalProgram, placement: Placement, sharing: Sequence[Placement]) -> Promise | None:
    if placement.odds_prob is None:
        return None
    drill = next(drill for drill in program.drills if drill.name == placement.drill)
    work_s = sum(one.duration.job_s for one in sharing)
    field_s = sum(one.duration.field_s for one in sharing)
    return promised(work_s, field_s, placement.odds_prob, drill, program)


def changed_bookings(season: Season, standing: Standing, day: date, why: str) -> Iterator[Fresh]:
    """Entries for bookings that a plan made, moved or could not keep.

    Confirmed bookings are not among them: no plan changes them.

    Parameters
    ----------
    standing
        How the season stood before. Requests that were confirmed without days get them now.
    why
        Why bookings are moved.
    """
    was, open_bookings, placed = standing.bookings, set(standing.agreed), set[str]()
    refused = {refusal.request.request_id: refusal.reason.code for refusal in season.refusals}
    for placement in season.placements:
        name = placement.request.request_id
        placed.add(name)
        before, now = was.get(name), booked_as(season, placement)
        if before is not None and (before.confirmed or _same(before, now)):
            continue
        kind = "planned" if before is None or name in open_bookings else "moved"
        yield booking_entry(kind, name, now, day, why if kind == "moved" else "")
    for name, before in was.items():
        if name not in placed and not before.confirmed:
            lost = [on for on in before.days if (before.drill, on) in standing.lost]
            typed = {"request": name, "day": day.isoformat()}
            if lost:
                whys = dict.fromkeys(standing.lost[before.drill, on] for on in lost)
                typed |= {"cause": "days lost", "why": _lost_text(before.drill, lost[0], lost[-1], whys)}
            else:
                typed |= {"cause": "planned again", "why": _REFUSED.get(refused.get(name, ""), why)}
            yield Fresh(kind="cancel", typed=typed)


_REFUSED = {
    "refused-by-rules": "planned again: its days went to others by the rules",
    "refused-on-offer": "planned again: the days that would hold it are on offer",
    "refused-outside": "planned again: its own dates are outside the days that can be had",
    "refused-narrow": "planned again: its own dates hold too few working days",
    "refused-long": "planned again: longer than the longest booking",
    "refused-no-drill": "planned again: no drill can do it",
}
"""Why a plan cancels a booking, by the code of the refusal."""


def cancelled(name: str, day: date, reason: Fact | None) -> Fresh:
    """The entry of a booking that is lost after days were lost or while work goes on, with what took its days."""
    because = reason.values["because"] if reason is not None else ()
    causes = [one for one in because if isinstance(one, Fact)] if isinstance(because, tuple) else []
    why = "; ".join(("no days left", *map(_cause_text, causes)))
    typed = {"request": name, "day": day.isoformat(), "why": why[:LONGEST_TEXT]}
    if causes:
        goes_on = all(one.code == "because-goes-on" for one in causes)
        typed["cause"] = "work goes on" if goes_on else "days lost"
    return Fresh(kind="cancel", typed=typed)


def _cause_text(cause: Fact) -> str:
    """What took days, in the words of an entry."""
    value: Mapping[str, Any] = cause.values
    if cause.code == "because-goes-on":
        return f"work of {' and '.join(value['requests'])} goes on with {value['drill']} to {value['last_typed_day']}"
    return _lost_text(value["drill"], value["first_typed_day"], value["last_typed_day"], value["why"])


def _lost_text(drill: str, first: date, last: date, whys: Iterable[str]) -> str:
    days = f"on {first}" if first == last else f"from {first} to {last}"
    return f"days of {drill} lost {days} ({', '.join(whys)})"


def booking_entry(kind: str, name: str, booked: Booked, day: date, why: str = "") -> Fresh:
    """The entry of a booking."""
    order = sorted((name, *booked.shares_with), key=lambda other: other != name)
    if booked.shares_with:
        order.remove(name)
        order.insert(booked.position, name)
    typed = {
        "request": name,
        "drill": booked.drill,
        "day": day.isoformat(),
        "days": days_text(booked.days),
        "order": ", ".join(order) if booked.shares_with else "",
        "road": "" if booked.farthest_m is None else f"{booked.farthest_m!r} m",
        "promise": "" if booked.promise is None else promise_text(booked.promise),
        "why": why,
    }
    return Fresh(kind=kind, typed={fact: text for fact, text in typed.items() if text})


def _same(before: Booked, now: Booked) -> bool:
    return (before.drill, before.days, before.position, set(before.shares_with)) == (
        now.drill,
        now.days,
        now.position,
        set(now.shares_with),
    )


def enter(
    office: Office,
    fresh: Sequence[Fresh],
    people: Iterable[Person] = (),
    carried: Iterable[Carried] = (),
    now: datetime | None = None,
) -> tuple[Entry, ...]:
    """Write what a plan enters, unless somebody else wrote to the store since it was read.

    Raises
    ------
    UsageError
        If somebody did: what was planned does not know of it.
    """
    people, carried = list(people), list(carried)
    if not fresh and not people and not carried:
        return ()

    def judge(there: Sequence[Entry], new: Sequence[Entry]) -> None:
        del new
        if len(there) != len(office.entries):
            raise UsageError.of("store-moved-on", file=str(office.path), row=len(there))

    return append(office.path, office.whose, fresh, now or datetime.now(UTC), judge, people, carried)
