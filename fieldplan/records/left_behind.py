"""What striking an entry leaves behind, and the entry that would set it right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from fieldplan.facts import Fact, fact
from fieldplan.model.records import Entry
from fieldplan.records.current_entries import current_entries
from fieldplan.records.rentals import rentals_of
from fieldplan.records.standing import standing_of


def left_behind(
    entries: Sequence[Entry], written: Sequence[Entry], drills: Sequence[str]
) -> Iterator[Fact]:
    """What each strike among new entries leaves behind: how the season stands without the row that was struck.

    Parameters
    ----------
    entries
        All entries, with the new ones.
    written
        The new ones.
    drills
        Names of the season's drills.
    """
    by_number = {entry.number: entry for entry in entries}
    current = current_entries(entries)
    for strike in written:
        struck = by_number.get(strike.corrects or 0) if strike.kind == "strike" else None
        if struck is not None:
            yield fact(
                "struck",
                row=struck.number,
                kind=struck.kind,
                left=_left(struck, entries, current, drills),
                typed=_typed(struck),
            )


def _typed(entry: Entry) -> str:
    """The entry as it would be typed again."""
    words = [
        f'{name}="{value}"' if " " in value or not value else f"{name}={value}"
        for name, value in entry.typed.items()
        if name not in ("promise", "road", "order")
    ]
    return " ".join((entry.kind, *words))


def _left(struck: Entry, entries: Sequence[Entry], current: Sequence[Entry], drills: Sequence[str]) -> Fact:
    name, kind = struck.request, struck.kind
    if kind in ("out", "in"):
        still = [one.drill for one in rentals_of(current).get(name, ()) if one.back is None]
        return (
            fact("left-out", request=name, drills=tuple(still))
            if still
            else fact("left-home", request=name)
        )
    same = [one for one in current if one.kind == kind and one.request == name]
    if kind in ("paid", "deposit"):
        total = str(sum((one.facts["sum"] for one in same), Decimal(0)))
        return (
            fact("left-paid", request=name, total=total)
            if kind == "paid"
            else fact("left-deposit", request=name, total=total)
        )
    if kind in ("sown", "seed"):
        return fact("left-entries", request=name, n_entries=len(same), kind=kind)
    if kind in ("rain", "lost", "down"):
        return fact("left-lost", on_typed_day=struck.day)
    standing = standing_of(entries, drills)
    booked = standing.bookings.get(name)
    if name and name in standing.rows and standing.rows[name].withdrawn:
        return fact("left-withdrawn", request=name)
    if booked is not None:
        return fact(
            "left-confirmed" if booked.confirmed else "left-planned",
            request=name,
            drill=booked.drill,
            first_typed_day=booked.days[0],
            last_typed_day=booked.days[-1],
        )
    if name in standing.agreed:
        agreed = standing.agreed[name]
        return fact("left-agreed", request=name, drill=agreed.drill, first_typed_day=agreed.first)
    return fact("left-without-days", request=name) if name else fact("left-nothing")
