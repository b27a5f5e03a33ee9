"""Times as text: hours and minutes, and parts of a whole that add up as printed."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fieldplan.units import HOUR_S, MINUTE_S


def hours(value_s: float) -> str:
    """Hours with one decimal, minutes under an hour.

    Examples
    --------
    >>> hours(6480), hours(1440)
    ('1.8 h', '24 min')
    """
    return f"{value_s / HOUR_S:,.1f} h" if value_s >= HOUR_S else f"{value_s / MINUTE_S:.0f} min"


def hours_in_parts(parts_s: Sequence[float]) -> list[str]:
    """The hours of each part as `hours` writes them, rounded so that they add up to the whole as written.

    Parts of an hour and more are rounded to tenths by the largest remainder; shorter parts are in minutes.

    Parameters
    ----------
    parts_s
        The time of each part.

    Examples
    --------
    >>> hours_in_parts([3744, 3744, 3744])  # 1.04 h each, 3.1 h together
    ['1.1 h', '1.0 h', '1.0 h']
    """
    whole_s = sum(parts_s)
    if max(parts_s, default=0.0) < HOUR_S:
        return [
            f"{n} min" for n in _adding_up([part / MINUTE_S for part in parts_s], round(whole_s / MINUTE_S))
        ]
    long = [part for part in parts_s if part >= HOUR_S]
    short_min = sum(round(part / MINUTE_S) for part in parts_s if part < HOUR_S)
    tenths = iter(
        _adding_up(
            [part / HOUR_S * 10 for part in long], round(round(whole_s / HOUR_S, 1) * 10 - short_min / 6)
        )
    )
    return [f"{next(tenths) / 10:,.1f} h" if part >= HOUR_S else hours(part) for part in parts_s]


def clock_in_parts(parts_s: Sequence[float]) -> tuple[list[str], str]:
    """Hours and minutes of each part, and of the whole that they add up to.

    Parameters
    ----------
    parts_s
        The time of each part.

    Returns
    -------
    parts : list of str
        Rounded to minutes by the largest remainder.
    whole : str
        Their sum.

    Examples
    --------
    >>> clock_in_parts([3600, 1500])
    (['1 h', '25 min'], '1 h 25 min')
    """
    whole = round(sum(parts_s) / MINUTE_S)
    return [_clock(n) for n in _adding_up([part / MINUTE_S for part in parts_s], whole)], _clock(whole)


def _clock(minutes: int) -> str:
    whole_hours, rest = divmod(minutes, 60)
    if not whole_hours:
        return f"{rest} min"
    return f"{whole_hours:,} h {rest} min" if rest else f"{whole_hours:,} h"


def _adding_up(values: Sequence[float], whole: int) -> list[int]:
    """The values rounded to whole numbers that add up to ``whole``, by the largest remainder: the values that
    lose most by rounding down are rounded up first.
    """
    rounded = [math.floor(value) for value in values]
    order = sorted(range(len(values)), key=lambda i: rounded[i] - values[i])
    for k in range(max(0, whole - sum(rounded))):
        rounded[order[k % len(order)]] += 1
    for k in range(max(0, sum(rounded) - whole)):
        rounded[order[-1 - k % len(order)]] -= 1
    return rounded
