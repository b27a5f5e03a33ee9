"""What each column of each table may hold. A row that cannot be used is refused with the reason."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from datetime import date
from functools import partial

from fieldplan.errors import TableError, problem
from fieldplan.facts import Fact, fact
from fieldplan.units import FACTORS, FOOT_M, HORSEPOWER_W, POUND_KG

_UNITS_OF_COUNTS = ("", "days", "ft3 a foot", "bags/ac")
"""Units of counts and ratios, which cannot be converted to others."""
CARD_PARTS = (
    "Hitch",
    "Road",
    "Level",
    "Openers",
    "Boxes",
    "Depth",
    "Settings",
    "Fill",
    "Prime",
    "Calibrate",
    "First rounds",
    "Clean out",
)
"""The parts of a set-up card, in the order of the work."""
PACKET: Mapping[str, Sequence[str]] = {
    "request": ("farm", "tract", "practice"),
    "field": ("mapped", "drilled", "sown", "depth", "settings", "seed"),
    "seed": ("box", "tag", "kept", "tested", "origin", "receipt"),
}
"""What a packet lists of a request, a field and a lot of seed."""
SOWING_TIMES = ("seeding", "cover-crop", "dormant", "frost")
"""What a window of sowing is for."""
Row = Mapping[str, str]
Check = Callable[[str], Fact | None]
"""Returns what is wrong with a cell, or ``None``."""
MORE_UNITS: tuple[Mapping[str, float], ...] = (
    {"hp/ft": HORSEPOWER_W / FOOT_M, "kw/m": 1000.0, "w/m": 1.0},
    {"1/lb": 1 / POUND_KG, "1/kg": 1.0},
    {"months": 1.0},
    {"times": 1.0},
    {"C": 1.0},
    {"days": 1.0},
)
"""Units of the tables beyond those of `units.FACTORS`, as SI factors; each mapping holds one kind."""


def _text(cell: str) -> Fact | None:
    return None if cell.strip() else fact("cell-empty")


def _any(_cell: str) -> Fact | None:
    return None


def _number(cell: str) -> Fact | None:
    try:
        value = float(cell)
    except ValueError:
        return fact("cell-not-a-number", cell=cell)
    return None if 0 <= value < 1e9 else fact("cell-not-a-number", cell=cell)


def _percent(cell: str) -> Fact | None:
    """Accept a chance in percent, as a job file may give it."""
    return _number(cell) or (None if 1 <= float(cell) <= 100 else fact("cell-not-percent", cell=cell))


def _signed(cell: str) -> Fact | None:
    try:
        value = float(cell)
    except ValueError:
        return fact("cell-not-a-number/signed", cell=cell)
    return None if abs(value) < 1e9 else fact("cell-not-a-number/signed", cell=cell)


def _signed_or_none(cell: str) -> Fact | None:
    return _signed(cell) if cell else None


def _number_or_none(cell: str) -> Fact | None:
    return _number(cell) if cell else None


def _month_day(cell: str) -> Fact | None:
    """Accept a month and day such as "04-30"."""
    try:
        date.fromisoformat(f"2027-{cell}")
    except ValueError:
        return fact("cell-not-a-day", cell=cell)
    return None


def _date(cell: str) -> Fact | None:
    try:
        date.fromisoformat(cell)
    except ValueError:
        return fact("cell-not-a-day/date", cell=cell)
    return None


def _days_of_week(cell: str) -> Fact | None:
    """Accept days of a week, from none to seven."""
    return _number(cell) or (
        None if float(cell) <= 7 else fact("cell-over", cell=cell, other="a week", value="7")
    )


def _whole(cell: str) -> Fact | None:
    return None if cell.isdigit() else fact("cell-not-whole", cell=cell)


def _word_of(words: Sequence[str], cell: str) -> Fact | None:
    if cell in words:
        return None
    return fact("cell-not-a-word", cell=cell, words=tuple(word for word in words if word))


def _unit(cell: str) -> Fact | None:
    return None if not cell or factor(cell) else fact("cell-not-a-unit", cell=cell)


def _units(cell: str) -> Fact | None:
    return next((fault for unit in cell.split() if (fault := _unit(unit))), None)


def _unit_or_words(cell: str) -> Fact | None:
    return None if cell in _UNITS_OF_COUNTS or cell.startswith("$/") else _unit(cell)


def _key(cell: str) -> Fact | None:
    """Accept a key spelled as in the bibliography; `checked` looks it up there."""
    return None if cell and cell == cell.lower() and " " not in cell else fact("cell-not-a-key", cell=cell)


def _any_of(*words: str) -> Check:
    return partial(_word_of, words)


_RANGE = {"low": _number, "high": _number, "unit": _unit, "source": _key, "place": _any}
_BOXES = ("grain", "small", "native")
COLUMNS: Mapping[str, Mapping[str, Check]] = {
    "asked": {"table": _text, "key": _text, "says": _text},
    "bushel_weights": {"species": _text, **_RANGE},
    "carriers": {"carrier": _text, "value": _number, **_RANGE},
    "cautions": {"when": _any_of("always", "wide", "treated"), "text": _text, "source": _key},
    "clean_out": {"text": _text, "source": _key},
    "defaults": {"table": _text, "key": _text, "value": _text, "source": _key, "place": _any},
    "drainage": {
        "drainage": _text,
        "a_per_day": _number,
        "b_cm_per_day": _number,
        "limit_cm": _signed,
        "source": _key,
        "place": _any,
    },
    "fieldwork_days": {
        "place": _text,
        "state": _text,
        "first": _month_day,
        "last": _month_day,
        "share": _percent,
        "source": _key,
        "where": _any,
    },
    "handover": {"part": _text, "line": _text, "source": _key},
    "machinery": {"key": _text, **_RANGE},
    "other_words": {"table": _text, "word": _text, "meant": _any, "says": _any},
    "packet": {"key": _text, "level": _any_of(*PACKET), "line": _text, "source": _key},
    "plausible": {
        "key": _text,
        "unit": _unit_or_words,
        "low_likely": _signed,
        "high_likely": _signed,
        "low_possible": _signed_or_none,
        "high_possible": _signed_or_none,
        "nothing": _any_of("", "yes"),
        "source": _key,
        "place": _any,
        "example": _any,
        "other_units": _units,
        "means": _any,
    },
    "rain_rules": {
        "rule": _text,
        "day_mm": _number,
        "two_days_mm": _number_or_none,
        "three_days_mm": _number_or_none,
        "source": _key,
        "place": _any,
    },
    "seed_gates": {
        "notch": _whole,
        "least_seeds_per_lb": _number,
        "like": _text,
        "source": _key,
        "place": _any,
    },
    "setup_steps": {"part": _any_of(*CARD_PARTS), "text": _text, "blank": _any, "source": _key},
    "frost_rules": {
        "species": _text,
        "days_before": _whole,
        "frost_f": _number,
        "source": _key,
        "place": _any,
    },
    "soil_temperatures": {
        "species": _text,
        "low": _number,
        "high": _number,
        "source": _key,
        "place": _any,
    },
    "sowing_windows": {
        "species": _text,
        "state": _text,
        "purpose": _any_of(*SOWING_TIMES),
        "first": _month_day,
        "last": _month_day,
        "source": _key,
        "place": _any,
    },
    "soil_evaporation": {"deficit_cm": _signed, "most_cm_per_day": _number, "source": _key},
    "sources": {"key": _key, "title": _text},
    "sowing_rates": {"species": _text, **_RANGE},
    "species": {
        "species": _text,
        "quantity": _any_of("seeds per pound", "box", "full seeding rate", "depth"),
        "low": _text,
        "high": _text,
        "unit": _unit,
        "source": _key,
        "place": _any,
        "unfit": _any,
    },
    "species_names": {"species": _text, "scientific_name": _text, "symbol": _any, "other_names": _any},
    "survey_weeks": {"state": _text, "week_ending": _date, "days": _days_of_week, "source": _key},
    "weather": {"key": _text, "value": _signed, "unit": _unit, "source": _key, "place": _any},
}
OF_SPECIES = (
    "bushel_weights",
    "frost_rules",
    "soil_temperatures",
    "sowing_rates",
    "sowing_windows",
    "species",
)
"""Tables with a species in each row, spelled as in species_names."""
_ORDER: Mapping[str, tuple[tuple[str, str], ...]] = {
    "plausible": (
        ("low_possible", "low_likely"),
        ("low_likely", "high_likely"),
        ("high_likely", "high_possible"),
    ),
    **dict.fromkeys(
        ("bushel_weights", "carriers", "machinery", "soil_temperatures", "sowing_rates"), (("low", "high"),)
    ),
}
"""Pairs of columns, the first of which may not exceed the second."""


def factor(unit: str) -> tuple[int, float] | None:
    """Return the kind of a unit and its factor to SI.

    Parameters
    ----------
    unit
        For example ``"lb/ac"``; words after a space, as in ``"lb/ac PLS"``, are ignored.

    Returns
    -------
    tuple of int and float, or None
        A number that is equal for units that measure the same, and what one of the unit is in SI;
        ``None`` if the unit is unknown.

    Examples
    --------
    >>> factor("ft")[1], factor("furlong")
    (0.3048, None)
    >>> factor("lb/ac PLS") == factor("lb/ac")
    True
    """
    plain = unit.partition(" ")[0]
    kinds = [*FACTORS.values(), *MORE_UNITS]
    return next(((kind, factors[plain]) for kind, factors in enumerate(kinds) if plain in factors), None)


def checked(
    table: str, rows: Sequence[Row], sources: Collection[str], species: Collection[str] = ()
) -> tuple[Row, ...]:
    """Return the rows of a table after checking every cell.

    Parameters
    ----------
    table
        Name of the table, a key of `COLUMNS`.
    rows
        Its rows as read, each a mapping from column to text.
    sources
        Keys of the bibliography.
    species
        Common names that the ``species`` column may hold, for the tables in `OF_SPECIES`.

    Raises
    ------
    TableError
        With every cell that cannot be used and why.
    """
    problems = [
        problem("table-row", file=f"{table}.csv", row=number, column=column, why=fault)
        for number, row in enumerate(rows, start=2)
        for column, fault in (*_wrong(table, row), *_uncited(row, sources), *_unnamed(table, row, species))
    ]
    if problems:
        raise TableError(tuple(problems))
    return tuple(rows)


def _wrong(table: str, row: Row) -> Iterator[tuple[str, Fact]]:
    columns = COLUMNS[table]
    if set(row) != set(columns):
        yield "", fact("cells-not-those", columns=tuple(columns))
        return
    for name, check in columns.items():
        if fault := check(row[name]):
            yield name, fault
    if table == "species":
        yield from _wrong_figure(row)
    if table == "packet" and (fault := _word_of(PACKET.get(row["level"], ()), row["key"])):
        yield "key", fault
    for low, high in _ORDER.get(table, ()):
        yield from _out_of_order(row, low, high)


def _out_of_order(row: Row, low: str, high: str) -> Iterator[tuple[str, Fact]]:
    given = row[low] and row[high]
    if given and not (_signed(row[low]) or _signed(row[high])) and float(row[low]) > float(row[high]):
        yield low, fact("cell-over", cell=row[low], other=high, value=row[high])


def _uncited(row: Row, sources: Collection[str]) -> Iterator[tuple[str, Fact]]:
    if "source" in row and row["source"] not in sources:
        yield "source", fact("cell-not-a-source", cell=row["source"])


def _unnamed(table: str, row: Row, species: Collection[str]) -> Iterator[tuple[str, Fact]]:
    if table in OF_SPECIES and row.get("species") not in species:
        yield "species", fact("cell-not-a-species", cell=row.get("species", ""))


def _wrong_figure(row: Row) -> Iterator[tuple[str, Fact]]:
    """Check a row of the species table: a kind of box, or a figure from low to high."""
    is_box = row["quantity"] == "box"
    check = _any_of(*_BOXES) if is_box else _number
    if is_box == bool(row["unit"]):
        yield "unit", fact("cell-not-a-unit", cell=row["unit"])
    for name in ("low", "high"):
        if fault := check(row[name]):
            yield name, fault
    if not is_box:
        yield from _out_of_order(row, "low", "high")
