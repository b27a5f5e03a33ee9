"""What a cell of a table may hold: each check returns what is wrong with it, or ``None``."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from functools import cache, partial

from fieldplan.facts import Fact, fact
from fieldplan.units import FACTORS, FOOT_M, HORSEPOWER_W, POUND_KG

Check = Callable[[str], Fact | None]
"""Returns what is wrong with a cell, or ``None``."""
_UNITS_OF_COUNTS = ("", "days", "ft3 a foot", "bags/ac")
"""Units of counts and ratios, which cannot be converted to others."""
MORE_UNITS: tuple[Mapping[str, float], ...] = (
    {"hp/ft": HORSEPOWER_W / FOOT_M, "kw/m": 1000.0, "w/m": 1.0},
    {"1/lb": 1 / POUND_KG, "1/kg": 1.0},
    {"months": 1.0},
    {"times": 1.0},
    {"C": 1.0},
    {"days": 1.0},
)
"""Units of the tables beyond those of `units.FACTORS`, as SI factors; each mapping holds one kind."""


def text(cell: str) -> Fact | None:
    """Accept what is not blank."""
    return None if cell.strip() else fact("cell-empty")


def anything(_cell: str) -> Fact | None:
    """Accept anything."""
    return None


def number(cell: str) -> Fact | None:
    """Accept a number of 0 or more."""
    try:
        value = float(cell)
    except ValueError:
        return fact("cell-not-a-number", cell=cell)
    return None if 0 <= value < 1e9 else fact("cell-not-a-number", cell=cell)


def whole_or_none(cell: str) -> Fact | None:
    """Accept a whole number of 0 or more, or nothing."""
    return whole(cell) if cell else None


def percent(cell: str) -> Fact | None:
    """Accept a chance in percent, as a job file may give it."""
    return number(cell) or (None if 1 <= float(cell) <= 100 else fact("cell-not-percent", cell=cell))


def signed(cell: str) -> Fact | None:
    """Accept a number."""
    try:
        value = float(cell)
    except ValueError:
        return fact("cell-not-a-number/signed", cell=cell)
    return None if abs(value) < 1e9 else fact("cell-not-a-number/signed", cell=cell)


def signed_or_none(cell: str) -> Fact | None:
    """Accept a number or nothing."""
    return signed(cell) if cell else None


def number_or_none(cell: str) -> Fact | None:
    """Accept a number of 0 or more, or nothing."""
    return number(cell) if cell else None


def month_day(cell: str) -> Fact | None:
    """Accept a month and day such as "04-30"."""
    try:
        date.fromisoformat(f"2027-{cell}")
    except ValueError:
        return fact("cell-not-a-day", cell=cell)
    return None


def whole_date(cell: str) -> Fact | None:
    """Accept a date."""
    try:
        date.fromisoformat(cell)
    except ValueError:
        return fact("cell-not-a-day/date", cell=cell)
    return None


def days_of_week(cell: str) -> Fact | None:
    """Accept days of a week, from none to seven."""
    return number(cell) or (
        None if float(cell) <= 7 else fact("cell-over", cell=cell, other="a week", value="7")
    )


def whole(cell: str) -> Fact | None:
    """Accept a whole number."""
    return None if cell.isdigit() else fact("cell-not-whole", cell=cell)


def word_of(words: Sequence[str], cell: str) -> Fact | None:
    """Accept one of some words."""
    if cell in words:
        return None
    return fact("cell-not-a-word", cell=cell, words=tuple(word for word in words if word))


def unit_name(cell: str) -> Fact | None:
    """Accept a unit or nothing."""
    return None if not cell or factor(cell) else fact("cell-not-a-unit", cell=cell)


def unit_names(cell: str) -> Fact | None:
    """Accept units with blanks between them."""
    return next((fault for unit in cell.split() if (fault := unit_name(unit))), None)


def unit_or_words(cell: str) -> Fact | None:
    """Accept a unit, or what counts and prices are in."""
    return None if cell in _UNITS_OF_COUNTS or cell.startswith("$/") else unit_name(cell)


def source_key(cell: str) -> Fact | None:
    """Accept a key spelled as in the bibliography; `checked` looks it up there."""
    return None if cell and cell == cell.lower() and " " not in cell else fact("cell-not-a-key", cell=cell)


def any_of(*words: str) -> Check:
    """Return the check for one of some words."""
    return partial(word_of, words)


@cache
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
