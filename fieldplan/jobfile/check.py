"""Tables of a job file against the schema: every fault found, each with file, table, key and what would be
right.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from fieldplan.errors import InputError, Problem, Where, placed, problem
from fieldplan.facts import Fact, TableSentence, Value
from fieldplan.jobfile.hints import right_form
from fieldplan.jobfile.plausible import MEANT, Spot, warning, warnings
from fieldplan.jobfile.schema import SCHEMA, names_now, with_names_now
from fieldplan.jobfile.values import texts
from fieldplan.model.notes import Note
from fieldplan.model.spelling import nearest
from fieldplan.tables import read as tables
from fieldplan.units import Kind

Made = TypeVar("Made")
Table = Mapping[str, Any]
Placed = tuple[Table, Path]
"""A table and the file it stands in."""


MAX_LOOKED_UP = 500
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
        schema, spot = SCHEMA[table], Spot(table=table, label=label, path=path)
        as_typed = {key: older for older, key in names_now(table).items() if older in given}
        given = self._renamed(given, spot)
        spot = replace(spot, meant=self._meant(given.get(MEANT, []), tuple(schema), spot))
        values: dict[str, Any] = {MEANT: spot.meant}
        suggested: set[str | None] = set()
        for key, raw in given.items():
            if key in schema:
                try:
                    values[key] = schema[key].parse(raw)
                except InputError as error:
                    self._value_of(error, key, raw, spot, as_typed.get(key, key))
            elif key != MEANT:
                suggested.add(self.unknown(key, tuple(schema), table, **spot.where))
        for key, finding in warnings(
            spot, {key: spec.parse for key, spec in schema.items()}, given, values
        ):
            self._say(spot, key, finding)
        for key, spec in schema.items():
            if key in given or key in suggested:
                continue
            fallback = tables.default_read(table, key, spec.parse)
            if fallback:
                values[key], text, source = fallback
                self.default_used(f"{table}.{key}", text, source)
            elif not spec.optional:
                asked = tables.asked(table, key)
                if asked:
                    self.problem("key-missing", key=key, asked=TableSentence(asked), **spot.where)
                else:
                    self.problem("key-missing/add", key=key, **spot.where)
        return values

    def _renamed(self, given: Mapping[str, Any], spot: Spot) -> Mapping[str, Any]:
        """The values under today's names; a key that stands under both of its names is a problem."""
        for older, key in names_now(spot.table).items():
            if older in given and key in given:
                self.problem("key-twice", key=key, older=older, **spot.where)
        return with_names_now(spot.table, given)

    def weigh(
        self,
        spot: Spot,
        key: str,
        band: str,
        amount: float,
        kind: Kind | None,
        *,
        given: object,
        makes: Fact | None = None,
    ) -> None:
        """Say so if an amount that follows from a key, and from others, is unlikely. Of several things to
        say of a key the worst is said.
        """
        finding = warning(spot, key, band, amount, kind, given=given, makes=makes)
        if finding is not None:
            self._say(spot, key, finding)

    def _say(self, spot: Spot, key: str, finding: Problem | Note) -> None:
        known = self._said.get((spot.label, key))
        if isinstance(known, Problem) or (isinstance(known, Note) and isinstance(finding, Note)):
            return
        if isinstance(known, Note):
            self.notes.remove(known)
        self._said[spot.label, key] = finding
        if isinstance(finding, Problem):
            self.problems.append(finding)
        else:
            self.notes.append(finding)

    def unlikely(self, label: str) -> tuple[str, ...]:
        """Keys of a table that are unlikely as they stand and not said to be meant."""
        return tuple(key for known, key in self._said if known == label)

    def _meant(self, given: object, known: tuple[str, ...], spot: Spot) -> frozenset[str]:
        """The keys that are said to be meant as they stand."""
        try:
            keys = () if given == [] else texts([given] if isinstance(given, str) else given)
        except InputError:
            self.problem("not-texts/meant", key=MEANT, example=known[-1], **spot.where)
            return frozenset()
        now = names_now(spot.table)
        keys = tuple(now.get(key, key) for key in keys)
        for key in keys:
            if key not in known:
                self.unknown(key, known, **spot.where)
        return frozenset(keys)

    def default_used(self, key: str, value: str, source: str, case: str = "", **more: Value) -> None:
        """Note that a default stands in for a key, in one ``case`` of several if it has some."""
        values = {"key": key, "value": tables.quantity(value), **more}
        note = Note(code="default-used", case=case, values=values, sources=(source,))
        if note not in self.notes:
            self.notes.append(note)

    def problem(self, key: str, /, *, cure: Fact | None = None, **values: Value) -> None:
        """Record a problem by ``"code"`` or ``"code/case"``."""
        self.problems.append(problem(key, cure=cure, **values))

    def unknown(
        self, name: str, known: Sequence[str], table: str = "", *, file: str, about: str = ""
    ) -> str | None:
        """Record a key that the schema does not have, with the nearest one it has or what it is called
        here; which key was suggested.
        """
        if len(self.problems) >= MAX_LOOKED_UP:
            self.problem(
                "key-unknown", name=name, known=tuple(known), near="", says="", file=file, about=about
            )
            return None
        word = name.strip().casefold().replace("-", "_").replace(" ", "_")
        row = next(
            (row for row in tables.rows("other_words") if (row["table"], row["word"]) == (table, word)),
            None,
        )
        near = nearest(name, known, 0.5) if row is None else row["meant"] if row["meant"] in known else None
        says = row["says"] if row is not None else ""
        self.problem(
            "key-unknown/table" if table in ("file", "season file") else "key-unknown",
            name=name,
            says=TableSentence(says) if says else "",
            near=near or "",
            known=() if near or says else tuple(known),
            file=file,
            about=about,
        )
        return near

    def _value_of(self, error: InputError, key: str, raw: object, spot: Spot, as_typed: str) -> None:
        """Record that a value cannot be read, with the form that it should have; the key as it was typed."""
        parser = SCHEMA[spot.table][key].parse
        self.problems += [
            placed(one, key=as_typed, cure=right_form(spot.table, key, parser, raw, one), **spot.where)
            for one in error.problems
        ]

    def problem_of(self, error: InputError, where: Where) -> None:
        """Record the problems of a value, with where it stands; of a key that was refused already nothing
        more is said.
        """
        refused = {(one.file, one.about, one.key) for one in self.problems if one.code == "hardly-possible"}
        own = [placed(one, **where) for one in error.problems]
        self.problems += [one for one in own if (one.file, one.about, one.key) not in refused]


def one_of(tables_given: list[Placed], name: str, path: Path, checker: Checker) -> Placed | None:
    """The only table of that name, or ``None``; a problem if it stands more than once."""
    if len(tables_given) > 1:
        checker.problem("table-twice", file=str(path), about=f"[{name}]")
    return tables_given[0] if tables_given else None


def made(checker: Checker, where: Where, make: Callable[[], Made]) -> Made | None:
    """A model value, or ``None`` with its range problems recorded; ``where`` is the ``file`` and what of it
    it is ``about``.
    """
    try:
        return make()
    except InputError as error:
        checker.problem_of(error, where)
        return None
