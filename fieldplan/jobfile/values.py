"""One value of a job file → its checked Python value."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from fieldplan.errors import InputError
from fieldplan.model.spelling import did_you_mean, nearest
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
        raise InputError.of("not-text", f"is {short(value)}, not text", hint)
    if any(ord(sign) < 32 for sign in value):
        raise InputError.of("text-control", "holds a backslash, which TOML reads as a sign of its own", "write / instead of \\")
    if len(value) > LONGEST_TEXT:
        raise InputError.of("text-long", f"is {len(value)} characters long", f"{LONGEST_TEXT} at most")
    return value.strip()


def texts(value: object) -> tuple[str, ...]:
    """A list of texts, none of them blank."""
    if not isinstance(value, list) or not value:
        raise InputError.of("not-texts", f"is {short(value)}, no list of texts", 'such as ["county = Thistle", "asked"]')
    return tuple(text(one) for one in value)


def whole(value: object) -> int:
    """A whole number."""
    if isinstance(value, str) and re.fullmatch(r"[0-9]{1,9}", value):
        return int(value)
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) > _LARGEST:
        found = number_in(value)
        shown = f"{found:.0f}" if found is not None and found.is_integer() and abs(found) <= _LARGEST else "such as 16"
        raise InputError.of("not-whole", f"is {short(value)}, not a whole number", f"a number alone: {shown}")
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
        raise InputError.of("not-a-number", f"is {short(value)}, not a number", f"a number alone: {shown}")
    return float(value)


_PLAIN_NUMBER = re.compile(r"[+-]?(?:\d{1,3}(?:,\d{3}){1,2}|\d{1,9})(?:\.\d{1,12})?")


def short(value: object) -> str:
    """A value as a message quotes it, cut off if it is long."""
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
    raise InputError.of("not-true-or-false", f"is {short(value)}, not true or false", f"write {right}, without quotes")


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
                f"is {short(value)}, none of the words it can be",
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
                "not-a-pair", f"is {short(value)}, not two quantities in a list", 'such as ["0.2 bu/ac", "4 bu/ac"]'
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
            f"is {short(value)}, no place",
            f"write the place with lat and lon by name, such as {_place_meant(value) or example}",
        )
    lat, lon = number(value["lat"]), number(value["lon"])
    if not (-90 <= lat <= 90 and -180 <= lon <= 180):
        raise InputError.of(
            "not-a-place", f"lat {lat:g}, lon {lon:g} is nowhere on Earth", f"such as {_place_meant([lon, lat]) or example}"
        )
    return lon, lat


def words(value: object) -> dict[str, str]:
    """A table of words."""
    if not isinstance(value, dict) or not all(isinstance(one, str) for one in value.values()):
        raise InputError.of("not-words", f"is {short(value)}, no table of words", 'such as { area = "outside" }')
    return dict(value)
