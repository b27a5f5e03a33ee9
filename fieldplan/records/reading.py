"""How single facts of entries are read: quantities with their unit, days, money, lists, promises."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from decimal import Decimal
from typing import Any

from fieldplan.errors import InputError
from fieldplan.jobfile.values import LONGEST_TEXT, Parser, quantity, text
from fieldplan.model.booked import Promise
from fieldplan.units import ACRE_M2

MAX_METER_M2 = 1_000_000 * ACRE_M2


def short_text(value: object) -> str:
    """Text of one line that is not too long."""
    if len(str(value)) > LONGEST_TEXT:
        raise InputError.of("text-long/entry", n_characters=len(str(value)), n_most=LONGEST_TEXT)
    return text(value)


def day_of(value: object) -> date:
    """A day as year-month-day."""
    try:
        day = date.fromisoformat(
            str(value) if len(str(value)) == len("2027-05-10") and str(value).count("-") == 2 else ""
        )
    except ValueError:
        raise InputError.of("not-a-date/entry", given=str(value)) from None
    return day


def meter(value: object) -> float:
    """What a drill's meter shows, in m²."""
    found = quantity("area")(value)
    if not 0 <= found <= MAX_METER_M2:
        raise InputError.of("out-of-range/meter", given=str(value), most_m2=MAX_METER_M2)
    return float(found)


def share(value: object) -> float:
    """A share from 0 to 1."""
    found = quantity("share")(value)
    if not 0 <= found <= 1:
        raise InputError.of("out-of-range/share", given=str(value))
    return float(found)


def positive(kind: Any, maximum: float) -> Parser:
    """The parser of a quantity over 0 and not over a maximum."""

    def parse(value: object) -> float:
        found = quantity(kind)(value)
        if not 0 < found <= maximum:
            raise InputError.of(
                "out-of-range/nothing" if found <= 0 else "out-of-range/too-much", given=str(value)
            )
        return float(found)

    return parse


_SIGN = r"[^\d\s.,+\-−()]{0,3}"
_MONEY = re.compile(
    rf"(?P<sign>[-−]?)\s*{_SIGN}\s*(?P<late_sign>[-−]?)\s*(?P<amount>(?:\d{{1,3}}(?:,\d{{3}})+|\d{{1,9}})(?:\.\d{{1,2}})?)\s*{_SIGN}"
)


def money(value: object) -> Decimal:
    """A sum of money; below 0 if it was paid back."""
    match = _MONEY.fullmatch(str(value).strip()) if len(str(value)) <= LONGEST_TEXT else None
    if match is None:
        raise InputError.of("not-money/entry", given=str(value))
    amount = Decimal(match["amount"].replace(",", ""))
    return -amount if match["sign"] or match["late_sign"] else amount


def cost(value: object) -> Decimal:
    """A sum of money that is not below 0."""
    cost = money(value)
    if cost < 0:
        raise InputError.of("out-of-range/below-nothing", given=str(value))
    return cost


def rate_facts(value: object) -> dict[str, str]:
    """Facts for the rate card, as name=value, with commas between them."""
    found: dict[str, str] = {}
    for part in str(value).split(","):
        name, equals, value = (part.strip() for part in part.partition("="))
        if not (name and equals and value):
            raise InputError.of("not-facts", given=str(value))
        found[name] = value
    return found


def yes_or_no(value: object) -> str:
    """Yes or no."""
    if str(value).strip().casefold() not in ("yes", "no"):
        raise InputError.of("not-yes-or-no", given=str(value))
    return str(value).strip().casefold()


def days_of(value: object) -> tuple[date, ...]:
    """Days in order, with spaces between them."""
    found = tuple(day_of(part) for part in str(value).split())
    if not found or list(found) != sorted(set(found)):
        raise InputError.of("not-days/entry", given=str(value)[:40])
    return found


def road_of(value: object) -> float:
    """A length of road, which may be nothing."""
    found = quantity("length")(value)
    if not 0 <= found <= 3e6:
        raise InputError.of(
            "out-of-range/too-much" if found > 0 else "out-of-range/below-nothing", given=str(value)
        )
    return float(found)


def names_of(value: object) -> tuple[str, ...]:
    """Names, with commas between them."""
    found = tuple(part.strip() for part in str(value).split(","))
    if not all(found):
        raise InputError.of("not-names", given=str(value)[:40])
    return found


def cells_of(value: object) -> Mapping[str, str]:
    """Cells of the list of requests by column, as JSON."""
    found = _json(value)
    if not all(isinstance(cell, str) for cell in found.values()):
        raise InputError.of("not-json", given=str(value)[:40])
    return found


def promise_of(value: object) -> Promise:
    """What was reckoned when a booking was made, as JSON."""
    try:
        return Promise(**{name: float(given) for name, given in _json(value).items()})
    except (TypeError, ValueError):
        raise InputError.of("not-json", given=str(value)[:40]) from None


def promise_text(promise: Promise) -> str:
    """A promise as `promise_of` reads it, to the last digit."""
    return json.dumps(asdict(promise))


def cells_text(cells: Mapping[str, str]) -> str:
    """Cells as `cells_of` reads them."""
    return json.dumps(dict(cells), ensure_ascii=False)


def days_text(days: tuple[date, ...]) -> str:
    """Days as `days_of` reads them."""
    return " ".join(day.isoformat() for day in days)


def _json(value: object) -> Mapping[str, Any]:
    try:
        found = json.loads(str(value))
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise InputError.of("not-json", given=str(value)[:40])
    return found
