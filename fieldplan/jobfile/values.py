"""One value of a job file → its checked Python value."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from fieldplan.errors import InputError
from fieldplan.facts import Fact, fact
from fieldplan.model.field import SIDES_DEG
from fieldplan.model.spelling import nearest
from fieldplan.units import Kind, number_in, parse_quantity

Parser = Callable[[object], Any]
LONGEST_TEXT = 200
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
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise InputError.of("not-text/number", given=short(value), right=f'"{value}"')
    if not isinstance(value, str):
        raise InputError.of("not-text", given=short(value))
    if not value.strip():
        raise InputError.of("not-text/empty")
    if any(ord(sign) < 32 for sign in value):
        raise InputError.of("text-control")
    if len(value) > LONGEST_TEXT:
        raise InputError.of("text-long", n_signs=len(value), n_most=LONGEST_TEXT)
    return value.strip()


def texts(value: object) -> tuple[str, ...]:
    """A list of texts, none of them blank."""
    if not isinstance(value, list) or not value:
        raise InputError.of("not-texts", given=short(value), example='["county = Thistle", "asked"]')
    return tuple(text(one) for one in value)


def whole(value: object) -> int:
    """A whole number."""
    if isinstance(value, str) and re.fullmatch(r"[0-9]{1,9}", value):
        return int(value)
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) > _LARGEST:
        found = number_in(value)
        if found is None or not found.is_integer() or abs(found) > _LARGEST:
            raise InputError.of("not-whole", given=short(value), example="16")
        raise InputError.of("not-whole/meant", given=short(value), right=str(int(found)))
    return value


def number(value: object) -> float:
    """A plain number, for keys whose name carries the unit."""
    if isinstance(value, str) and _PLAIN_NUMBER.fullmatch(value.strip()):
        return float(value.replace(",", ""))
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= _LARGEST:
        found = number_in(value)
        if found is not None and isinstance(value, str) and "%" in value:
            found /= 100
        if found is None or abs(found) > _LARGEST:
            raise InputError.of("not-a-number", given=short(value), example="1.3")
        raise InputError.of("not-a-number/meant", given=short(value), right=f"{found:.10g}")
    return float(value)


_PLAIN_NUMBER = re.compile(r"[+-]?(?:\d{1,3}(?:,\d{3}){1,2}|\d{1,9})(?:\.\d{1,12})?")


def short(value: object) -> str | Fact:
    """A value as a message quotes it, cut off if it is long."""
    if isinstance(value, date):
        return f"{value}"
    if isinstance(value, int) and abs(value) > 10**30:
        return fact("very-many-digits")
    typed = json.dumps(value, ensure_ascii=False, default=str)
    return typed if len(typed) <= 60 else typed[:57] + "…"


_YES, _NO = ("true", "yes", "y", "on", "1"), ("false", "no", "n", "off", "0")


def flag(value: object) -> bool:
    """True or false."""
    word = str(value).strip().casefold()
    if isinstance(value, bool):
        return value
    if isinstance(value, str) and word in ("true", "false"):
        return word == "true"
    if word in (*_YES, *_NO):
        raise InputError.of(
            "not-true-or-false/meant", given=short(value), right="true" if word in _YES else "false"
        )
    raise InputError.of("not-true-or-false", given=short(value))


@dataclass(frozen=True, slots=True)
class Choice:
    """Reads one of a few words, whatever its capitals."""

    allowed: tuple[str, ...]

    def __call__(self, value: object) -> str:
        """The word as it is spelled here."""
        found = next(
            (
                one
                for one in self.allowed
                if isinstance(value, str) and value.strip().casefold() == one.casefold()
            ),
            None,
        )
        if found is None:
            near = nearest(value, self.allowed) if isinstance(value, str) else None
            raise InputError.of("not-a-choice", given=short(value), near=near or "", choices=self.allowed)
        return found


def choice(*allowed: str) -> Choice:
    """One of a few words."""
    return Choice(allowed)


def sides(value: object) -> tuple[str, ...]:
    """A list of compass sides.

    Examples
    --------
    >>> sides(["North", "south-east"])
    ('north', 'south-east')
    """
    if not isinstance(value, list) or not value:
        raise InputError.of("not-texts", given=short(value), example='["north", "east"]')
    one = Choice(tuple(SIDES_DEG))
    return tuple(one(side) for side in value)


@dataclass(frozen=True, slots=True)
class WordOr:
    """Reads a word that leaves the choice to fieldplan (``None``), or a value."""

    word: str
    parser: Parser

    def __call__(self, value: object) -> Any:
        """The value, or ``None`` for the word."""
        return (
            None if isinstance(value, str) and value.strip().casefold() == self.word else self.parser(value)
        )


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
            raise InputError.of("not-a-pair", given=short(value))
        low, high = parse_quantity(value[0], self.kind), parse_quantity(value[1], self.kind)
        if low > high:
            raise InputError.of("pair-order")
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


_A_PLACE = "{ lat = 44.25, lon = -95.75 }"
_AXES = {"latitude": "lat", "lat": "lat", "longitude": "lon", "lon": "lon", "long": "lon", "lng": "lon"}


def place(value: object) -> tuple[float, float]:
    """A place given by name of axis, so that they cannot be swapped: longitude, latitude."""
    if isinstance(value, dict):
        value = {_AXES.get(str(key).casefold(), key): one for key, one in value.items()}
    if not isinstance(value, dict) or set(value) != {"lat", "lon"}:
        raise InputError.of("not-a-place", given=short(value), example=_place_meant(value) or _A_PLACE)
    lat, lon = (_degrees(value, axis) for axis in ("lat", "lon"))
    if not (-90 <= lat <= 90 and -180 <= lon <= 180):
        example = _place_meant([lon, lat]) or _A_PLACE
        raise InputError.of(
            "not-a-place/nowhere", lat=short(value["lat"]), lon=short(value["lon"]), example=example
        )
    return lon, lat


def _degrees(value: Mapping[str, object], axis: str) -> float:
    try:
        return number(value[axis])
    except InputError:
        raise InputError.of(
            "not-a-place/axis", axis=axis, given=short(value[axis]), example=_A_PLACE
        ) from None


def words(value: object) -> dict[str, str]:
    """A table of words."""
    if not isinstance(value, dict) or not all(isinstance(one, str) for one in value.values()):
        raise InputError.of("not-words", given=short(value), example='{ area = "outside" }')
    return dict(value)
