"""Tables of a job file against the schema: every fault found, each with file, table, key and what would be right."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from fieldplan.errors import InputError, Problem
from fieldplan.jobfile.schema import HINTS, SCHEMA
from fieldplan.model.notes import Note
from fieldplan.tables import read as tables

Made = TypeVar("Made")
Table = Mapping[str, Any]
Placed = tuple[Table, Path]
"""A table and the file it stands in."""


class Checker:
    """Collects the problems and notes of one job file."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self.notes: list[Note] = []

    def values(self, table: str, given: Mapping[str, Any], path: Path, label: str) -> dict[str, Any]:
        """Checked values of a table: given ones, then defaults, each default used making a note.

        Keys that are missing or wrong are left out and recorded as problems.
        """
        schema = SCHEMA[table]
        where = f"{path}: [{label}]"
        values: dict[str, Any] = {}
        for key, raw in given.items():
            if key in schema:
                try:
                    values[key] = schema[key].parse(raw)
                except InputError as error:
                    self.problem_of(error, f"{where} {key}")
                if not schema[key].used:
                    self.notes.append(
                        Note(
                            code="key-not-used",
                            text=f"{label}.{key} is kept but changes nothing in this plan.",
                        )
                    )
            else:
                self.unknown(key, tuple(schema), where)
        for key, spec in schema.items():
            if key in given or not spec.used:
                continue
            fallback = tables.default(table, key)
            if fallback:
                values[key] = spec.parse(fallback[0])
                self.default_used(f"{table}.{key}", *fallback)
            elif not spec.optional:
                self.problems.append(
                    Problem(
                        code="key-missing",
                        text=f"{where} {key} is missing.",
                        hint=HINTS.get((table, key), f"add {key}"),
                    )
                )
        return values

    def default_used(self, key: str, value: str, source: str) -> None:
        """Note that a default stands in for a key."""
        said = {"assumed": "assumed", "practice": "common practice, no source"}.get(source, f"source: {source}")
        text, values = tables.with_values(f"{{{value}}}")
        note = Note(code="default-used", text=f"{key} = {text if values else value} ({said})", values=values)
        if note not in self.notes:
            self.notes.append(note)

    def problem(self, code: str, text: str, hint: str = "") -> None:
        """Record a problem."""
        self.problems.append(Problem(code=code, text=text, hint=hint))

    def unknown(self, key: str, known: tuple[str, ...], where: str) -> None:
        """Record a key that the schema does not have, with the nearest one it has."""
        near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
        hint = f'did you mean "{near[0]}"?' if near else "known here: " + ", ".join(known)
        self.problems.append(Problem(code="key-unknown", text=f'{where} has no key "{key}".', hint=hint))

    def problem_of(self, error: InputError, where: str) -> None:
        """Record the problems of a value, with where it stands."""
        self.problems += [Problem(code=p.code, text=f"{where} {p.text}.", hint=p.hint) for p in error.problems]


def one_of(tables_given: list[Placed], name: str, path: Path, checker: Checker) -> Placed | None:
    """The only table of that name, or ``None``; a problem if it stands more than once."""
    if len(tables_given) > 1:
        checker.problems.append(Problem(code="table-twice", text=f"{path}: [{name}] stands more than once.", hint="keep one"))
    return tables_given[0] if tables_given else None


def made(checker: Checker, where: str, make: Callable[[], Made]) -> Made | None:
    """A model value, or ``None`` with its range problems recorded."""
    try:
        return make()
    except InputError as error:
        checker.problem_of(error, where)
        return None
