"""Least and most of something, as a target of a mix gives them."""

from __future__ import annotations

import re

from fieldplan.errors import InputError, QuantityError
from fieldplan.jobfile.rates import price
from fieldplan.jobfile.values import LONGEST_TEXT, Parser, short, text
from fieldplan.typed_quantity import EXAMPLES, parse_quantity
from fieldplan.units import Kind

Span = tuple[float | None, float | None]
_ONE_END = re.compile(r"(?P<end>at\s+least|at\s+most|up\s+to|over|under)\s+(?P<amount>.+)", re.IGNORECASE)
_BOTH_ENDS = re.compile(r"(?P<low>[\d.,]+)\s*(?P<unit_low>\S*)\s*(?:to|–|-)\s*(?P<high>[\d.,]+\s*\S.*)")
_LEAST = ("at least", "over")


def span(kind: Kind) -> Parser:
    """Return what reads a least and a most: "at least 20 …", "at most …", "20 to 30 …", or "25 …" for just that.

    Parameters
    ----------
    kind
        What the ends measure.

    Returns
    -------
    Parser
        Returns least and most in SI; ``None`` for an end that is not given.

    Examples
    --------
    >>> span("share")("20 to 30 %"), span("share")("at most 5 %"), span("share")("50 %")
    ((0.2, 0.3), (None, 0.05), (0.5, 0.5))
    """

    def parse(value: object) -> Span:
        if not isinstance(value, str) or len(value) > LONGEST_TEXT:
            raise _unreadable(value, kind)
        try:
            low, high = _ends(" ".join(value.split()), kind)
        except QuantityError as error:
            raise InputError.of("span-unreadable/quantity", why=error.problems[0].as_fact()) from None
        if min(end for end in (low, high) if end is not None) < 0:
            raise _unreadable(value, kind)
        if low is not None and high is not None and low > high:
            raise InputError.of("span-unreadable/order", given=short(value))
        return low, high

    return parse


def _ends(given: str, kind: Kind) -> Span:
    if match := _ONE_END.fullmatch(given):
        bound = parse_quantity(match["amount"], kind)
        least = " ".join(match["end"].casefold().split()) in _LEAST
        return (bound, None) if least else (None, bound)
    if match := _BOTH_ENDS.fullmatch(given):
        high = parse_quantity(match["high"], kind)
        unit = match["unit_low"] or re.sub(r"^[\d.,]+\s*", "", match["high"])
        return parse_quantity(f"{match['low']} {unit}", kind), high
    exact = parse_quantity(given, kind)
    return exact, exact


def _unreadable(value: object, kind: Kind) -> InputError:
    amount = EXAMPLES[kind].strip('"')
    return InputError.of("span-unreadable", given=short(value), amount=amount)


_PER_GROUND = re.compile(
    r"(?P<money>.+?)\s*(?:/|\bper\b)\s*(?P<unit>ac|acre|ha|hectare|m2|ft2)\s*", re.IGNORECASE
)
_UNITS = {"acre": "ac", "hectare": "ha"}


def budget(value: object) -> tuple[float, str]:
    """Return money for a square meter, and its currency.

    Parameters
    ----------
    value
        For example ``"$150/ac"`` or ``"300 EUR/ha"``.

    Raises
    ------
    InputError
        If it is no such sum.

    Examples
    --------
    >>> budget("300 EUR/ha")
    (0.03, 'EUR')
    """
    match = (
        _PER_GROUND.fullmatch(value.strip())
        if isinstance(value, str) and len(value) < LONGEST_TEXT
        else None
    )
    if match is None:
        raise InputError.of("budget-unreadable", given=short(value))
    try:
        amount, currency, _ = price(f"{match['money']}/bag")
    except InputError:
        raise InputError.of("budget-unreadable", given=short(value)) from None
    unit = match["unit"].casefold()
    return amount / parse_quantity(f"1 {_UNITS.get(unit, unit)}", "area"), currency


def group(value: object) -> str:
    """Return the name of a group, such as "grasses", in lower case."""
    return text(value).casefold()
