"""Current entries: each row as last corrected, without rows that were struck."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fieldplan.errors import Problem, problem
from fieldplan.model.records import Entry


def current_entries(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Current entries, in the order of the days on which they happened.

    Entries of one day keep the order of their first rows, whatever corrected them later.
    """
    first_row: dict[int, int] = {}
    current: dict[int, Entry] = {}
    for entry in entries:
        first_row[entry.number] = (
            first_row.get(entry.corrects, entry.number) if entry.corrects else entry.number
        )
        if entry.kind == "strike":
            current.pop(first_row[entry.number], None)
        else:
            current[first_row[entry.number]] = entry
    return tuple(entry for _, entry in sorted(current.items(), key=lambda pair: (pair[1].day, pair[0])))


def misdirected(entries: Sequence[Entry]) -> Iterator[tuple[int, Problem]]:
    """Corrections of a row that does not exist, is no longer current, or is of another kind.

    Yields
    ------
    tuple
        The number of the entry and the problem.
    """
    current: dict[int, Entry] = {}
    for entry in entries:
        if entry.corrects is not None:
            corrected = current.pop(entry.corrects, None)
            if corrected is None:
                yield entry.number, problem("corrects-nothing", row=entry.corrects)
            elif entry.kind not in ("strike", corrected.kind):
                yield (
                    entry.number,
                    problem("corrects-another", kind=entry.kind, row=entry.corrects, other=corrected.kind),
                )
        if entry.kind != "strike":
            current[entry.number] = entry
