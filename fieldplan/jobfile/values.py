"""Read single values of a job file.

Each parser takes a value as TOML gives it and returns a checked Python value. It raises `InputError` if it
cannot be read.
"""

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
from fieldplan.typed_number import number_in
from fieldplan.typed_quantity import parse_quantity
from fieldplan.units import Kind

Parser = Callable[[object], Any]
LONGEST_TEXT = 200
LEAST_DIGITS = 3
"""The shortest numbers that can be called, such as those of emergency services."""
_LARGEST = 1_000_000_000


@dataclass(frozen=True, slots=True)
class Quantity:
    """Parser of a quantity: text with a unit of a kind."""

    kind: Kind

    def __call__(self, value: object) -> float:
        """Return the value in SI."""
        return parse_quantity(value, self.kind)


def quantity(kind: Kind) -> Quantity:
    """Return the parser of a quantity of a kind.

    Examples
    --------
    >>> quantity("length")("10 ft")
    3.048
    """
    return Quantity(kind)


def text(value: object) -> str:
    """Return text of one line that is not blank, without spaces at its ends.

    Raises
    ------
    InputError
        If it is not text, blank, longer than `LONGEST_TEXT`, or has control characters.
    """
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


def telephone(value: object) -> str:
    """Return whom to call: a name and a telephone number, in any form people write one in.

    Raises
    ------
    InputError
        If it is no text of one line, or has fewer digits than `LEAST_DIGITS`.

    Examples
    --------
    >>> telephone("district office, 555-0142")
    'district office, 555-0142'
    """
    said = text(value)
    if sum(sign.isdigit() for sign in said) < LEAST_DIGITS:
        raise InputError.of("not-a-telephone", given=short(value))
    return said


def texts(value: object) -> tuple[str, ...]:
    """Return a list of texts, none of them blank; see `text`.

    Raises
    ------
    InputError
        If it is no such list, or empty.
    """
    if not isinstance(value, list) or not value:
        raise InputError.of("not-texts", given=short(value), example='["county = Thistle", "asked"]')
    return tuple(text(member) for member in value)


def text_or_texts(value: object) -> tuple[str, ...]:
    """Return one text, or a list of them, as a tuple; see `texts`."""
    return texts(value) if isinstance(value, list) else (text(value),)


def whole(value: object) -> int:
    """Return a whole number.

    Raises
    ------
    InputError
        If it is not one.

    Examples
    --------
    >>> whole(16), whole("16")
    (16, 16)
    """
    if isinstance(value, str) and re.fullmatch(r"[0-9]{1,9}", value):
        return int(value)
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) > _LARGEST:
        meant = number_in(value)
        if meant is None or not meant.is_integer() or abs(meant) > _LARGEST:
            raise InputError.of("not-whole", given=short(value), example="16")
        raise InputError.of("not-whole/meant", given=short(value), right=str(int(meant)))
    return value


def number(value: object) -> float:
    """Return a plain number, for keys whose name tells the unit.

    Raises
    ------
    InputError
        If it is not a number.

    Examples
    --------
    >>> number("255,000")
    255000.0
    """
    if isinstance(value, str) and _PLAIN_NUMBER.fullmatch(value.strip()):
        return float(value.replace(",", ""))
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= _LARGEST:
        meant = number_in(value)
        if meant is not None and isinstance(value, str) and "%" in value:
            meant /= 100
        if meant is None or abs(meant) > _LARGEST:
            raise InputError.of("not-a-number", given=short(value), example="1.3")
        raise InputError.of("not-a-number/meant", given=short(value), right=f"{meant:.10g}")
    return float(value)


_PLAIN_NUMBER = re.compile(r"[+-]?(?:\d{1,3}(?:,\d{3}){1,2}|\d{1,9})(?:\.\d{1,12})?")


