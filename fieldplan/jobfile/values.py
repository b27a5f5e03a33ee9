"""One value of a job file → its checked Python value."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from fieldplan.errors import InputError, QuantityError
from fieldplan.model.seed import Rate
from fieldplan.model.spelling import did_you_mean, nearest
from fieldplan.tables import read as tables
from fieldplan.units import Kind, number_in, parse_quantity, unit_meant

Parser = Callable[[object], Any]
LONGEST_TEXT = 200
EARLIEST_YEAR, LATEST_YEAR = 2000, 2100
_LARGEST = 1_000_000_000


@dataclass(frozen=True, slots=True)
class Quantity:
    """Reads a quantity as text with a unit of that kind."""

    kind: Kind

    def __call__(self, value: object) -> float:
        """The value in SI."""
        return parse_quantity(value, self.kind)


def quantity(kind: Kind) -> Quantity:
    """A quantity as text with a unit of that kind."""
    return Quantity(kind)


def text(value: object) -> str:
    """Any text that is not blank."""
    if not isinstance(value, str) or not value.strip():
        if isinstance(value, str):
            raise InputError.of(
                "not-text", "has nothing between its quotes", "fill it in, or put # before the line to leave it out"
            )
        hint = (
            f'write it in quotes: "{value}"'
            if isinstance(value, int | float) and not isinstance(value, bool)
            else "write one text in quotes"
        )
        raise InputError.of("not-text", f"is {_short(value)}, not text", hint)
    if any(ord(sign) < 32 for sign in value):
        raise InputError.of("text-control", "holds a backslash, which TOML reads as a sign of its own", "write / instead of \\")
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
        found = number_in(value)
        shown = f"{found:.0f}" if found is not None and found.is_integer() and abs(found) <= _LARGEST else "such as 16"
        raise InputError.of("not-whole", f"is {_short(value)}, not a whole number", f"a number alone: {shown}")
    return value


def number(value: object) -> float:
    """A plain number, for keys whose name carries the unit."""
    if isinstance(value, str) and _PLAIN_NUMBER.fullmatch(value.strip()):
        return float(value.replace(",", ""))
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= _LARGEST:
        found = number_in(value)
        if found is not None and isinstance(value, str) and "%" in value:
            found /= 100
        shown = f"{found:.10g}" if found is not None and abs(found) <= _LARGEST else "such as 1.3"
        raise InputError.of("not-a-number", f"is {_short(value)}, not a number", f"a number alone: {shown}")
    return float(value)


_PLAIN_NUMBER = re.compile(r"[+-]?(?:\d{1,3}(?:,\d{3}){1,2}|\d{1,9})(?:\.\d{1,12})?")


def _short(value: object) -> str:
    if isinstance(value, date):
        return f"{value}"
    if isinstance(value, int) and abs(value) > 10**30:
        return "a number of very many digits"
    shown = json.dumps(value, ensure_ascii=False, default=str)
    return shown if len(shown) <= 60 else shown[:57] + "…"


_YES, _NO = ("true", "yes", "y", "on", "1"), ("false", "no", "n", "off", "0")


def flag(value: object) -> bool:
    """True or false."""
    word = str(value).strip().casefold()
    if isinstance(value, bool):
        return value
    if isinstance(value, str) and word in ("true", "false"):
        return word == "true"
    right = "true" if word in _YES else "false" if word in _NO else "true or false"
    raise InputError.of("not-true-or-false", f"is {_short(value)}, not true or false", f"write {right}, without quotes")


@dataclass(frozen=True, slots=True)
class Choice:
    """Reads one of a few words, whatever its capitals."""

    allowed: tuple[str, ...]

    def __call__(self, value: object) -> str:
        """The word as it is spelled here."""
        found = next((one for one in self.allowed if isinstance(value, str) and value.strip().casefold() == one.casefold()), None)
        if found is None:
            meant = did_you_mean(value, self.allowed) if isinstance(value, str) else ""
            raise InputError.of(
                "not-a-choice",
                f"is {_short(value)}, none of the words it can be",
                meant + "one of: " + ", ".join(f'"{a}"' for a in self.allowed),
            )
        return found


def choice(*allowed: str) -> Choice:
    """One of a few words."""
    return Choice(allowed)


@dataclass(frozen=True, slots=True)
class WordOr:
    """Reads a word that leaves the choice to fieldplan (``None``), or a value."""

    word: str
    parser: Parser

    def __call__(self, value: object) -> Any:
        """The value, or ``None`` for the word."""
        if isinstance(value, str) and value.strip().casefold() == self.word:
            return None
        try:
            return self.parser(value)
        except InputError as error:
            problem = error.problems[0]
            near = f'did you mean "{self.word}"? ' if isinstance(value, str) and nearest(value, [self.word]) else ""
            raise InputError.of(problem.code, problem.text, f'{near}"{self.word}", or {problem.hint}') from None


def word_or(word: str, parser: Parser) -> WordOr:
    """A word that leaves the choice to fieldplan (``None``), or a value."""
    return WordOr(word, parser)


@dataclass(frozen=True, slots=True)
class Pair:
    """Reads a list of two quantities, low and high."""

    kind: Kind

    def __call__(self, value: object) -> tuple[float, float]:
        """Both in SI."""
        if not isinstance(value, list) or len(value) != 2:
            raise InputError.of(
                "not-a-pair", f"is {_short(value)}, not two quantities in a list", 'such as ["0.2 bu/ac", "4 bu/ac"]'
            )
        low, high = parse_quantity(value[0], self.kind), parse_quantity(value[1], self.kind)
        if low > high:
            raise InputError.of("pair-order", "does not run from low to high", f'["{value[1]}", "{value[0]}"]')
        return low, high


def pair(kind: Kind) -> Pair:
    """A list of two quantities, low and high."""
    return Pair(kind)


def _place_meant(value: object) -> str:
    """A pair of numbers as a place, latitude first, if it can be one."""
    texts = re.findall(r"-?\d+(?:\.\d+)?", str(value))
    if len(texts) != 2 or not (abs(float(texts[0])) <= 90 and abs(float(texts[1])) <= 180):
        return ""
    return f"{{ lat = {texts[0]}, lon = {texts[1]} }}"


_AXES = {"latitude": "lat", "lat": "lat", "longitude": "lon", "lon": "lon", "long": "lon", "lng": "lon"}


def place(value: object) -> tuple[float, float]:
    """A place given by name of axis, so that they cannot be swapped: longitude, latitude."""
    example = "{ lat = 44.25, lon = -95.75 }"
    if isinstance(value, dict):
        value = {_AXES.get(str(key).casefold(), key): one for key, one in value.items()}
    if not isinstance(value, dict) or set(value) != {"lat", "lon"}:
        raise InputError.of(
            "not-a-place",
            f"is {_short(value)}, no place",
            f"write the place with lat and lon by name, such as {_place_meant(value) or example}",
        )
    lat, lon = number(value["lat"]), number(value["lon"])
    if not (-90 <= lat <= 90 and -180 <= lon <= 180):
        raise InputError.of(
            "not-a-place", f"lat {lat:g}, lon {lon:g} is nowhere on Earth", f"such as {_place_meant([lon, lat]) or example}"
        )
    return lon, lat


_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def day(value: object) -> date:
    """A date, in quotes or not."""
    if isinstance(value, datetime):
        value = value.date()
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", value.strip()):
        try:
            value = date.fromisoformat(value.strip())
        except ValueError:
            raise InputError.of("not-a-date", f"is {_short(value)}, a day that no calendar has", "such as 2027-05-10") from None
    if isinstance(value, date) and EARLIEST_YEAR <= value.year <= LATEST_YEAR:
        return value
    meant = day_meant(value)
    what = "not one day" if _month_alone(value) else f"not a date from {EARLIEST_YEAR} to {LATEST_YEAR}"
    raise InputError.of("not-a-date", f"is {_short(value)}, {what}",
                        f"write year-month-day: {meant}" if meant else f"write year-month-day, such as {_month_alone(value) or '2027-05-10'}")  # fmt: skip


def _month_alone(value: object) -> str:
    """The first day of a month that is given with its year and no day; empty if it is not."""
    if not isinstance(value, str) or not (match := re.fullmatch(r"\s*([A-Za-z]{3,9})\.?,?\s+(20\d\d)\s*", value)):
        return ""
    word = match[1].casefold()[:3]
    return f"{match[2]}-{_MONTHS.index(word) + 1:02}-01" if word in _MONTHS else ""


def day_meant(value: object) -> date | None:
    """The day that a text in another form of date most likely means, month before day where that is open."""
    if isinstance(value, int) and re.fullmatch(r"20\d{6}", str(value)):
        value = f"{str(value)[:4]}-{str(value)[4:6]}-{str(value)[6:]}"
    if not isinstance(value, str):
        return None
    words = [one.casefold() for one in re.findall(r"[A-Za-z]+|\d+", value)]
    if any(
        one.isalpha() and one[:3] not in (*_MONTHS, *(day[:3] for day in _WEEKDAYS)) and one not in ("st", "nd", "rd", "th", "of")
        for one in words
    ):
        return None
    numbers = [int(one) for one in words if one.isdigit()]
    month = next((_MONTHS.index(one[:3]) + 1 for one in words if one[:3] in _MONTHS), None)
    year = next((one for one in numbers if EARLIEST_YEAR <= one <= LATEST_YEAR), None)
    rest = [one for one in numbers if one != year]
    if year is None and len(rest) == 3 and rest[2] < 100:
        year, rest = 2000 + rest[2], rest[:2]
    if year is None or len(rest) != (2 if month is None else 1):
        return None
    day_first = rest[0] > 12 or bool(re.fullmatch(r"\s*\d{1,2}\.\d{1,2}\.\d{2,4}\s*", value))
    first, second = (month, rest[0]) if month else (rest[1], rest[0]) if day_first else (rest[0], rest[1])
    try:
        return date(year, first, second)
    except ValueError:
        return None


_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def days_off(value: object) -> tuple[frozenset[int], frozenset[date]]:
    """Weekdays and dates on which no work is done."""
    example = 'such as ["Sunday", 2027-05-31]'
    if not isinstance(value, list):
        shown = f"write [{_quoted(value)}]" if isinstance(value, str | date) else example
        raise InputError.of("not-days", f"is {_short(value)}, no list of days", shown)
    weekdays, dates = set(), set()
    for one in value:
        if isinstance(one, str) and one.strip().casefold().rstrip("s") in _WEEKDAYS:
            weekdays.add(_WEEKDAYS.index(one.strip().casefold().rstrip("s")))
        elif isinstance(one, date) or (isinstance(one, str) and re.match(r"\d{4}-", one.strip())):
            dates.add(day(one))
        elif meant_day := day_meant(one):
            raise InputError.of("not-days", f"holds {_short(one)}, a date in another form", f"year-month-day: {meant_day}")
        else:
            near = nearest(one, _WEEKDAYS) if isinstance(one, str) else None
            if isinstance(one, str) and one.strip().casefold().startswith("weekend"):
                example = 'such as ["Saturday", "Sunday"]'
            meant = f'did you mean "{near.capitalize()}"?' if near else example
            raise InputError.of("not-days", f"holds {_short(one)}, no day", meant)
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
        places = [row["place"] for row in tables.rows("fit_days")]
        named = isinstance(value, str) and number_in(value) is None and value.strip()
        heads = [one for one in places if named and value.strip().casefold() in one.casefold()]  # type: ignore[attr-defined]
        near = heads[0] if heads else nearest(str(value), places, 0.5) if named else None
        meant = f'did you mean "{near}"? ' if near else ""
        chance = number_in(value) or 55
        shown = f"{chance * 100 if chance < 1 else chance:.10g} %" if 0 < chance <= 100 else "55 %"
        listed = ", ".join(f'"{one}"' for one in places)
        raise InputError.of(
            "not-a-chance", f"is {_short(value)}, no percentage", f'{meant}"{shown}", or where days are published: {listed}'
        ) from None


_RATE = re.compile(r"(?P<amount>.*?)\s*\b(?P<basis>pls|bulk|of\s+(?:a\s+)?(?:full\s+)?stand)\s*", re.IGNORECASE)


def rate(value: object) -> Rate:
    """A seeding rate: pure live or bulk mass, live seeds, or a share of a full stand."""
    examples = '"3.4 lb/ac PLS", "90 lb/ac bulk", "12 seeds/ft2" (live seeds) or "25 % of stand"'
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        raise QuantityError.of("rate-unreadable", f"is {_short(value)}, no rate", _rates_meant(value) or examples)
    match = _RATE.fullmatch(_BASIS_FIRST.sub(r"\2 \1", value.strip().rstrip(".")))
    if special := _another_measure(value):
        raise InputError.of("rate-unreadable", f'"{value}" {special[0]}', special[1])
    try:
        if match is None:
            if _OF_SEEDS.search(value):
                return Rate(value=parse_quantity(value, "count rate"), basis="live seeds")
            parse_quantity(value, "mass rate")
            raise InputError.of("rate-basis-missing", f'"{value}" does not say whether it is pure live seed or bulk',
                                f'"{value} PLS" or "{value} bulk"')  # fmt: skip
        basis = match["basis"].lower()
        if basis in ("pls", "bulk"):
            return Rate(value=parse_quantity(match["amount"], "mass rate"), basis="pls" if basis == "pls" else "bulk")
        return Rate(value=parse_quantity(match["amount"], "share"), basis="stand")
    except QuantityError as error:
        raise QuantityError.of("rate-unreadable", error.problems[0].text, _rates_meant(value) or examples) from None


def _another_measure(value: str) -> tuple[str, str] | None:
    """What a rate by a measure that is none of a rate's is, and what to write: bushels, bags, plants, a bare percentage, a range."""
    number = number_in(value)
    shown = "" if number is None else f"{number:.10g}"
    if shown and re.fullmatch(
        r"\s*[\d.,]+\s*(?:%|percent|pct)\s*(?:of)?\s*(?:a|full|the|of)?\s*(?:rate)?\s*", value, re.IGNORECASE
    ):
        return "does not say of what", f'"{shown} % of stand"'
    if re.search(r"\d\s*(?:bu|bushels?|gal|gallons?|l|ft3)\b\s*(?:/|per\b|an?\b)", value, re.IGNORECASE):
        return "is a volume, and a rate is a weight", f'{shown or "bushels"} × what a bushel weighs, such as "56 lb/ac bulk"'
    if re.search(r"\d\s*(?:bags?|sacks?|totes?|units?)\b", value, re.IGNORECASE):
        return "is a number of bags, and a rate is a weight", f'{shown or "bags"} × what a bag weighs, such as "75 lb/ac bulk"'
    if shown and re.search(r"\d\s*plants?\b", value, re.IGNORECASE):
        return "is a number of plants, and a rate is of live seeds", f'"{shown} seeds/ft2", with the seeds that die added'
    if span := re.match(r"\s*(\d+(?:\.\d+)?)\s*(?:-|–|to|or)\s*(\d+(?:\.\d+)?)\s+(\S.*)", value):
        return "is a range, and one number is looked for", f'"{span[1]} {span[3]}" or "{span[2]} {span[3]}"'
    return None


