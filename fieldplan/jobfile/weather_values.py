"""Values of the table ``[weather]``: the rule that tells fieldwork days, and the years to use."""

from __future__ import annotations

import re

from fieldplan.errors import InputError
from fieldplan.jobfile.days import LATEST_YEAR
from fieldplan.jobfile.values import short
from fieldplan.model.spelling import nearest
from fieldplan.model.weather import RainRule
from fieldplan.weather.rules import OWN_EXAMPLE, SOIL_WATER, own_rule, rain_rules, rule_names

EARLIEST = 1700
"""No daily record is older."""


def rule(value: object) -> RainRule | str:
    """Return a rule by rain, or the name of the rule by a water balance, which needs a drainage besides.

    Raises
    ------
    InputError
        If it is neither a published rule nor reads like one of the user's own.
    """
    if not isinstance(value, str):
        raise InputError.of("not-a-rule", given=short(value), known=rule_names(), own=OWN_EXAMPLE)
    name = " ".join(value.split()).casefold()
    if name == SOIL_WATER:
        return SOIL_WATER
    if name in rain_rules():
        return rain_rules()[name]
    if near := nearest(name, rule_names()):
        raise InputError.of("not-a-rule/near", given=short(value), near=near)
    return own_rule(name)


def years(value: object) -> tuple[int, int]:
    """Return the first and the last year of a text such as "1991-2020".

    Raises
    ------
    InputError
        If it is none, or ends before it begins.

    Examples
    --------
    >>> years("1991-2020")
    (1991, 2020)
    """
    match = re.fullmatch(r"\s*(\d{4})\s*(?:-|–|to)\s*(\d{4})\s*", value) if isinstance(value, str) else None
    if match is None or not EARLIEST <= int(match[1]) <= int(match[2]) <= LATEST_YEAR:
        raise InputError.of("not-years", given=short(value))
    return int(match[1]), int(match[2])
