"""The entries that hold: each row as it was last put right, struck rows gone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fieldplan.errors import Problem, problem
from fieldplan.model.records import Entry


def current_entries(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Entries that hold, by the day on which it happened; on one day, in the order of the rows they began
    as.
    """
    place: dict[int, int] = {}
    holds: dict[int, Entry] = {}
    for entry in entries:
        place[entry.number] = place.get(entry.corrects, entry.number) if entry.corrects else entry.number
        if entry.kind == "strike":
            holds.pop(place[entry.number], None)
        else:
            holds[place[entry.number]] = entry
    return tuple(entry for _, entry in sorted(holds.items(), key=lambda pair: (pair[1].day, pair[0])))


def misdirected(entries: Sequence[Entry]) -> Iterator[tuple[int, Problem]]:
    """Corrections that put right no row, a row that holds no more, or one of another kind; with the number
    of each.
    """
    holds: dict[int, Entry] = {}
    for entry in entries:
        if entry.corrects is not None:
            there = holds.pop(entry.corrects, None)
            if there is None:
                yield entry.number, problem("corrects-nothing", row=entry.corrects)
            elif entry.kind not in ("strike", there.kind):
                yield (
                    entry.number,
                    problem("corrects-another", kind=entry.kind, row=entry.corrects, other=there.kind),
                )
        if entry.kind != "strike":
            holds[entry.number] = entry