_OF_SEEDS = re.compile(r"\d\s*seeds?\b|\bseeds?\s*(?:/|per\b)", re.IGNORECASE)
_BASIS_FIRST = re.compile(r"(PLS|bulk)\s+(\d.*|[\d.,]+\s*\w+/\w+)", re.IGNORECASE)


def _rates_meant(value: object) -> str:
    """The same number as a rate of the bases that could be meant; empty if there is no one number."""
    number = number_in(value)
    if number is None:
        return ""
    text_given = value if isinstance(value, str) else ""
    if _OF_SEEDS.search(text_given):
        return f'"{number:.10g} seeds/ft2"'
    words = [one for one in re.findall(r"[A-Za-z]+", text_given) if one.casefold() not in ("lb", "lbs", "pounds", "pound")]
    basis = next((near for cutoff in (1.0, 0.65) for word in words if (near := nearest(word, ("PLS", "bulk"), cutoff))), None)
    per_area = re.sub(r"\b(?:bulk|pls)\b|[(),]", " ", text_given, flags=re.IGNORECASE)
    amount = f"{number:.10g} {unit_meant(per_area, 'mass rate') or 'lb/ac'}"
    return f'"{amount} {basis}"' if basis else f'"{amount} PLS" or "{amount} bulk"'


_AMOUNT = r"(?P<amount>\d{1,3}(?:,\d{3})+(?:\.\d{1,4})?|\d{1,9}(?:\.\d{1,4})?)"
_PRICE = re.compile(
    rf"(?:(?P<before>[^\d\s.,/+-]{{1,3}})\s*{_AMOUNT}|{_AMOUNT.replace('amount', 'amount2')}\s*(?P<after>[^\d\s/+-]{{1,3}}))\s*(?:/|per)\s*(?P<unit>\w+)"
)


def price(value: object) -> tuple[float, str, float | None]:
    """Money for seed: the amount, its currency as written, and the kilograms it buys (``None`` for a bag)."""
    number = number_in(value)
    example = (
        'such as "$5.20/lb", "$180/bag" or "11 EUR/kg"'
        if number is None
        else f'"${_cents(number)}/lb" or "${_cents(number)}/bag"'
    )
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
        raise InputError.of("price-unreadable", f'"{value}" is no price by weight or by the bag', example) from None


def money(kind: Kind) -> Parser:
    """Money for a quantity of some kind, such as a gallon or an hour: what one SI unit costs, and the currency."""
    unit, usual = {"volume": ("gal", 4.10), "time": ("h", 25.0)}.get(kind, ("lb", 5.0))

    def parse(value: object) -> tuple[float, str]:
        number = number_in(value)
        example = f'"${_cents(usual if number is None else number)}/{unit}"'
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


def _quoted(value: object) -> str:
    return f'"{value}"' if isinstance(value, str) else str(value)


def _cents(amount: float) -> str:
    return f"{amount:.2f}".removesuffix(".00")
