"""How a season stands: a function of its entries. Requests, bookings, days lost and freed, drills that are out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from fieldplan.model.booked import Booked, Confirmed
from fieldplan.model.records import Entry
from fieldplan.model.standing import Freed, Listed, Standing
from fieldplan.records.booking_kinds import TAKEN
from fieldplan.records.downtime import lost_of

HAPPENED = ("out", "in", "sown", "done")
"""Kinds of entries that show that the season has begun."""
_ANSWERS = ("planned", "moved", "confirm", "withdraw", "refused", "cancel", "out")
"""Kinds of entries after which a request that lost its booking is no longer one that did."""


def in_order_of_writing(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Current entries in the order in which they were written; those written at once by the day they are about.

    A correction takes the place of the row that it corrects.
    """
    place: dict[int, tuple[str, int]] = {}
    current: dict[tuple[str, int], Entry] = {}
    for entry in entries:
        at = place.get(entry.corrects, (entry.entered, entry.number)) if entry.corrects else None
        place[entry.number] = at or (entry.entered, entry.number)
        if entry.kind == "strike":
            current.pop(place[entry.number], None)
        else:
            current[place[entry.number]] = entry
    ordered = sorted(current.items(), key=lambda pair: (pair[0][0], pair[1].day, pair[0][1]))
    return tuple(entry for _, entry in ordered)


def standing_of(entries: Sequence[Entry], drills: Sequence[str]) -> Standing:
    """How the season stands after its entries.

    Parameters
    ----------
    entries
        All entries of the store, as they were written.
    drills
        Names of the season's drills: days lost with no drill named are lost with all of them.
    """
    found, written = Steps(), in_order_of_writing(entries)
    for entry in written:
        found.take(entry)
    held = {(booked.drill, day) for booked in found.bookings.values() for day in booked.days}
    return Standing(
        rows=found.rows,
        bookings=found.bookings,
        agreed=found.agreed,
        freed=tuple(
            replace(one, days=left)
            for one in found.freed
            if (left := tuple(day for day in one.days if (one.drill, day) not in held))
        ),
        declined=frozenset(found.declined),
        lost=lost_of(written, drills),
        done_frac=found.done,
        sown_m2=found.sown,
        out={name: drill for name, drills_out in found.out.items() for drill in drills_out[:1]},
        back={name: day for name, day in found.back.items() if not found.out.get(name)},
        struck=frozenset(found.struck),
        latest=found.latest,
        planned=found.planned,
    )


@dataclass
class Steps:
    """How a season stands so far, entry by entry."""

    rows: dict[str, Listed] = field(default_factory=dict)
    bookings: dict[str, Booked] = field(default_factory=dict)
    agreed: dict[str, Confirmed] = field(default_factory=dict)
    freed: list[Freed] = field(default_factory=list)
    promised: set[str] = field(default_factory=set)
    declined: set[tuple[str, str, date]] = field(default_factory=set)
    done: dict[str, float] = field(default_factory=dict)
    sown: dict[str, float] = field(default_factory=dict)
    out: dict[str, list[str]] = field(default_factory=dict)
    back: dict[str, date] = field(default_factory=dict)
    struck: set[str] = field(default_factory=set)
    latest: date | None = None
    planned: bool = False

    def take(self, entry: Entry) -> None:
        """Take the next entry."""
        step = _STEPS.get(entry.kind)
        if step:
            step(self, entry)
        if entry.kind in _ANSWERS:
            self.struck.discard(entry.request)
        if entry.kind == "cancel" and entry.facts.get("cause") in TAKEN:
            self.struck.add(entry.request)
        if entry.kind in HAPPENED and (self.latest is None or entry.day > self.latest):
            self.latest = entry.day

    def free(self, name: str, cause: str, after: date | None = None) -> None:
        """Days of a booking from after a day on, or all, are given back; if they were promised, they are offered."""
        self.agreed.pop(name, None)
        booked = self.bookings.get(name)
        if booked is None:
            return
        kept = tuple(day for day in booked.days if after is not None and day <= after)
        gone = tuple(day for day in booked.days if day not in kept)
        shared = any(
            other in self.bookings and set(self.bookings[other].days) & set(gone)
            for other in booked.shares_with
        )
        if gone and booked.confirmed and not shared:
            self.freed.append(Freed(drill=booked.drill, days=gone, request_id=name, cause=cause))
        if after is None or (not kept and booked.days):
            del self.bookings[name]
            self.promised.discard(name)
        else:
            self.bookings[name] = replace(booked, days=kept)


def _request(found: Steps, entry: Entry) -> None:
    found.rows[entry.request] = Listed(
        request_id=entry.request, renter_id=str(entry.facts["renter"]), cells=entry.facts["cells"]
    )


def _changed(found: Steps, entry: Entry) -> None:
    was = found.rows.get(entry.request)
    if was is not None:
        cells = {name: cell for name, cell in {**was.cells, **entry.facts["cells"]}.items() if cell}
        renter = str(entry.facts.get("renter", was.renter_id))
        found.rows[entry.request] = replace(was, renter_id=renter, cells=cells)


