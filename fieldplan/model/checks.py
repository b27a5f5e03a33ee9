"""Range checks that model classes make when they are created."""

from __future__ import annotations

import math

from fieldplan.errors import InputError
from fieldplan.facts import Measure, Value
from fieldplan.units import ACRE_M2, POUND_KG

MASS_RATES_KG_PER_M2 = (0.0001 * POUND_KG / ACRE_M2, 2600 * POUND_KG / ACRE_M2)
"""Smallest and largest seeding rate that a drill could be set to."""
_ROUNDING = 1e-12


def require(condition: bool, code: str, /, **values: Value) -> None:
    """Check a condition.

    Parameters
    ----------
    code
        Code of the problem, ``"code"`` or ``"code/case"``.
    values
        What its sentence names.

    Raises
    ------
    InputError
        If the condition is false.
    """
    if not condition:
        raise InputError.of(code, cure=None, **values)


def require_between(
    key: str,
    value: float,
    low: float,
    high: float,
    ending: str = "_plain",
    *,
    example: str,
    above_low: bool = False,
    **values: Value,
) -> None:
    """Check that ``low <= value <= high``, or ``low < value <= high`` if ``above_low``.

    Parameters
    ----------
    key
        The key of the file that the value was given for.
    ending
        The unit of the value, as the ending of a name; if empty, the sentence does not state the range.
    example
        A value in that range as people write it.
    values
        A ``word`` that may stand instead, or the ``part`` of the key concerned.

    Raises
    ------
    InputError
        If the value is outside the range or not finite.
    """
    slack = _ROUNDING * max(1.0, abs(high))
    inside = (
        math.isfinite(value)
        and (low < value if above_low else low - slack <= value)
        and value <= high + slack
    )
    require(
        inside,
        "out-of-range/above" if above_low else "out-of-range" if ending else "out-of-range/example",
        key=key,
        low=Measure(low, ending),
        high=Measure(high, ending),
        example=example,
        **values,
    )
