"""Rentals: a drill out with a renter, from one meter reading to the next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from fieldplan.model.records import Entry, Rental


def rentals_of(entries: Sequence[Entry]) -> Mapping[str, Sequence[Rental]]:
    """The rentals of each request, in the order in which they began.

    A return that names no drill is of the only drill out with its request.

    Parameters
    ----------
    entries
        Current entries.

    Returns
    -------
    Mapping
        Rentals by request id.
    """
    rentals: dict[str, list[Rental]] = {}
    for entry in entries:
        of_request = rentals.setdefault(entry.request, [])
        if entry.kind == "out":
            of_request.append(
                Rental(request=entry.request, drill=str(entry.facts["drill"]), out=entry, back=None)
            )
        elif entry.kind == "in":
            there = [
                k
                for k, rental in enumerate(of_request)
                if rental.back is None and entry.facts.get("drill") in (None, rental.drill)
            ]
            if len(there) == 1:
                of_request[there[0]] = replace(of_request[there[0]], back=entry)
        elif entry.kind == "meter":
            for held in rentals.values():
                for k, rental in enumerate(held):
                    if rental.back is None and rental.drill == entry.facts["drill"]:
                        held[k] = replace(rental, between=(*rental.between, entry))
    return rentals


def rentals_sown(entries: Sequence[Entry]) -> Iterator[tuple[Entry, Rental | None]]:
    """Every entry of ground sown, with the rental of that day; ``None`` if no drill was out.

    If one rental ended and the next began on that day, the order of the entries decides.
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
                rental
                for rental in there
                if place[rental.out.number] < at and (rental.back is None or at < place[rental.back.number])
            ]
            best = within or there
            yield sown, best[-1] if best else None


def readings_of(entries: Sequence[Entry]) -> Iterator[tuple[str, Entry]]:
    """Every reading of a meter with its drill, in order: going out, coming back, read by the district."""
    drills = {
        entry_of_rental.number: rental.drill
        for of_request in rentals_of(entries).values()
        for rental in of_request
        for entry_of_rental in (rental.out, rental.back)
        if entry_of_rental
    }
    for entry in entries:
        if entry.kind == "meter":
            yield str(entry.facts["drill"]), entry
        elif entry.number in drills:
            yield drills[entry.number], entry
