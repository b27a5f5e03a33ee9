"""Letters about days: confirmations, days that changed, cancellations, reminders of a pick-up."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property

from fieldplan.facts import Fact, fact
from fieldplan.model.booked import Booked
from fieldplan.model.letters import AboutBooking, AboutCancelled, NotWritten
from fieldplan.model.records import Entry
from fieldplan.model.request import Request
from fieldplan.office.bills import ground_of
from fieldplan.office.mail_room import Found, MailRoom
from fieldplan.office.required import required_of
from fieldplan.records.requirements import Required, checked

DrillDays = tuple[str, tuple[date, ...]]
"""A drill by name, and days."""


@dataclass(frozen=True, kw_only=True)
class BookingLetters:
    """Letters about the days of each request, until its drill goes out.

    Parameters
    ----------
    ahead_days
        How many days before its first day a pick-up is reminded of.
    """

    room: MailRoom
    ahead_days: int

    def due(self) -> Found:
        """A letter wherever the renter was told something else, or nothing, and a reminder of each pick-up."""
        standing = self.room.office.standing
        for name, request in self.room.requests.items():
            if name in standing.out or name in standing.back:
                continue
            told, booked = self._told(name), standing.bookings.get(name)
            if booked is not None and (not booked.days or booked.days[-1] < self.room.day):
                continue
            if booked is not None and booked.confirmed:
                yield from self._confirmed(request, booked, told)
            elif told is not None:
                yield from self._not_theirs(request, booked, told)

    def _told(self, name: str) -> Entry | None:
        """The letter that told a renter of days and still counts; ``None`` if there is none, or a later one took it back."""
        told = [
            entry
            for entry in self.room.sent(name, "confirmation", "moved", "cancellation")
            if {"drill", "days"} <= entry.facts.keys() or entry.facts["what"] == "cancellation"
        ]
        return told[-1] if told and told[-1].facts["what"] != "cancellation" else None

    def _confirmed(self, request: Request, booked: Booked, told: Entry | None) -> Found:
        """What is due of days that a renter said yes to."""
        room, before = self.room, None if told is None else _days_of(told)
        if before is None:
            yield room.letter("confirmation", request, self._about(request, booked))
        elif before != (booked.drill, booked.days):
            yield room.letter("moved", request, self._about(request, booked, before))
        reminded = any(
            entry.facts.get("days", booked.days) == booked.days
            for entry in room.sent(request.request_id, "pick-up")
        )
        if 0 <= (booked.days[0] - room.day).days <= self.ahead_days and not reminded:
            yield room.letter("pick-up", request, self._about(request, booked))

    def _not_theirs(self, request: Request, booked: Booked | None, told: Entry) -> Found:
        """What is due where a letter told of days that the renter has not, or not surely, any more."""
        name, cancel = request.request_id, self._cancel_since(request.request_id, told)
        to_come = _days_of(told)[1][-1] >= self.room.day
        if cancel is not None and to_come:
            yield self.room.letter("cancellation", request, self._cancelled(name, told, cancel))
        elif booked is not None:
            if (booked.drill, booked.days) != _days_of(told):
                yield _phone(name, fact("letter-not-confirmed", told_day=told.day))
        elif to_come and not self._withdrawn(name):
            yield _phone(name, fact("letter-days-gone", told_day=told.day))

    def _cancel_since(self, name: str, letter: Entry) -> Entry | None:
        """The latest entry after a letter that cancelled the booking of a request."""
        return next(
            (
                entry
                for entry in reversed(self.room.entries)
                if entry.kind == "cancel" and entry.request == name and entry.number > letter.number
            ),
            None,
        )

    def _cancelled(self, name: str, told: Entry, cancel: Entry) -> AboutCancelled:
        drill, days = _days_of(told)
        return AboutCancelled(
            drill=drill,
            days=days,
            told=told.day,
            cancelled=cancel.day,
            why=str(cancel.facts.get("why", "")),
            waits=not self._withdrawn(name),
        )

    def _withdrawn(self, name: str) -> bool:
        rows = self.room.office.standing.rows
        return name in rows and rows[name].withdrawn

    def _about(self, request: Request, booked: Booked, was: DrillDays | None = None) -> AboutBooking:
        room, name = self.room, request.request_id
        order = self._order_of(booked.drill)
        at = order.index(name)
        before = room.requests[order[at - 1]] if at else None
        home = next(
            (drill.home_lonlat for drill in room.office.program.drills if drill.name == booked.drill),
            request.place_lonlat,
        )
        sharing = [other for other in order if other == name or other in booked.shares_with]
        picked_up = max(room.day, booked.days[0])
        return AboutBooking(
            drill=booked.drill,
            days=booked.days,
            odds_prob=None if booked.promise is None else booked.promise.odds_prob,
            ground_m2=sum(field.plantable_m2 for field in ground_of(request)),
            collect_from=room.called(before) if before else "",
            place_lonlat=before.place_lonlat if before else home,
            sharing=tuple(room.called(room.requests[other]) for other in sharing)
            if len(sharing) > 1
            else (),
            was=was,
            checks=tuple(checked(self._required, name, booked.drill, picked_up, room.entries)),
        )

    def _order_of(self, drill: str) -> list[str]:
        """Ids of the requests that have a drill, in the order in which they get it."""
        bookings = self.room.office.standing.bookings
        return [
            name
            for _, _, name in sorted(
                (booked.days[0], booked.position, name)
                for name, booked in bookings.items()
                if booked.drill == drill and booked.days and name in self.room.requests
            )
        ]

    @cached_property
    def _required(self) -> Required:
        return required_of(self.room.office)


def _days_of(letter: Entry) -> DrillDays:
    """Drill and days that a letter told."""
    return str(letter.facts["drill"]), letter.facts["days"]


def _phone(name: str, why: Fact) -> NotWritten:
    return NotWritten(kind="moved", request_id=name, why=why)
