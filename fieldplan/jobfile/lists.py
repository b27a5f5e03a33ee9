"""A list that a clerk keeps in a spreadsheet and saves as CSV: rows with their numbers, cells under their columns."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from fieldplan.errors import InputError, Problem
from fieldplan.files import Purpose, text_of
from fieldplan.model.spelling import nearest
from fieldplan.tables import read as tables

LARGEST_LIST_BYTES = 50_000_000
_AS_CSV = "save it as CSV in UTF-8, not as a workbook or plain CSV"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row by its number in the file. ``beyond`` counts cells that stand under no column."""

    number: int
    cells: Mapping[str, str]
    beyond: int = 0


def read_list(path: Path, what: str, *, columns: Mapping[str, str], needed: Sequence[str], most: int) -> tuple[Row, ...]:
    """The rows of a CSV in UTF-8 with commas, semicolons or tabs; names of columns in small letters, cells without blanks around them.

    Rows with nothing in them are passed over.

    Parameters
    ----------
    what
        What stands in it, such as "requests", for messages.
    columns
        Names of columns and what a cell of each looks like.
    needed
        Columns that must be there.
    most
        Rows that it may have.

    Raises
    ------
    InputError
        If it is no such file, has no row or too many, or a column is missing or stands twice.
    """
    text = text_of(path, Purpose(what=f"list of {what}", code=what, most_bytes=LARGEST_LIST_BYTES, of_text=_AS_CSV))
    try:
        table = list(csv.reader(io.StringIO(text), delimiter=_separator(text), strict=True))
    except csv.Error as problem:
        raise InputError.of(
            f"{what}-not-csv", f"{path}: {problem}.", "a quote that is opened must be closed; save it as CSV"
        ) from None
    rows = [(number, row) for number, row in enumerate(table, start=1) if any(one.strip() for one in row)]
    if len(rows) < 2:
        raise InputError.of(f"{what}-empty", f"{path}: holds no {what}.", f"columns: {', '.join(columns)}")
    if len(rows) - 1 > most:
        raise InputError.of(f"{what}-many", f"{path}: holds {len(rows) - 1:,} {what}.", f"at most {most:,}")
    spelled = {_joined(name): name for name in columns}
    header = [spelled.get(_joined(name), name.strip().casefold()) for name in rows[0][1]]
    problems = [
        Problem(
            code="column-missing",
            told=f'{path}: has no column "{name}".',
            told_hint=_instead(name, header, columns, what) + columns[name],
        )
        for name in needed
        if name not in header
    ]
    problems += [
        Problem(code="column-twice", told=f'{path}: column "{name}" stands twice.', told_hint="keep one")
        for name in sorted({name for name in header if name and header.count(name) > 1})
    ]
    if problems:
        raise InputError(tuple(problems))
    return tuple(_row(number, header, cells) for number, cells in rows[1:])


def _joined(name: str) -> str:
    """A name of a column with its blanks and hyphens as underlines: "tractor hp" is tractor_hp."""
    return re.sub(r"[\s_-]+", "_", name.strip().casefold())


def other_names(what: str) -> dict[str, str]:
    """Other words that people use for columns of a list, and the names they have here."""
    return {row["word"]: row["says"] for row in tables.rows("other_words") if row["table"] == what}


def _instead(name: str, header: Sequence[str], columns: Mapping[str, str], what: str) -> str:
    """The column that stands there under another word, or a name all but spelled like the one that is missing."""
    called = next((one for one in header if other_names(what).get(one) == name), None)
    near = called or nearest(name, [one for one in header if one and one not in columns])
    return f'is it "{near}"? ' if near else ""


def _separator(text: str) -> str:
    """What stands between the names of columns: the most frequent of comma, semicolon and tab."""
    header = text.partition("\n")[0]
    return max(",;\t", key=header.count)


def _row(number: int, header: Sequence[str], cells: Sequence[str]) -> Row:
    beyond = len(cells) - len(header) if any(one.strip() for one in cells[len(header) :]) else 0
    return Row(
        number=number,
        beyond=max(0, beyond),
        cells={name: cell.strip() for name, cell in zip(header, cells, strict=False) if name},
    )