def short(value: object) -> str | Fact:
    """Return a value as a message quotes it, cut off if it is long.

    Examples
    --------
    >>> short("10 ft"), short(True)
    ('"10 ft"', 'true')
    """
    if isinstance(value, date):
        return f"{value}"
    if isinstance(value, int) and abs(value) > 10**30:
        return fact("very-many-digits")
    typed = json.dumps(value, ensure_ascii=False, default=str)
    return typed if len(typed) <= 60 else typed[:57] + "…"


_YES, _NO = ("true", "yes", "y", "on", "1"), ("false", "no", "n", "off", "0")


def flag(value: object) -> bool:
    """Return true or false, which may be in quotes.

    Raises
    ------
    InputError
        If it is neither.
    """
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
    """Parser of one of a few words, in upper or lower case."""

    allowed: tuple[str, ...]

    def __call__(self, value: object) -> str:
        """Return the word as ``allowed`` spells it."""
        if not isinstance(value, str):
            raise InputError.of("not-a-choice", given=short(value), near="", choices=self.allowed)
        typed = value.strip().casefold()
        word = next((word for word in self.allowed if word.casefold() == typed), None)
        if word is None:
            near = nearest(value, self.allowed) or ""
            raise InputError.of("not-a-choice", given=short(value), near=near, choices=self.allowed)
        return word


def choice(*allowed: str) -> Choice:
    """Return the parser of one of a few words.

    Examples
    --------
    >>> choice("first", "last")("First")
    'first'
    """
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
    """Parser of a value, or of a word that leaves the choice to fieldplan.

    Parameters
    ----------
    word
        The word, such as ``"auto"``.
    parser
        Reads any other value.
    """

    word: str
    parser: Parser

    def __call__(self, value: object) -> Any:
        """Return the value, or ``None`` for the word."""
        if isinstance(value, str) and value.strip().casefold() == self.word:
            return None
        return self.parser(value)


def word_or(word: str, parser: Parser) -> WordOr:
    """Return the parser of a value, or of a word that stands for ``None``; see `WordOr`."""
    return WordOr(word, parser)


@dataclass(frozen=True, slots=True)
class Pair:
    """Parser of a list of two quantities of a kind, low and high."""

    kind: Kind

    def __call__(self, value: object) -> tuple[float, float]:
        """Return both in SI."""
        if not isinstance(value, list) or len(value) != 2:
            raise InputError.of("not-a-pair", given=short(value))
        low, high = parse_quantity(value[0], self.kind), parse_quantity(value[1], self.kind)
        if low > high:
            raise InputError.of("pair-order")
        return low, high


def pair(kind: Kind) -> Pair:
    """Return the parser of a list of two quantities of a kind, low and high."""
    return Pair(kind)


def _place_meant(value: object) -> str:
    """Return a pair of numbers as a place, taking latitude first; empty if it cannot be one."""
    texts = re.findall(r"-?\d+(?:\.\d+)?", str(value))
    if len(texts) != 2 or not (abs(float(texts[0])) <= 90 and abs(float(texts[1])) <= 180):
        return ""
    return f"{{ lat = {texts[0]}, lon = {texts[1]} }}"


_A_PLACE = "{ lat = 44.25, lon = -95.75 }"
_AXES = {"latitude": "lat", "lat": "lat", "longitude": "lon", "lon": "lon", "long": "lon", "lng": "lon"}


def place(value: object) -> tuple[float, float]:
    """Return a place as longitude and latitude, in degrees.

    Parameters
    ----------
    value
        A table with ``lat`` and ``lon``: named, so that they cannot be swapped.

    Raises
    ------
    InputError
        If it is no such table, or no place on Earth.

    Examples
    --------
    >>> place({"lat": 44.25, "lon": -95.75})
    (-95.75, 44.25)
    """
    if isinstance(value, dict):
        value = {_AXES.get(str(key).casefold(), key): degrees for key, degrees in value.items()}
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
    """Return a table whose values are all text.

    Raises
    ------
    InputError
        If it is no such table.
    """
    if not isinstance(value, dict) or not all(isinstance(word, str) for word in value.values()):
        raise InputError.of("not-words", given=short(value), example='{ area = "outside" }')
    return dict(value)