def _withdraw(found: Steps, entry: Entry) -> None:
    if entry.request in found.rows:
        found.rows[entry.request] = replace(found.rows[entry.request], withdrawn=True)
    found.free(entry.request, "withdraw")


def _planned(found: Steps, entry: Entry) -> None:
    found.planned = True
    found.promised.discard(entry.request)
    was, agreed = found.bookings.get(entry.request), found.agreed.pop(entry.request, None)
    booked = _booked(entry, confirmed=was is not None and was.confirmed)
    if agreed is not None and (agreed.drill, agreed.first) == (booked.drill, booked.days[0]):
        booked = replace(booked, confirmed=True)
    found.bookings[entry.request] = booked


def _booked(entry: Entry, *, confirmed: bool) -> Booked:
    facts, order = entry.facts, entry.facts.get("order", ())
    return Booked(
        drill=str(facts["drill"]),
        days=facts.get("days", ()),
        shares_with=tuple(other for other in order if other != entry.request),
        position=order.index(entry.request) if entry.request in order else 0,
        confirmed=confirmed,
        farthest_m=facts.get("road"),
        promise=facts.get("promise"),
    )


def _confirm(found: Steps, entry: Entry) -> None:
    was, facts = found.bookings.get(entry.request), entry.facts
    as_planned = was is not None and (
        facts.get("drill", was.drill) == was.drill and facts.get("first", was.days[0]) == was.days[0]
    )
    if was is not None and as_planned:
        days, promise = facts.get("days", was.days), facts.get("promise", was.promise)
        found.bookings[entry.request] = replace(was, confirmed=True, days=days, promise=promise)
    elif facts.get("days") and "drill" in facts:
        if was is not None and entry.request in found.promised:
            found.bookings[entry.request] = replace(was, confirmed=True)
            found.free(entry.request, "moved")
        found.bookings[entry.request] = _booked(entry, confirmed=True)
    elif "drill" in facts and "first" in facts:
        found.bookings.pop(entry.request, None)
        found.agreed[entry.request] = Confirmed(drill=str(facts["drill"]), first=facts["first"])


def _release(found: Steps, entry: Entry) -> None:
    found.promised.add(entry.request)
    found.agreed.pop(entry.request, None)
    if entry.request in found.bookings:
        found.bookings[entry.request] = replace(found.bookings[entry.request], confirmed=False)


def _cancel(found: Steps, entry: Entry) -> None:
    found.free(entry.request, "cancel")


def _shorten(found: Steps, entry: Entry) -> None:
    found.free(entry.request, "shorten", entry.facts["last"])


def _decline(found: Steps, entry: Entry) -> None:
    found.declined.add((entry.request, str(entry.facts["drill"]), entry.facts["first"]))


def _refused(found: Steps, entry: Entry) -> None:
    found.free(entry.request, "refused")


def _out(found: Steps, entry: Entry) -> None:
    drill, booked = str(entry.facts["drill"]), found.bookings.get(entry.request)
    found.out.setdefault(entry.request, []).append(drill)
    if booked is not None:
        first = found.out[entry.request] == [drill]
        found.bookings[entry.request] = replace(
            booked, drill=drill if first else booked.drill, confirmed=True
        )


def _in(found: Steps, entry: Entry) -> None:
    drills_out = found.out.get(entry.request, [])
    drill = str(entry.facts.get("drill", drills_out[0] if drills_out else ""))
    if drill in drills_out:
        drills_out.remove(drill)
    found.back[entry.request] = entry.day
    booked = found.bookings.get(entry.request)
    if not drills_out and booked is not None and booked.days and booked.days[-1] > entry.day:
        kept = [day for day in booked.days if day <= entry.day]
        found.free(entry.request, "in", kept[-1] if kept else booked.days[0])


def _sown(found: Steps, entry: Entry) -> None:
    found.sown[entry.request] = found.sown.get(entry.request, 0.0) + entry.facts.get("acres", 0.0)


def _done(found: Steps, entry: Entry) -> None:
    found.done[entry.request] = entry.facts["share"]
    booked = found.bookings.get(entry.request)
    if entry.facts["share"] >= 1 and booked is not None and booked.days[0] <= entry.day < booked.days[-1]:
        found.free(entry.request, "done", entry.day)


_STEPS: Mapping[str, Callable[[Steps, Entry], None]] = {
    "request": _request,
    "changed": _changed,
    "withdraw": _withdraw,
    "planned": _planned,
    "moved": _planned,
    "confirm": _confirm,
    "release": _release,
    "cancel": _cancel,
    "shorten": _shorten,
    "decline": _decline,
    "refused": _refused,
    "out": _out,
    "in": _in,
    "sown": _sown,
    "done": _done,
}
"""What each kind of entry changes; other kinds change nothing of how the season stands."""
