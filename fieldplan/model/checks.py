"""Range checks that every model value makes on itself."""

from __future__ import annotations

import math

from fieldplan.errors import InputError

_ROUNDING = 1e-12


def require(condition: bool, code: str, text: str, hint: str = "") -> None:
    """Raise an `InputError` that says what is wrong unless the condition holds."""
    if not condition:
        raise InputError.of(code, text, hint)


def require_between(name: str, value: float, low: float, high: float, *, shown: str, above_low: bool = False) -> None:
    """Raise unless ``low <= value <= high`` (``low < value`` if ``above_low``); ``shown`` says the range in users' units."""
    slack = _ROUNDING * max(1.0, abs(high))
    inside = math.isfinite(value) and (low < value if above_low else low - slack <= value) and value <= high + slack
    require(inside, "out-of-range", f"{name} is out of range", f"it should be {shown}")
