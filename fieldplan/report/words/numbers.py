"""Numbers as text: rounded, counted, as shares and as chances."""

from __future__ import annotations

import math
from decimal import Decimal


def significant(value: float, digits: int) -> str:
    """A number to so many significant digits, but all digits before the point; never with an exponent.

    Examples
    --------
    >>> significant(8.6712, 3), significant(123456, 3), significant(0.00012345, 2)
    ('8.67', '123,456', '0.00012')
    """
    short = f"{value:,.{digits}g}"
    return f"{value:,.0f}" if "e+" in short else f"{Decimal(short):f}" if "e-" in short else short


def published(value: float, digits: int = 2) -> str:
    """A number that was published in other units, rounded to so many significant digits.

    Examples
    --------
    >>> published(404.69)
    '400'
    """
    return significant(float(f"{value:.{digits}g}"), 6)


def as_typed(value: float, in_other_units: float, digits: int, minimum: int = 2) -> str:
    """A number to ``digits`` digits; if it is rounder in the other units, with as few as it has there, but not
    fewer than ``minimum``.
    """
    n_other = _n_digits(in_other_units)
    if n_other < _n_digits(value):
        return published(value, max(minimum, n_other))
    return significant(value, digits)


def _n_digits(value: float) -> int:
    """Digits that it takes to write a number exactly, at most 7; a calculated number takes many."""
    return next((n for n in range(1, 7) if math.isclose(float(f"{value:.{n}g}"), value, rel_tol=1e-9)), 7)


def counted(n: float, singular: str, plural: str = "") -> str:
    """A count of something.

    Parameters
    ----------
    n
        How many.
    singular, plural
        What is counted; the plural is the singular with an "s" if it is not given.

    Examples
    --------
    >>> counted(1, "day"), counted(2, "day"), counted(2, "pass", "passes")
    ('1 day', '2 days', '2 passes')
    """
    return f"{n:,.6g} {singular if n == 1 else plural or f'{singular}s'}"


def percent(value_frac: float, digits: int = 0) -> str:
    """A fraction as percent: 0.125 with one digit is "12.5 %"."""
    return f"{value_frac * 100:.{digits}f} %"


def share(part: float, whole: float, digits: int = 0) -> str:
    """A part of a whole as percent; a dash if the whole is nothing.

    Examples
    --------
    >>> share(0.6, 60.48, 1), share(0, 0)
    ('1.0 %', '–')
    """
    return percent(part / whole, digits) if whole > 0 else "–"


def odds_text(prob: float, asked_prob: float = 0.0) -> str:
    """A chance as whole percent, never rounded up to certainty or to the odds that were asked for.

    Parameters
    ----------
    prob
        The chance, 0 to 1.
    asked_prob
        The odds asked for; a chance just below gets a decimal, so that it does not read the same.

    Examples
    --------
    >>> odds_text(0.821), odds_text(0.998), odds_text(0.7996, 0.8)
    ('82 %', 'over 99 %', '79.9 %')
    """
    if prob < asked_prob and percent(prob) == percent(asked_prob):
        return f"{math.floor(prob * 1000) / 10:.1f} %"
    return "over 99 %" if 0.995 <= prob < 1 else percent(prob)
