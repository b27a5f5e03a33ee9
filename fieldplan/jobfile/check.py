"""Tables of a job file against the schema: every fault found, each with file, table, key and what would be right."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

from fieldplan.errors import InputError, Problem
from fieldplan.jobfile.hints import right_form
from fieldplan.jobfile.plausible import MEANT, Spot, doubt, doubts
from fieldplan.jobfile.schema import HINTS, SCHEMA
from fieldplan.jobfile.values import texts
from fieldplan.model.notes import Note
from fieldplan.model.spelling import nearest
from fieldplan.tables import read as tables
from fieldplan.units import Kind

Made = TypeVar("Made")
Table = Mapping[str, Any]
Placed = tuple[Table, Path]
"""A table and the file it stands in."""


MOST_LOOKED_UP = 500
"""A file of more faults than this is no job file: what else its keys may be slips of is not looked up."""


class Checker:
    """Collects the problems and notes of one job file."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self.notes: list[Note] = []
        self._said: dict[tuple[str, str], Problem | Note] = {}

    def values(self, table: str, given: Mapping[str, Any], path: Path, label: str) -> dict[str, Any]:
        """Checked values of a table: given ones, then defaults, each default used making a note.

        Keys that are missing or wrong are left out and recorded as problems.
        """
        schema = SCHEMA[table]
        where = f"{path}: [{label}]"
        values: dict[str, Any] = {MEANT: self._meant(given.get(MEANT, []), tuple(schema), where)}
        suggested: set[str | None] = set()
        for key, raw in given.items():
            if key in schema:
                try:
                    values[key] = schema[key].parse(raw)
                except InputError as error:
                    self.value_of(error, table, key, raw, where)
            elif key != MEANT:
                suggested.add(self.unknown(key, tuple(schema), where, table))
        spot = Spot(table=table, label=label, where=where, meant=values[MEANT])
        for key, said in doubts(spot, {key: spec.parse for key, spec in schema.items()}, given, values):
            self._say(spot, key, said)
        for key, spec in schema.items():
            if key in given or key in suggested:
                continue
            fallback = tables.default(table, key)
            if fallback:
                values[key] = spec.parse(fallback[0])
                self.default_used(f"{table}.{key}", *fallback)
            elif not spec.optional:
                self.problems.append(
                    Problem(
                        code="key-missing",
                        told=f"{where} {key} is missing.",
                        told_hint=HINTS.get((table, key), f"add {key}"),
                    )
                )
        return values

    def weigh(self, spot: Spot, key: str, band: str, amount: float, kind: Kind | None, *, given: object, about: str = "") -> None:
        """Say so if an amount that follows from a key, and from others, is unlikely. Of several things to say of a key the worst is said."""
        said = doubt(spot, key, band, amount, kind, given=given, about=about)
        if said is not None:
            self._say(spot, key, said)

    def _say(self, spot: Spot, key: str, said: Problem | Note) -> None:
        known = self._said.get((spot.label, key))
        if isinstance(known, Problem) or (isinstance(known, Note) and isinstance(said, Note)):
            return
        if isinstance(known, Note):
            self.notes.remove(known)
        self._said[spot.label, key] = said
        if isinstance(said, Problem):
            self.problems.append(said)
        else:
            self.notes.append(said)

    def unlikely(self, label: str) -> tuple[str, ...]:
        """Keys of a table that are unlikely as they stand and not said to be meant."""
        return tuple(key for known, key in self._said if known == label)

    def _meant(self, given: object, known: tuple[str, ...], where: str) -> frozenset[str]:
        """The keys that are said to be meant as they stand."""
        try:
            keys = () if given == [] else texts([given] if isinstance(given, str) else given)
        except InputError:
            self.problem("not-texts", f"{where} {MEANT} is no list of keys.", f'such as {MEANT} = ["{known[-1]}"]')
            return frozenset()
        for key in keys:
            if key not in known:
                self.unknown(key, known, where)
        return frozenset(keys)

    def default_used(self, key: str, value: str, source: str) -> None:
        """Note that a default stands in for a key."""
        said = {"assumed": "assumed", "practice": "common practice, no source"}.get(source, f"source: {source}")
        text, values = tables.with_values(f"{{{value}}}")
        note = Note(code="default-used", told=f"{key} = {text if values else value} ({said})", values={"key": key, **values})
        if note not in self.notes:
            self.notes.append(note)

    def problem(self, code: str, text: str, hint: str = "") -> None:
        """Record a problem."""
        self.problems.append(Problem(code=code, told=text, told_hint=hint))

    def unknown(self, key: str, known: Sequence[str], where: str, table: str = "") -> str | None:
        """Record a key that the schema does not have, with the nearest one it has or what it is called here; which key was suggested."""
        if len(self.problems) >= MOST_LOOKED_UP:
            self.problems.append(
                Problem(code="key-unknown", told=f'{where} has no key "{key}".', told_hint="known here: " + ", ".join(known))
            )
            return None
        word = key.strip().casefold().replace("-", "_").replace(" ", "_")
        said = next((row["says"] for row in tables.rows("other_words") if (row["table"], row["word"]) == (table, word)), None)
        near = nearest(key, known, 0.5) if said is None else next((one for one in known if f'"{one}"?' in said), None)
        hint = said or (f'did you mean "{near}"?' if near else "known here: " + ", ".join(known))
        what = f"table [{key}]" if table in ("file", "season file") else f'key "{key}"'
        self.problems.append(Problem(code="key-unknown", told=f"{where} has no {what}.", told_hint=hint))
        return near

    def value_of(self, error: InputError, table: str, key: str, raw: object, where: str) -> None:
        """Record that a value cannot be read, with the form that it should have."""
        parser = SCHEMA[table][key].parse
        self.problems += [
            Problem(
                code=one.code,
                told=f"{where} {key} {one.text.removeprefix(f'{key} ')}.",
                told_hint=right_form(table, key, parser, raw, one.hint),
            )
            for one in error.problems
        ]

    def problem_of(self, error: InputError, where: str) -> None:
        """Record the problems of a value, with where it stands; of a key that was refused already nothing more is said."""
        refused = {one.text.partition(" = ")[0] for one in self.problems if one.code == "hardly-possible"}
        self.problems += [
            Problem(code=p.code, told=f"{where} {p.text}.", told_hint=p.hint)
            for p in error.problems
            if f"{where} {p.text.partition(' ')[0]}" not in refused
        ]


def one_of(tables_given: list[Placed], name: str, path: Path, checker: Checker) -> Placed | None:
    """The only table of that name, or ``None``; a problem if it stands more than once."""
    if len(tables_given) > 1:
        checker.problems.append(
            Problem(code="table-twice", told=f"{path}: [{name}] stands more than once.", told_hint="keep one")
        )
    return tables_given[0] if tables_given else None


def made(checker: Checker, where: str, make: Callable[[], Made]) -> Made | None:
    """A model value, or ``None`` with its range problems recorded."""
    try:
        return make()
    except InputError as error:
        checker.problem_of(error, where)
        return None
