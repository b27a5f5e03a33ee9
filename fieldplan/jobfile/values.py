"""One value of a job file → its checked Python value."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from fieldplan.errors import InputError, QuantityError
from fieldplan.model.seed import Rate
from fieldplan.tables import read as tables
from fieldplan.units import Kind, parse_quantity

Parser = Callable[[object], Any]
LONGEST_TEXT = 200
EARLIEST_YEAR, LATEST_YEAR = 2000, 2100
_LARGEST = 1_000_000_000


def quantity(kind: Kind) -> Parser:
    """A quantity as text with a unit of that kind."""
    return lambda value: parse_quantity(value, kind)


def text(value: object) -> str:
    """Any text that is not blank."""
    if not isinstance(value, str) or not value.strip():
        raise InputError.of("not-text", f"is {value!r}, not text", 'write it in quotes, such as "native"')
    if len(value) > LONGEST_TEXT:
        raise InputError.of("text-long", f"is {len(value)} characters long", f"{LONGEST_TEXT} at most")
    return value.strip()


def texts(value: object) -> tuple[str, ...]:
    """A list of texts, none of them blank."""
    if not isinstance(value, list) or not value:
        raise InputError.of("not-texts", f"is {_short(value)}, no list of texts", 'such as ["county = Thistle", "asked"]')
    return tuple(text(one) for one in value)


def whole(value: object) -> int:
    """A whole number."""
    if isinstance(value, str) and re.fullmatch(r"[0-9]{1,9}", value):
        return int(value)
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) > _LARGEST:
        raise InputError.of("not-whole", f"is {_short(value)}, not a whole number up to a billion", "such as 16")
    return value


def number(value: object) -> float:
    """A plain number, for keys whose name carries the unit."""
    if isinstance(value, str) and _PLAIN_NUMBER.fullmatch(value.strip()):
        return float(value.replace(",", ""))
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= _LARGEST:
        raise InputError.of("not-a-number", f"is {_short(value)}, not a number up to a billion", "such as 1.3")
    return float(value)


_PLAIN_NUMBER = re.compile(r"[+-]?(?:\d{1,3}(?:,\d{3}){1,2}|\d{1,9})(?:\.\d{1,12})?")


def _short(value: object) -> str:
    shown = "a number of very many digits" if isinstance(value, int) and abs(value) > 10**30 else repr(value)
    return shown if len(shown) <= 60 else shown[:57] + "…"


def flag(value: object) -> bool:
    """True or false."""
    if value in ("true", "false"):
        return value == "true"
    if not isinstance(value, bool):
        raise InputError.of("not-true-or-false", f"is {value!r}", "write true or false, without quotes")
    return value


def choice(*allowed: str) -> Parser:
    """One of a few words."""

    def parse(value: object) -> str:
        if value not in allowed:
            raise InputError.of("not-a-choice", f"is {value!r}", "one of: " + ", ".join(f'"{a}"' for a in allowed))
        return str(value)

    return parse


def word_or(word: str, parser: Parser) -> Parser:
    """A word that leaves the choice to fieldplan (``None``), or a value."""

    def parse(value: object) -> Any:
        if value == word:
            return None
        try:
            return parser(value)
        except InputError as error:
            problem = error.problems[0]
            raise InputError.of(problem.code, problem.text, f'"{word}", or {problem.hint}') from None

    return parse


def pair(kind: Kind) -> Parser:
    """A list of two quantities, low and high."""

    def parse(value: object) -> tuple[float, float]:
        if not isinstance(value, list) or len(value) != 2:
            raise InputError.of("not-a-pair", f"is {value!r}", 'two quantities in a list: ["0.2 bu/ac", "4 bu/ac"]')
        return parse_quantity(value[0], kind), parse_quantity(value[1], kind)

    return parse


def place(value: object) -> tuple[float, float]:
    """A place given by name of axis, so that they cannot be swapped: longitude, latitude."""
    example = "{ lat = 44.25, lon = -95.75 }"
    if not isinstance(value, dict) or set(value) != {"lat", "lon"}:
        raise InputError.of("not-a-place", f"is {value!r}", f"write the place as {example}")
    lat, lon = number(value["lat"]), number(value["lon"])
    if not (-90 <= lat <= 90 and -180 <= lon <= 180):
        raise InputError.of("not-a-place", f"lat {lat:g}, lon {lon:g} is nowhere on Earth", f"such as {example}")
    return lon, lat


def day(value: object) -> date:
    """A date."""
    if isinstance(value, datetime):
        value = value.date()
    if isinstance(value, date) and EARLIEST_YEAR <= value.year <= LATEST_YEAR:
        return value
    raise InputError.of("not-a-date", f"is {_short(value)}, not a date from {EARLIEST_YEAR} to {LATEST_YEAR}",
                        "write it without quotes, such as 2027-05-10")  # fmt: skip


_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def days_off(value: object) -> tuple[frozenset[int], frozenset[date]]:
    """Weekdays and dates on which no work is done."""
    example = 'such as ["Sunday", 2027-05-31]'
    if not isinstance(value, list):
        raise InputError.of("not-days", f"is {_short(value)}, no list of days", example)
    weekdays, dates = set(), set()
    for one in value:
        if isinstance(one, str) and one.strip().casefold().rstrip("s") in _WEEKDAYS:
            weekdays.add(_WEEKDAYS.index(one.strip().casefold().rstrip("s")))
        elif isinstance(one, date):
            dates.add(day(one))
        else:
            raise InputError.of("not-days", f"holds {_short(one)}, no day", example)
    return frozenset(weekdays), frozenset(dates)


def fit_day_chance(value: object) -> tuple[float, str]:
    """The chance that a day is fit, and the key of its source if it names a published table instead of giving one."""
    known = {row["place"].casefold(): row for row in tables.rows("fit_days")}
    if isinstance(value, str) and value.strip().casefold() in known:
        row = known[value.strip().casefold()]
        return float(row["share"]) / 100, row["source"]
    try:
        return parse_quantity(value, "share"), ""
    except QuantityError:
        places = ", ".join(f'"{row["place"]}"' for row in tables.rows("fit_days"))
        raise InputError.of("not-a-chance", f"is {_short(value)}", f'a chance such as "55 %", or one of: {places}') from None


_RATE = re.compile(r"(?P<amount>.*?)\s*\b(?P<basis>pls|bulk|of\s+(?:a\s+)?(?:full\s+)?stand)\s*", re.IGNORECASE)


def rate(value: object) -> Rate:
    """A seeding rate: pure live or bulk mass, live seeds, or a share of a full stand."""
    examples = '"3.4 lb/ac PLS", "90 lb/ac bulk", "12 seeds/ft2" (live seeds) or "25 % of stand"'
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        raise QuantityError.of("rate-unreadable", f"is {_short(value)}, no rate", examples)
    match = _RATE.fullmatch(value.strip())
    try:
        if match is None:
            if "seed" in value:
                return Rate(value=parse_quantity(value, "count rate"), basis="live seeds")
            parse_quantity(value, "mass rate")
            raise InputError.of("rate-basis-missing", f'"{value}" does not say whether it is pure live seed or bulk',
                                f'"{value} PLS" or "{value} bulk"')  # fmt: skip
        basis = match["basis"].lower()
        if basis in ("pls", "bulk"):
            return Rate(value=parse_quantity(match["amount"], "mass rate"), basis="pls" if basis == "pls" else "bulk")
        return Rate(value=parse_quantity(match["amount"], "share"), basis="stand")
    except QuantityError as error:
        raise QuantityError.of("rate-unreadable", error.problems[0].text, examples) from None


_AMOUNT = r"(?P<amount>\d{1,3}(?:,\d{3})+(?:\.\d{1,4})?|\d{1,9}(?:\.\d{1,4})?)"
_PRICE = re.compile(
    rf"(?:(?P<before>[^\d\s.,/+-]{{1,3}})\s*{_AMOUNT}|{_AMOUNT.replace('amount', 'amount2')}\s*(?P<after>[^\d\s/+-]{{1,3}}))\s*(?:/|per)\s*(?P<unit>\w+)"
)


def price(value: object) -> tuple[float, str, float | None]:
    """Money for seed: the amount, its currency as written, and the kilograms it buys (``None`` for a bag)."""
    example = 'such as "$5.20/lb", "$180/bag" or "11 EUR/kg"'
    match = _PRICE.fullmatch(value.strip()) if isinstance(value, str) and len(value) <= LONGEST_TEXT else None
    if match is None:
        raise InputError.of("price-unreadable", f"is {_short(value)}, no price", example)
    unit = match["unit"].lower()
    amount, currency = float((match["amount"] or match["amount2"]).replace(",", "")), match["before"] or match["after"]
    if unit in ("bag", "bags"):
        return amount, currency, None
    try:
        return amount, currency, parse_quantity(f"1 {unit}", "mass")
    except QuantityError:
        raise InputError.of("price-unreadable", f'"{value}" is no price for a mass', example) from None


def money(kind: Kind) -> Parser:
    """Money for a quantity of some kind, such as a gallon or an hour: what one SI unit costs, and the currency."""
    example = {"volume": '"$4.10/gal" or "1.05 EUR/l"', "time": '"$25/h"'}.get(kind, '"$5/lb"')

    def parse(value: object) -> tuple[float, str]:
        match = _PRICE.fullmatch(value.strip()) if isinstance(value, str) and len(value) <= LONGEST_TEXT else None
        try:
            if match is None:
                raise QuantityError.of("", "")
            one = parse_quantity(f"1 {match['unit']}", kind)
        except QuantityError:
            raise InputError.of("price-unreadable", f"is {_short(value)}, no price", f"such as {example}") from None
        return float((match["amount"] or match["amount2"]).replace(",", "")) / one, match["before"] or match["after"]

    return parse


def words(value: object) -> dict[str, str]:
    """A table of words."""
    if not isinstance(value, dict) or not all(isinstance(one, str) for one in value.values()):
        raise InputError.of("not-words", f"is {_short(value)}, no table of words", 'such as { area = "outside" }')
    return dict(value)


_CARRIER = re.compile(r"(?P<name>[^\d]+?)(?:\s+at\s+(?P<weight>\d[\d.,]*\s*\S+))?(?:\s+to\s+(?P<volume>\d[\d.,]*\s*\S+))?")


def carrier(value: object) -> tuple[str, float | None, float | None]:
    """A carrier: its name in small letters, its weight by volume and the volume rate to reach, as far as they are said."""
    example = '"rice hulls" (up to what the box can meter), "rice hulls to 2 bu/ac" or "oat hulls at 12 lb/bu to 2 bu/ac"'
    match = _CARRIER.fullmatch(value.strip()) if isinstance(value, str) and len(value) <= LONGEST_TEXT else None
    if match is None or re.search(r"(^|\s)(at|to)(\s|$)", match["name"]):
        raise InputError.of("carrier-unreadable", f"is {_short(value)}, no carrier", example)
    try:
        weight = None if match["weight"] is None else parse_quantity(match["weight"], "density")
        volume = None if match["volume"] is None else parse_quantity(match["volume"], "volume rate")
    except QuantityError as error:
        raise InputError.of("carrier-unreadable", error.problems[0].text, example) from None
    return match["name"].strip().casefold(), weight, volume
