"""Read a list that a clerk keeps in a spreadsheet and saves as CSV."""

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
    """A row of a list.

    Parameters
    ----------
    number
        Its place among the rows of the file; the header is 1.
    cells
        Its cells by column.
    beyond
        Number of cells beyond the last column.
    """

    number: int
    cells: Mapping[str, str]
    beyond: int = 0


def read_list(
    path: Path, what: str, *, columns: Mapping[str, Value], needed: Sequence[str], maximum: int
) -> tuple[Row, ...]:
    """Return the rows of a CSV file in UTF-8, separated by commas, semicolons or tabs.

    Column names are in lower case, cells without spaces at their ends; empty rows are left out.

    Parameters
    ----------
    path
        The file.
    what
        What it lists, such as ``"requests"``: the first word of the codes of its problems.
    columns
        Names of the columns and an example of a cell of each.
    needed
        Columns that it must have.
    maximum
        Most rows that it may have.

    Raises
    ------
    InputError
        If it is no such file, has no rows or too many, or lacks a column or has one twice.
    """
    text = text_of(
        path,
        Purpose(
            what=fact("called/list", what=what), code=what, max_bytes=LARGEST_LIST_BYTES, of_text=_AS_CSV
        ),
    )
    return rows_in(text, path, what, columns=columns, needed=needed, maximum=maximum)


def rows_in(
    text: str, path: Path, what: str, *, columns: Mapping[str, Value], needed: Sequence[str], maximum: int
) -> tuple[Row, ...]:
    """Return the rows of the text of a CSV file; the same as `read_list`.

    Parameters
    ----------
    text
        What stands in the file.
    path
        Its name, for problems.
    what, columns, needed, maximum
        As in `read_list`.

    Raises
    ------
    InputError
        If it has no rows or too many, or lacks a column or has one twice.
    """
    try:
        table = list(csv.reader(io.StringIO(text), delimiter=separator_of(text), strict=True))
    except csv.Error as error:
        raise _fault("not-csv", path, what, said=str(error)) from None
    rows = [(number, row) for number, row in enumerate(table, start=1) if any(cell.strip() for cell in row)]
    if len(rows) < 2:
        raise _fault("empty", path, what, columns=tuple(columns))
    if len(rows) - 1 > maximum:
        raise _fault("many", path, what, n_rows=len(rows) - 1, n_most=maximum)
    spelled = {joined_name(name): name for name in columns}
    header = [spelled.get(joined_name(name), name.strip().casefold()) for name in rows[0][1]]
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
    """Return the error of a whole list; the code begins with what it lists."""
    return InputError(problem(f"{what}-{kind}", file=str(path), cure=None, what=what, **values))


def joined_name(name: str) -> str:
    """Return a column name with spaces and hyphens as underscores: "tractor hp" is tractor_hp."""
    return re.sub(r"[\s_-]+", "_", name.strip().casefold())


def other_names(what: str, columns: Iterable[str]) -> dict[str, str]:
    """Return other words that people use for columns of a list, with the column each means.

    Raises
    ------
    TableError
        If the table of words names a column that the list does not have.
    """
    columns_meant = {
        row["word"]: row["meant"] for row in tables.rows("other_words") if row["table"] == what
    }
    if unknown := [meant for meant in columns_meant.values() if meant not in columns]:
        raise TableError.of("table-word", file="other_words.csv", what=what, words=tuple(unknown))
    return columns_meant


def _instead(name: str, header: Sequence[str], columns: Iterable[str], what: str) -> str:
    """Return the column that was probably meant for a missing one: a synonym or a misspelling; or empty."""
    meanings = other_names(what, columns)
    synonym = next((column for column in header if meanings.get(column) == name), None)
    return synonym or nearest(name, [column for column in header if column and column not in columns]) or ""


def separator_of(text: str) -> str:
    """Return the separator: the most frequent of comma, semicolon and tab in the header."""
    header = text.partition("\n")[0]
    return max(",;\t", key=header.count)


def _row(number: int, header: Sequence[str], cells: Sequence[str]) -> Row:
    beyond = len(cells) - len(header) if any(cell.strip() for cell in cells[len(header) :]) else 0
    return Row(
        number=number,
        beyond=max(0, beyond),
        cells={name: cell.strip() for name, cell in zip(header, cells, strict=False) if name},
    )
