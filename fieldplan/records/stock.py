"""Writing to the stock file: rows added in one step, and taken back."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from fieldplan.errors import InputError, UsageError
from fieldplan.files import is_there, text_of
from fieldplan.jobfile.lists import joined_name, separator_of
from fieldplan.jobfile.stock import CLOSE_KG, COLUMNS, STOCK_FILE, stock_in
from fieldplan.model.stock import Lot, Movement, Stock
from fieldplan.model.stock import Sequence as LotSequence
from fieldplan.report.files import write_files
from fieldplan.tables.names import species_name
from fieldplan.units import FACTORS

_DIGITS = 4
"""Decimals of a pound that are written: a thousandth of an ounce and a half."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered:
    """The rows of one write.

    Parameters
    ----------
    entry
        Its number, by which it can be taken back.
    """

    entry: int
    rows: tuple[Mapping[str, str], ...]
    stock: Stock


def append(path: Path, rows: Sequence[Mapping[str, str]]) -> Entered:
    """Add rows to a stock file, with what is left after each; a file that is not there is begun.

    The rows of a person are kept as they are. What the file would be is added up first; then it is written beside
    the old one and takes its place in one step, so that the old one stays as it was if anything is wrong.

    Parameters
    ----------
    rows
        Cells by the columns of the file.

    Raises
    ------
    InputError
        If the sums would not be right, or the file was changed while this ran.
    """
    before = text_of(path, STOCK_FILE) if is_there(path, STOCK_FILE) else ""
    header, old, separator = _table(before)
    entry = 1 + max((_number(cells, header) for cells in old), default=0)
    made = [{**row, "entry": str(entry)} for row in rows]
    stock = stock_in(_text(header, [*old, *(_cells(row, header) for row in made)], separator), path)
    shelf, latest = {lot.key: lot for lot in stock.lots}, {one.key: one for one in stock.movements}
    for row in {_key(row): row for row in made}.values():  # the last of each lot
        if latest[_key(row)].entry == entry:  # or a row of a later day stands in the file
            row["left"] = written(shelf[_key(row)].left_kg, unit_of(stock.movements))
    text = _text(header, [*old, *(_cells(row, header) for row in made)], separator)
    stock = stock_in(text, path)
    _write(path, before, text)
    return Entered(entry=entry, rows=tuple(made), stock=stock)


def undo(path: Path) -> tuple[int, int]:
    """Take back the rows of the last write.

    Returns
    -------
    tuple of (int, int)
        The number of the write, and how many rows it had.

    Raises
    ------
    UsageError
        If the file has no rows that fieldplan wrote.
    InputError
        If the sums would not be right without them, or the file was changed while this ran.
    """
    before = text_of(path, STOCK_FILE)
    header, rows, separator = _table(before)
    entry = max((_number(cells, header) for cells in rows), default=0)
    if entry == 0:
        raise UsageError.of("stock-nothing-to-undo", file=str(path))
    kept = [cells for cells in rows if _number(cells, header) != entry]
    text = _text(header, kept, separator)
    if kept:
        stock_in(text, path)
    _write(path, before, text)
    return entry, len(rows) - len(kept)


def written(kg: float, unit: str) -> str:
    """A weight as it is written into the file.

    Examples
    --------
    >>> written(22.679618500, "lb"), written(22.5, "kg")
    ('50.0 lb', '22.5 kg')
    """
    return f"{round(kg / FACTORS['mass'][unit], _DIGITS) + 0.0} {unit}"


def unit_of(movements: Iterable[Movement]) -> str:
    """The unit in which a file has its weights: kilograms if its last one is in kilograms or grams, else pounds."""
    return "kg" if any(one.metric for one in list(movements)[-1:]) else "lb"


def drawn_rows(
    stock: Stock, needed: Sequence[LotSequence], job: str, day: date
) -> tuple[Mapping[str, str], ...]:
    """Rows that take from the stock what a job needs of it.

    Raises
    ------
    UsageError
        If the job holds seed of the stock already, or the stock has nothing for it.
    """
    held = tuple(
        f"{lot.species} {lot.lot}".strip() for lot in stock.lots if lot.by_job.get(job, 0.0) > CLOSE_KG
    )
    if held:
        raise UsageError.of("stock-drawn-already", job=job, lots=held)
    rows = tuple(
        {
            "day": day.isoformat(),
            "what": "drawn",
            "species": turn.species,
            "lot": turn.lot,
            "weight": written(turn.bulk_kg, unit_of(stock.movements)),
            "job": job,
        }
        for sequence in needed
        for turn in sequence.turns
        if turn.on_shelf
    )
    if not rows:
        raise UsageError.of("stock-has-none", job=job)
    return rows


def _table(text: str) -> tuple[list[str], list[list[str]], str]:
    """The columns of a file, its rows as they are, and what parts cells; of an empty one, all columns."""
    if not text.strip():
        return list(COLUMNS), [], ","
    separator = separator_of(text)
    rows = [row for row in csv.reader(io.StringIO(text), delimiter=separator) if any(map(str.strip, row))]
    names = {joined_name(name): name for name in COLUMNS}
    header = [names.get(joined_name(name), name) for name in rows[0]]
    header += [name for name in COLUMNS if name not in header]
    return header, rows[1:], separator


def _cells(row: Mapping[str, str], header: Sequence[str]) -> list[str]:
    return [row.get(name, "") for name in header]


def _number(cells: Sequence[str], header: Sequence[str]) -> int:
    at = header.index("entry")
    cell = cells[at].strip() if at < len(cells) else ""
    return int(cell) if cell.isascii() and cell.isdigit() else 0


def _key(row: Mapping[str, str]) -> Lot:
    return species_name(row["species"]), row.get("lot", "")


def _text(header: Sequence[str], rows: Sequence[Sequence[str]], separator: str) -> str:
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator="\n")
    writer.writerow(header)
    writer.writerows([*row, *[""] * (len(header) - len(row))] for row in rows)
    return out.getvalue()


def _write(path: Path, before: str, text: str) -> None:
    """Put a file in place of the old one, unless that is no longer what it was when it was read."""

    def write(place: Path) -> None:
        now = text_of(path, STOCK_FILE) if is_there(path, STOCK_FILE) else ""
        if now != before:
            raise InputError.of("stock-changed", file=str(path))
        place.write_text(text, encoding="utf-8")

    write_files(path.parent, {path.name: write}, force=True)
