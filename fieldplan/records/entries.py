"""Entries as people type them: facts as name=value, or a CSV with a row an entry."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from fieldplan.errors import InputError, Problem, UsageError, problem
from fieldplan.jobfile.lists import read_list
from fieldplan.model.records import Fresh
from fieldplan.records.kinds import KINDS

MAX_ENTRIES = 20_000
LEDGER_COLUMNS = ("number", "entered")
"""Columns of ``season ledger --csv`` that a new entry gets anew."""


def typed_entry(kind: str, words: Iterable[str]) -> Fresh:
    """The entry of one kind with facts such as ``day=2027-04-24``.

    Raises
    ------
    UsageError
        If a word is no fact or a fact is said twice.
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
    return _fresh(kind, typed, "")


def read_entries(path: Path) -> tuple[Fresh, ...]:
    """The entries of a CSV: a column ``kind``, one for each fact that is used, ``corrects`` where a row of
    the ledger is put right.

    Raises
    ------
    InputError
        If it cannot be read as one.
    """
    columns = {
        "kind": ", ".join(KINDS),
        "corrects": "a row of the ledger",
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
    """A cell without the mark that keeps a spreadsheet from working it out as a formula."""
    return cell[1:] if cell[:1] == "'" and cell[1:2] in ("=", "+", "-", "@") else cell


def _fresh(kind: str, typed: Mapping[str, str], where: str) -> Fresh:
    facts = dict(typed)
    corrects = facts.pop("corrects", None)
    if corrects is not None and not (corrects.isascii() and corrects.isdigit() and len(corrects) < 10):
        raise UsageError.of("corrects-unreadable", file=where, given=corrects)
    return Fresh(kind=kind, typed=facts, corrects=None if corrects is None else int(corrects), where=where)
