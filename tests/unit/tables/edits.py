"""Tables with one row changed, and what may be changed in a cell."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import cache

import pytest

from fieldplan.errors import InputError, TableError
from fieldplan.tables import bands, names, read, species
from fieldplan.tables.cells import MORE_UNITS
from fieldplan.tables.columns import CARD_PARTS, COLUMNS, SOWING_TIMES, SPECIES_FIGURES, SPECIES_WORDS
from fieldplan.units import FACTORS

Row = Mapping[str, str]
REAL = {table: read.rows(table) for table in COLUMNS}
_CACHED = {
    "defaults": (read.default,),
    "plausible": (bands.band_of,),
    "species": (species._by_kind,),
    "species_names": (names.species_names, names._names_together, species._same_plants),
}
_WORDS = {
    ("cautions", "when"): ("always", "wide", "treated", "treated-unsaid", "backing"),
    ("sowing_windows", "purpose"): SOWING_TIMES,
    ("packet", "level"): ("request", "field", "seed"),
    ("setup_steps", "part"): CARD_PARTS,
    ("seed_rules", "about"): ("tetrazolium", "noxious weeds"),
    ("sale_limits", "what"): ("weed seed", "germination and hard", "purity"),
    ("species", "quantity"): (*SPECIES_FIGURES, *SPECIES_WORDS),
}
_NAMES = {"key", "table", "word", "species", "carrier", "meant"}
_VALUES = {
    "false": "true",
    "true": "false",
    "auto": "2",
    "first": "last",
    "gate": "follows",
    "fenced": "open",
    "fewest changes": "as given",
    "where needed": "never",
    "as filed": "day before",
    "missing": "none",
}
"""Other defaults than those that stand in the table, where they are no number."""


@contextmanager
def edited(table: str, number: int, changes: Row) -> Iterator[None]:
    """The readers find a row of a table changed, checked as on the disk."""
    own = tuple({**row, **changes} if k == number else row for k, row in enumerate(REAL[table]))
    stale = table == "sources"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(read, "_read", lambda name: own if name == table else REAL[name])
        patch.setattr(
            read, "rows", cache(lambda name: _FRESH(name) if stale or name == table else REAL[name])
        )
        _forget(table)
        yield
    _forget(table)


_FRESH = read.rows.__wrapped__


def _forget(table: str) -> None:
    for one in _CACHED.get(table, ()):
        one.cache_clear()


def outcome(probe: Callable[[], str]) -> str:
    """What a probe says, or why it is refused; a `TableError` is marked as such."""
    try:
        return probe()
    except TableError as error:
        return f"TableError: {error}"
    except InputError as error:
        return "\n".join(f"{problem.text} {problem.hint}" for problem in error.problems)


def changes_of(table: str, row: Row, column: str) -> Iterator[Row]:
    """Cells to put in the place of one, each of which must count."""
    cell = row[column]
    if (table, column) in _WORDS:
        yield from [{column: word} for word in _WORDS[table, column] if word != cell][-1:]
        yield {column: f"{cell}x"}
    elif column == "source":
        yield {column: "karney2013" if cell != "karney2013" else "practice"}
        yield {column: "no-such-source"}
    elif column == "unit":
        yield from ({column: unit} for unit in _other_units(cell))
    elif (column in _NAMES and cell) or (table, column) == ("fieldwork_days", "place"):
        yield {column: f"{cell}x"}
    elif column == "other_units":
        yield from ({column: cell.replace(unit, "", 1)} for unit in cell.split())
        yield {column: f"{cell} elbows"}
    elif column == "nothing":
        if cell:
            yield {column: ""}
        yield {column: "no"}
    elif column == "example":
        yield from ({column: f"{float(cell) * 1.25:g}"} for _ in (1,) if cell)
    elif _is_number(cell):
        yield from _numbers(table, row, column)
        yield {column: f"{cell}x"}
    elif (table, column) == ("defaults", "value"):
        yield {column: _other_default(row)}
        yield {column: f"{cell} ~"}
    elif (table, row.get("quantity"), column) in (("species", "box", "low"), ("species", "box", "high")):
        yield {
            "low": "small" if cell != "small" else "native",
            "high": "small" if cell != "small" else "native",
        }
        yield {column: "barrel"}
    elif cell:
        yield {column: f"{cell} zz"}


def _is_number(cell: str) -> bool:
    return cell.removeprefix("-").replace(".", "", 1).isdigit()


def _numbers(table: str, row: Row, column: str) -> Iterator[Row]:
    value = float(row[column])
    if table == "plausible":
        yield {column: f"{_within(row, column):.10g}"}
    elif column == "notch":
        yield {column: str(int(value) + 1)}
    elif table == "defaults":
        yield {column: f"{value * 1.5 + 1:g}" if "." in row[column] else str(int(value) + 1)}
    elif column in ("low", "high"):
        yield {
            column: f"{value / 100 if column == 'low' else value * 100:.10g}"
            if value
            else f"{float(row['high']) / 2:g}"
        }
        if table == "machinery" and row["low"] == row["high"]:
            yield {"low": f"{value * 1.5:.10g}", "high": f"{value * 1.5:.10g}"}
    else:
        yield {column: f"{value * 1.25 if value else 1000:.10g}"}


def _within(row: Row, column: str) -> float:
    """Another limit: halfway to the next one, or away from it where they are the same."""
    side, reach = column.split("_")
    own, likely, possible = (
        float(row[name] or "nan") for name in (column, f"{side}_likely", f"{side}_possible")
    )
    if possible not in (likely,) and possible == possible:
        return (likely + possible) / 2
    if reach == "possible":
        return own + (1 if side == "low" else -0.5 * abs(own))
    span = float(row["high_likely"]) - float(row["low_likely"])
    return own + (span / 8 if side == "low" else -span / 8)


def _other_default(row: Row) -> str:
    number, _, unit = row["value"].partition(" ")
    if row["value"] in _VALUES:
        return _VALUES[row["value"]]
    if not unit:
        return "90 deg" if row["key"] == "heading" else "1" if row["key"] == "blocks" else "plain"
    value = float(number)
    return f"{value / 2 if unit == '%' and value > 60 else value * 1.5 + (1 if value == 0 else 0):g} {unit}"


def _other_units(cell: str) -> Iterator[str]:
    """A unit of the same kind, if there is one, and one of another."""
    plain, _, rest = cell.partition(" ")
    kinds: tuple[Mapping[str, float], ...] = (*FACTORS.values(), *MORE_UNITS)
    own = next((units for units in kinds if plain in units), {})
    yield from [f"{unit} {rest}".strip() for unit, one in own.items() if one != own[plain]][:1]
    yield "times" if cell in ("lb", "gal") else "gal"
    yield "elbows"
