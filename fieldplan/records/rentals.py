"""Loans: a drill out with a renter, from one meter reading to the next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from fieldplan.model.records import Entry, Rental


def rentals_of(entries: Sequence[Entry]) -> Mapping[str, Sequence[Rental]]:
    """The loans of each request in the order in which they began.

    A return that does not say its drill is of the only one that is out with its request.

    Parameters
    ----------
    entries
        Those that hold.
    """
    rentals: dict[str, list[Rental]] = {}
    for entry in entries:
        own = rentals.setdefault(entry.request, [])
        if entry.kind == "out":
            own.append(Rental(request=entry.request, drill=str(entry.facts["drill"]), out=entry, back=None))
        elif entry.kind == "in":
            there = [
                k
                for k, one in enumerate(own)
                if one.back is None and entry.facts.get("drill") in (None, one.drill)
            ]
            if len(there) == 1:
                own[there[0]] = replace(own[there[0]], back=entry)
    return rentals


def rentals_sown(entries: Sequence[Entry]) -> Iterator[tuple[Entry, Rental | None]]:
    """Every entry of ground sown, with the loan under which it was: by the day.

    Where one loan ended and the next began on that day, it is the one that it stands within, in the order
    of the entries.
    """
    rentals, place = rentals_of(entries), {entry.number: k for k, entry in enumerate(entries)}
    for sown in entries:
        if sown.kind == "sown":
            there = [
                rental
                for rental in rentals[sown.request]
                if rental.out.day <= sown.day and (rental.back is None or sown.day <= rental.back.day)
            ]
            at = place[sown.number]
            within = [
                one
                for one in there
                if place[one.out.number] < at and (one.back is None or at < place[one.back.number])
            ]
            best = within or there
            yield sown, best[-1] if best else None


def readings_of(entries: Sequence[Entry]) -> Iterator[tuple[str, Entry]]:
    """Every reading of a drill's meter with the drill, in order: going out, coming back, read by the
    district.
    """
    drills = {
        one.number: rental.drill
        for own in rentals_of(entries).values()
        for rental in own
        for one in (rental.out, rental.back)
        if one
    }
    for entry in entries:
        if entry.kind == "meter":
            yield str(entry.facts["drill"]), entry
        elif entry.number in drills:
            yield drills[entry.number], entry
