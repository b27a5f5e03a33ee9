"""Entries as people type them: facts as name=value, or a CSV with a row an entry."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from pathlib import Path

from fieldplan.errors import InputError, Problem, UsageError
from fieldplan.model.records import Fresh

MOST_ENTRIES = 20_000


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
        if not (name and equals and value):
            raise UsageError.of("fact-unreadable", f'"{word}" is no fact.', "name=value, such as day=2027-04-24")
        if name in typed:
            raise UsageError.of("fact-twice", f"{name} is said twice.", "once")
        typed[name] = value
    return _fresh(kind, typed, "")


def read_entries(path: Path) -> tuple[Fresh, ...]:
    """The entries of a CSV: a column ``kind``, one for each fact that is used, ``corrects`` where a row of the ledger is put right.

    Raises
    ------
    InputError
        If it cannot be read as one.
    """
    try:
        table = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8-sig")), strict=True))
    except OSError as problem:
        raise InputError.of("entries-unreadable", f"{path}: cannot be opened ({problem.strerror}).") from None
    except (UnicodeDecodeError, csv.Error) as problem:
        raise InputError.of("entries-not-csv", f"{path}: {problem}.", "save it as CSV in UTF-8") from None
    rows = [(number, row) for number, row in enumerate(table, start=1) if any(one.strip() for one in row)]
    header = [name.strip().casefold() for name in rows[0][1]] if rows else []
    if "kind" not in header or len(rows) < 2:
        raise InputError.of("entries-empty", f"{path}: holds no entry under a column kind.", "kind,request,drill,day,meter")
    if len(rows) > MOST_ENTRIES:
        raise InputError.of("entries-many", f"{path}: holds {len(rows) - 1} entries.", f"at most {MOST_ENTRIES} at a time")
    twice = sorted({name for name in header if name and header.count(name) > 1})
    problems = [Problem(code="column-twice", text=f'{path}: column "{name}" stands twice.', hint="keep one") for name in twice]
    found = []
    for number, row in rows[1:]:
        if len(row) > len(header):
            problems.append(Problem(
                code="entry-row", text=f"{path}: row {number} has {len(row)} cells under {len(header)} columns.", hint="quote cells that hold a comma"
            ))  # fmt: skip
            continue
        cells = {name: cell.strip() for name, cell in zip(header, row, strict=False) if name and cell.strip()}
        try:
            found.append(_fresh(cells.pop("kind", ""), cells, f"{path}: row {number}"))
        except UsageError as error:
            problems += error.problems
    if problems:
        raise InputError(tuple(problems))
    return tuple(found)


def _fresh(kind: str, typed: Mapping[str, str], where: str) -> Fresh:
    facts = dict(typed)
    corrects = facts.pop("corrects", None)
    if corrects is not None and not (corrects.isascii() and corrects.isdigit() and len(corrects) < 10):
        said = f"{where}: " if where else ""
        raise UsageError.of("corrects-unreadable", f'{said}corrects "{corrects}" is no row of the ledger.', "corrects=12")
    return Fresh(kind=kind, typed=facts, corrects=None if corrects is None else int(corrects), where=where)
