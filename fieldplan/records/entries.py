"""Reading entries as people type them: facts as name=value, or a CSV with one entry a row."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path

from fieldplan.errors import InputError, Problem, UsageError, problem
from fieldplan.jobfile.lists import read_list
from fieldplan.model.records import Fresh
from fieldplan.records.booking_kinds import SAID
from fieldplan.records.kinds import KINDS

MAX_ENTRIES = 20_000
LEDGER_COLUMNS = ("number", "entered")
"""Columns of ``season ledger --csv`` that are ignored: new entries get new ones."""


def typed_entry(kind: str, words: Iterable[str], today: date | None = None) -> Fresh:
    """Read an entry of one kind.

    Parameters
    ----------
    words
        Facts such as ``day=2027-04-24``.
    today
        The day of an entry of a kind in `SAID` that is typed without one.

    Raises
    ------
    UsageError
        If a word is not name=value, or a fact is given twice.

    Examples
    --------
    >>> typed_entry("rain", ["drill=ten foot", "day=2027-04-24"]).typed
    {'drill': 'ten foot', 'day': '2027-04-24'}
    """
    typed: dict[str, str] = {}
    for word in words:
        name, equals, value = (part.strip() for part in word.partition("="))
        name = name.casefold()
        if not (name and equals and value):
            raise UsageError.of("fact-unreadable", word=word)
        if name in typed:
            raise UsageError.of("fact-twice", fact=name)
        typed[name] = value
    if today is not None and kind in SAID:
        typed.setdefault("day", today.isoformat())
    return _fresh(kind, typed, "")


def read_entries(path: Path) -> tuple[Fresh, ...]:
    """Read a CSV of entries.

    Its columns are ``kind``, one for each fact used, and ``corrects`` for rows of the ledger that are
    corrected.

    Raises
    ------
    InputError
        With every row that cannot be read.
    """
    columns = {
        "kind": ", ".join(KINDS),
        "corrects": "the number of a row of the ledger",
        **{name: fact.example for _, facts in KINDS.values() for name, fact in facts.items()},
    }
    problems: list[Problem] = []
    found = []
    for row in read_list(path, "entries", columns=columns, needed=("kind",), maximum=MAX_ENTRIES):
        if row.beyond:
            problems.append(
                problem("entry-row", file=str(path), about=f"row {row.number}", n_cells=row.beyond)
            )
            continue
        cells = {
            name: unguarded(cell) for name, cell in row.cells.items() if cell and name not in LEDGER_COLUMNS
        }
        try:
            found.append(_fresh(cells.pop("kind", ""), cells, f"{path}: row {row.number}"))
        except UsageError as error:
            problems += error.problems
    if problems:
        raise InputError(tuple(problems))
    return tuple(found)


def unguarded(cell: str) -> str:
    """A cell without the apostrophe that keeps spreadsheets from reading it as a formula.

    >>> unguarded("'-40")
    '-40'
    """
    return cell[1:] if cell[:1] == "'" and cell[1:2] in ("=", "+", "-", "@") else cell


def _fresh(kind: str, typed: Mapping[str, str], where: str) -> Fresh:
    facts = dict(typed)
    corrects = facts.pop("corrects", None)
    if corrects is not None and not (corrects.isascii() and corrects.isdigit() and len(corrects) < 10):
        raise UsageError.of("corrects-unreadable", file=where, given=corrects)
    return Fresh(kind=kind, typed=facts, corrects=None if corrects is None else int(corrects), where=where)
