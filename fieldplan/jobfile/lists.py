"""A list that a clerk keeps in a spreadsheet and saves as CSV: rows with their numbers, cells under their
columns.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from fieldplan.errors import InputError, TableError, problem
from fieldplan.facts import Value, fact
from fieldplan.files import Purpose, text_of
from fieldplan.model.spelling import nearest
from fieldplan.tables import read as tables

LARGEST_LIST_BYTES = 50_000_000
_AS_CSV = fact("try/csv")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row by its number in the file. ``beyond`` counts cells that stand under no column."""

    number: int
    cells: Mapping[str, str]
    beyond: int = 0


def read_list(
    path: Path, what: str, *, columns: Mapping[str, Value], needed: Sequence[str], maximum: int
) -> tuple[Row, ...]:
    """The rows of a CSV in UTF-8 with commas, semicolons or tabs; names of columns in small letters, cells
    without blanks around them.

    Rows with nothing in them are passed over.

    Parameters
    ----------
    what
        What stands in it, such as "requests": the first word of its codes.
    columns
        Names of columns and what a cell of each looks like.
    needed
        Columns that must be there.
    maximum
        Rows that it may have.

    Raises
    ------
    InputError
        If it is no such file, has no row or too many, or a column is missing or stands twice.
    """
    text = text_of(
        path,
        Purpose(
            what=fact("called/list", what=what), code=what, max_bytes=LARGEST_LIST_BYTES, of_text=_AS_CSV
        ),
    )
    try:
        table = list(csv.reader(io.StringIO(text), delimiter=_separator(text), strict=True))
    except csv.Error as error:
        raise _fault("not-csv", path, what, said=str(error)) from None
    rows = [(number, row) for number, row in enumerate(table, start=1) if any(one.strip() for one in row)]
    if len(rows) < 2:
        raise _fault("empty", path, what, columns=tuple(columns))
    if len(rows) - 1 > maximum:
        raise _fault("many", path, what, n_rows=len(rows) - 1, n_most=maximum)
    spelled = {_joined(name): name for name in columns}
    header = [spelled.get(_joined(name), name.strip().casefold()) for name in rows[0][1]]
    problems = [
        problem(
            "column-missing",
            file=str(path),
            name=name,
            near=_instead(name, header, columns, what),
            holds=columns[name],
        )
        for name in needed
        if name not in header
    ]
    problems += [
        problem("column-twice", file=str(path), name=name)
        for name in sorted({name for name in header if name and header.count(name) > 1})
    ]
    if problems:
        raise InputError(tuple(problems))
    return tuple(_row(number, header, cells) for number, cells in rows[1:])


def _fault(kind: str, path: Path, what: str, **values: Value) -> InputError:
    """The error of a whole list; what stands in it begins its code."""
    return InputError(problem(f"{what}-{kind}", file=str(path), cure=None, what=what, **values))


def _joined(name: str) -> str:
    """A name of a column with its blanks and hyphens as underlines: "tractor hp" is tractor_hp."""
    return re.sub(r"[\s_-]+", "_", name.strip().casefold())


def other_names(what: str, columns: Iterable[str]) -> dict[str, str]:
    """Other words that people use for columns of a list, and the names they have here.

    Raises
    ------
    TableError
        If one of these is no column of the list.
    """
    called = {row["word"]: row["meant"] for row in tables.rows("other_words") if row["table"] == what}
    if unknown := [meant for meant in called.values() if meant not in columns]:
        raise TableError.of("table-word", file="other_words.csv", what=what, words=tuple(unknown))
    return called


def _instead(name: str, header: Sequence[str], columns: Iterable[str], what: str) -> str:
    """The column that stands there under another word, or a name all but spelled like the one that is
    missing; empty if none does.
    """
    called = next((one for one in header if other_names(what, columns).get(one) == name), None)
    return called or nearest(name, [one for one in header if one and one not in columns]) or ""


def _separator(text: str) -> str:
    """What stands between the names of columns: the most frequent of comma, semicolon and tab."""
    header = text.partition("\n")[0]
    return max(",;\t", key=header.count)


def _row(number: int, header: Sequence[str], cells: Sequence[str]) -> Row:
    beyond = len(cells) - len(header) if any(cell.strip() for cell in cells[len(header) :]) else 0
    return Row(
        number=number,
        beyond=max(0, beyond),
        cells={name: cell.strip() for name, cell in zip(header, cells, strict=False) if name},
    )
