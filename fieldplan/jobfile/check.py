"""Check the tables of a job file against the schema; every problem names file, table and key."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from fieldplan.errors import InputError, Problem, Where, placed, problem
from fieldplan.facts import Fact, TableSentence, Value
from fieldplan.jobfile.hints import right_form
from fieldplan.jobfile.plausible import MEANT, Spot, warning, warnings
from fieldplan.jobfile.schema import SCHEMA, headings_with, names_now, with_names_now
from fieldplan.jobfile.values import texts
from fieldplan.model.notes import Note
from fieldplan.model.spelling import nearest
from fieldplan.tables import read as tables
from fieldplan.units import Kind

Made = TypeVar("Made")
Table = Mapping[str, Any]
Placed = tuple[Table, Path]
"""A table and the file it comes from."""


MAX_LOOKED_UP = 500
"""Number of problems after which unknown keys are no longer compared with known ones: this is no job file."""


class Checker:
    """Collects the problems and notes of one job file.

    Attributes
    ----------
    problems
        What makes the file unusable, in the order found.
    notes
        Defaults used, figures taken from tables, and warnings of unlikely values.
    """

    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self.notes: list[Note] = []
        self._findings: dict[tuple[str, str], Problem | Note] = {}

    def values(self, table: str, given: Mapping[str, Any], path: Path, label: str) -> dict[str, Any]:
        """Return the checked values of a table: those given, then defaults with a note for each.

        Keys that are missing or wrong are left out and recorded as problems.

        Parameters
        ----------
        table
            Its name in the schema, such as ``"drill.box"``.
        given
            The table as read from the file.
        path
            The file.
        label
            What messages call the table, such as ``"drill.box grain"``.

        Returns
        -------
        dict
            Values in SI by key, and under `MEANT` the keys that the file confirms.
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
        parsers = {key: spec.parse for key, spec in schema.items()}
        for key, finding in warnings(spot, parsers, given, values):
            self._record(spot, key, finding)
        for key, spec in schema.items():
            if key in given or key in suggested or any(other in given for other in spec.unless):
                continue
            fallback = None if spec.optional else tables.default_read(table, key, spec.parse)
            if fallback:
                values[key], text, source = fallback
                self.default_used(f"{table}.{key}", text, source)
            elif not spec.optional:
                self._missing(key, spot)
        return values

    def _renamed(self, given: Mapping[str, Any], spot: Spot) -> Mapping[str, Any]:
        """The values under today's names; a key that stands under both of its names is a problem."""
        for older, key in names_now(spot.table).items():
            if older in given and key in given:
                self.problem("key-twice", key=key, older=older, **spot.where)
        return with_names_now(spot.table, given)

    def _missing(self, key: str, spot: Spot) -> None:
        asked = tables.asked(spot.table, key)
        if asked:
            self.problem("key-missing", key=key, asked=TableSentence(asked), **spot.where)
        else:
            self.problem("key-missing/add", key=key, **spot.where)

    def judge(
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
        """Record a warning or problem if an amount that follows from a key is unlikely.

        Of several findings about one key only the worst is kept.

        Parameters
        ----------
        spot
            The table of the key.
        key
            The key to name.
        band
            Key of the band in ``plausible.csv``.
        amount
            In SI; in the unit of the band if ``kind`` is ``None``.
        kind
            What the amount measures.
        given
            The key's value as the file has it.
        makes
            What the value comes to, if the amount is not the value itself.
        """
        finding = warning(spot, key, band, amount, kind, given=given, makes=makes)
        if finding is not None:
            self._record(spot, key, finding)

    def _record(self, spot: Spot, key: str, finding: Problem | Note) -> None:
        known = self._findings.get((spot.label, key))
        if isinstance(known, Problem) or (isinstance(known, Note) and isinstance(finding, Note)):
            return
        if isinstance(known, Note):
            self.notes.remove(known)
        self._findings[spot.label, key] = finding
        if isinstance(finding, Problem):
            self.problems.append(finding)
        else:
            self.notes.append(finding)

    def unlikely(self, label: str) -> tuple[str, ...]:
        """Return the keys of a table with unlikely values that the file does not confirm."""
        return tuple(key for known, key in self._findings if known == label)

    def _meant(self, given: object, known: tuple[str, ...], spot: Spot) -> frozenset[str]:
        """Return the keys that the file confirms as meant."""
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
        """Record a note that a default was used.

        Parameters
        ----------
        key
            The table and key it was used for, such as ``"working.field_speed"``.
        value
            The default as ``defaults.csv`` has it.
        source
            Key of its source.
        case, **more
            The case of the note and further values, where the default depends on something.
        """
        values = {"key": key, "value": tables.quantity(value), **more}
        note = Note(code="default-used", case=case, values=values, sources=(source,))
        if note not in self.notes:
            self.notes.append(note)

    def problem(self, key: str, /, *, cure: Fact | None = None, **values: Value) -> None:
        """Record a problem by its ``"code"`` or ``"code/case"``; see `fieldplan.errors.problem`."""
        self.problems.append(problem(key, cure=cure, **values))

    def unknown(
        self, name: str, known: Sequence[str], table: str = "", *, file: str, about: str = ""
    ) -> str | None:
        """Record a key that the schema does not have, with a suggestion.

        Parameters
        ----------
        name
            The unknown key.
        known
            The keys that the table may have.
        table
            The table's name in the schema, or ``"file"`` for a name of a table.
        file, about
            Where the key is.

        Returns
        -------
        str or None
            The key suggested instead, if any.
        """
        if len(self.problems) >= MAX_LOOKED_UP:
            self.problem(
                "key-unknown",
                name=name,
                known=tuple(known),
                near="",
                says="",
                headings=(),
                file=file,
                about=about,
            )
            return None
        word = name.strip().casefold().replace("-", "_").replace(" ", "_")
        row = next(
            (row for row in tables.rows("other_words") if (row["table"], row["word"]) == (table, word)),
            None,
        )
        headings = headings_with(word, table) if row is None and table and word not in known else ()
        near: str | None = None
        if row is not None:
            near = row["meant"] if row["meant"] in known else None
        elif not headings:
            near = nearest(name, known, 0.5)
        says = row["says"] if row is not None else ""
        self.problem(
            "key-unknown/table" if table in ("file", "season file") else "key-unknown",
            name=name,
            says=TableSentence(says) if says else "",
            headings=headings,
            near=near or "",
            known=() if near or says or headings else tuple(known),
            file=file,
            about=about,
        )
        return near

    def _value_of(self, error: InputError, key: str, raw: object, spot: Spot, as_typed: str) -> None:
        """Record that a value cannot be read, and how to write it."""
        parser = SCHEMA[spot.table][key].parse
        for fault in error.problems:
            cure = right_form(spot.table, key, parser, raw, fault)
            self.problems.append(placed(fault, key=as_typed, cure=cure, **spot.where))

    def problem_of(self, error: InputError, where: Where) -> None:
        """Record the problems of an error with their place, except for keys that were refused already."""
        refused = {
            (known.file, known.about, known.key)
            for known in self.problems
            if known.code == "hardly-possible"
        }
        for fault in (placed(fault, **where) for fault in error.problems):
            if (fault.file, fault.about, fault.key) not in refused:
                self.problems.append(fault)


def only_table(tables_given: list[Placed], name: str, path: Path, checker: Checker) -> Placed | None:
    """Return the only table of that name, or ``None``; record a problem if there are several.

    Parameters
    ----------
    tables_given
        The tables under that name.
    name
        The name.
    path
        The job file, to be named in the problem.
    checker
        Takes the problem.
    """
    if len(tables_given) > 1:
        checker.problem("table-twice", file=str(path), about=f"[{name}]")
    return tables_given[0] if tables_given else None


def made(checker: Checker, where: Where, make: Callable[[], Made]) -> Made | None:
    """Return a model value, or ``None`` with its problems recorded.

    Parameters
    ----------
    checker
        Takes the problems.
    where
        The ``file`` and the part of it concerned (``about``).
    make
        Makes the value; its constructor checks the ranges.
    """
    try:
        return make()
    except InputError as error:
        checker.problem_of(error, where)
        return None
