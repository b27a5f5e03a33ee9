"""Range checks that every model value makes on itself."""

from __future__ import annotations

import math

from fieldplan.errors import InputError
from fieldplan.facts import Measure, Value
from fieldplan.units import ACRE_M2, POUND_KG

MASS_RATES_KG_PER_M2 = (0.0001 * POUND_KG / ACRE_M2, 2600 * POUND_KG / ACRE_M2)
"""The least and the most seed that a drill could be set to."""
_ROUNDING = 1e-12


def require(condition: bool, code: str, /, **values: Value) -> None:
    """Raise an `InputError` of that ``"code"`` or ``"code/case"`` unless the condition holds."""
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
    """Raise unless ``low <= value <= high`` (``low < value`` if ``above_low``).

    Parameters
    ----------
    ending
        What the value is in, as the ending of its name; if empty, its range is not said.
    example
        A value in that range as people write it.
    values
        A ``word`` that may stand instead, or the ``part`` of the key that is meant.
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
