"""How to write a value correctly, keeping what the user wrote: ``row_spacing = "7.5 in"``."""

from __future__ import annotations

import re
from collections.abc import Iterator

from fieldplan.errors import Problem
from fieldplan.facts import Fact, fact
from fieldplan.jobfile.rates import basis_behind
from fieldplan.jobfile.values import Pair, Parser, Quantity, WordOr, number, whole
from fieldplan.model.spelling import nearest
from fieldplan.tables.bands import Band, band_of
from fieldplan.typed_number import number_in
from fieldplan.typed_quantity import kind_of, written
from fieldplan.typed_unit import unit_meant
from fieldplan.units import FACTORS, Kind


def right_form(table: str, key: str, parser: Parser, given: object, problem: Problem) -> Fact | None:
    """Return what to write instead of a value that cannot be read; ``None`` if the problem itself says it.

    Parameters
    ----------
    table, key
        Where the value is, as the schema names it.
    parser
        Reads values of the key.
    given
        The value as the file has it.
    problem
        What is wrong with it. Its value ``right`` holds what was meant, ``example`` a value that would do.

    Returns
    -------
    Fact or None
        ``right-form`` with a line to write, ``right-form/such-as`` with an example, or
        ``right-form/word-or`` where a word may be written instead.
    """
    if problem.code == "out-of-range":  # it was read, and its problem says the range
        return None
    if isinstance(parser, WordOr):
        if parser.parser == Quantity("angle") and (bearing := _bearing(given)):
            return fact("right-form", key=key, right=f'"{bearing}"')
        near = nearest(given, [parser.word]) if isinstance(given, str) else None
        other = right_form(table, key, parser.parser, given, problem)
        if other is None:
            return None
        return fact("right-form/word-or", key=key, near=near or "", word=parser.word, other=other)
    if isinstance(parser, Quantity):
        clock = _clock(key, given) if parser.kind == "time" else ""
        right = f'"{clock}"' if clock else quantity_form(table, key, parser.kind, given)
        return fact("right-form", key=key, right=right)
    if isinstance(parser, Pair):
        return fact("right-form", key=key, right=_pair_form(table, key, parser, given))
    if problem.values.get("right"):
        return fact("right-form", key=key, right=problem.values["right"])
    band = band_of(f"{table}.{key}") if parser in (whole, number) else None
    example = band.example if band else problem.values.get("example")
    return None if example is None else fact("right-form/such-as", key=key, example=example)


def line_of(form: Fact | None) -> str:
    """Return a form from `right_form` as a line of a job file; empty if it is not exactly one line."""
    right = form.values["right"] if form is not None and form.code == "right-form" else ()
    return f"{form.values['key']} = {right}" if form is not None and isinstance(right, str) else ""


def _bearing(given: object) -> str:
    """Return a compass direction, such as "north-south" or "NE", as a heading; empty if it is none."""
    word = re.sub(r"[^a-z]", "", given.casefold()) if isinstance(given, str) else ""
    for name in ("north", "south", "east", "west"):
        word = word.replace(name, name[0])
    return next((f"{heading} deg" for heading, words in _HEADINGS.items() if word in words.split()), "")


_HEADINGS = {
    "0": "n s ns sn",
    "22.5": "nnesww",
    "45": "ne sw nesw swne",
    "90": "e w ew we",
    "135": "nw se nwse senw",
}
"""Compass directions by their heading in degrees; a pass may be driven either way."""


_CLOCK = r"(\d{1,2})(?::(\d\d))?\s*([ap])?\.?m?\.?"


def _clock(key: str, given: object) -> str:
    """Return "1:30", or for hours_per_day "7 am to 5 pm", as hours and minutes; empty if it is neither."""
    text = given.strip().casefold() if isinstance(given, str) else ""
    if single := re.fullmatch(r"(\d{1,2}):(\d\d)", text):
        minutes = int(single[1]) * 60 + int(single[2])
    elif (
        (span := re.fullmatch(rf"{_CLOCK}\s*(?:-|–|to|until|till)\s*{_CLOCK}", text))
        and key == "hours_per_day"
        and (span[3] or span[6] or span[2])
    ):
        minutes = _minutes_after_midnight(*span.group(4, 5, 6)) - _minutes_after_midnight(
            *span.group(1, 2, 3)
        )
    else:
        return ""
    if minutes <= 0:
        return ""
    hours, rest = divmod(minutes, 60)
    return " ".join(part for part in (f"{hours} h" * bool(hours), f"{rest} min" * bool(rest)) if part)


def _minutes_after_midnight(hour: str, minute: str | None, half: str | None) -> int:
    """Return the time of day in minutes; ``half`` is "a" for a.m., "p" for p.m., ``None`` for 24 hours."""
    hours = int(hour) % 12 + 12 * (half == "p") if half else int(hour)
    return hours * 60 + int(minute or 0)


def quantity_form(table: str, key: str, kind: Kind, given: object) -> str:
    """Return a quantity with the user's number and its most likely unit, in quotes.

    Parameters
    ----------
    table, key
        Where it is, as the schema names it.
    kind
        What it measures.
    given
        The value as the file has it; without a number in it, the result is a usual example.
    """
    band = band_of(f"{table}.{key}", kind)
    if band is None:
        return written(given, kind)
    usual = f'"{band.example} {band.unit}"'
    number = number_in(given)
    if number is None:
        return usual
    named = unit_meant(given, kind)
    if named:
        return f'"{number:.10g} {named}"'
    if kind_of(given) is not None:
        return usual
    if isinstance(given, str) and re.search(r"[A-Za-z]{2}", given):
        return _form(band, kind, number, band.unit) or usual  # an unknown unit: the number may belong to it
    return next(_likely_forms(band, kind, number, given), usual)


def slips_meant(band: Band, kind: Kind | None, given: object) -> list[str]:
    """Return what a value outside its band was probably meant to be, likeliest first.

    It may be in another unit, a share written as a fraction, or a number with a lost decimal point.

    Parameters
    ----------
    band
        The band of the key.
    kind
        What it measures; ``None`` for a count.
    given
        The value as the file has it.

    Returns
    -------
    list of str
        Up to two values as one would write them, all within the likely range.
    """
    number = number_in(given)
    if number is None:
        return []
    if kind is None:
        moved = (number / 10, number * 10)
        return [f"{count:.10g}" for count in moved if _inside(count, band.likely) and count == int(count)][
            :1
        ]
    named = unit_meant(given, kind) or band.unit
    in_other_units = [
        form
        for unit in band.other_units
        if unit != named and (form := _form(band, kind, number, unit)) is not None
    ]
    if named != band.unit and (usual := _form(band, kind, number, band.unit)):
        return [usual, *in_other_units[:1]]
    likely = [number * 100] if kind == "share" and 0 < number <= 1 else []
    likely += [number / 1000] if isinstance(given, str) and re.search(r"\d,\d{3}", given) else []
    scaled = [
        form
        for value in (*likely, number / 10, number * 10)
        if (form := _form(band, kind, value, named)) is not None
    ]
    if likely and scaled:
        return scaled[:1]
    if kind == "time":  # minutes for hours are likelier than a lost point
        return [*in_other_units[:1], *scaled[:1]]
    return [*scaled[:1], *in_other_units[:1]]


_WITH_UNIT = re.compile(r"\s*(?P<number>\d[\d.,]*)\s*(?P<unit>[^\d\s]\S*)\s*")
_MONEY = re.compile(r"([^\d.,]{1,4})[\d.,]+(.*)")
_USUAL_UNITS: dict[Kind, tuple[str, ...]] = {
    "mass rate": ("lb/ac", "kg/ha"),
    "volume": ("ft3", "bu", "gal", "l"),
    "density": ("lb/bu", "kg/hl", "kg/m3"),
    "length": ("in", "ft", "cm"),
}


def slips_in_all(given: object, value: float, likely: tuple[float, float]) -> list[str]:
    """Return what a value was probably meant to be if something in proportion to it is unlikely.

    Parameters
    ----------
    given
        The value as the file has it.
    value
        What follows from it, in proportion.
    likely
        The likely range of what follows from it.

    Returns
    -------
    list of str
        Up to two values as one would write them: with another decimal point, or in another unit.
    """
    number = number_in(given)
    if not number:
        return []
    if not isinstance(given, str):
        return [
            f"{number * times:.10g}"
            for times in (0.1, 10)
            if _inside(value * times, likely) and number * times == int(number * times)
        ]
    if money := _MONEY.fullmatch(given):
        return [
            f'"{money[1]}{number * times:.10g}{money[2]}"'
            for times in (0.1, 10, 0.01, 100)
            if _inside(value * times, likely)
        ][:1]
    basis = basis_behind(given)
    match = _WITH_UNIT.fullmatch(given.strip().rstrip(".").removesuffix(basis))
    if match is None:
        return []
    rest, kind = f" {basis}" if basis else "", kind_of(f"1 {match['unit']}")
    in_other_units = []
    if kind is not None and (now := unit_meant(f"1 {match['unit']}", kind)):
        in_other_units = [
            f'"{number:.10g} {unit}{rest}"'
            for unit in _USUAL_UNITS.get(kind, ())
            if unit != now and _inside(value * FACTORS[kind][unit] / FACTORS[kind][now], likely)
        ]
    moved = [
        f'"{number * times:.10g} {match["unit"]}{rest}"'
        for times in (0.1, 10)
        if _inside(value * times, likely)
    ]
    return [*moved[:1], *in_other_units[:1]]


def _likely_forms(band: Band, kind: Kind, number: float, given: object) -> Iterator[str]:
    """Yield a number with each unit in which it is likely, then with each in which it is possible."""
    as_percent = kind == "share" and 0 < number <= 1 and _inside(number * 100, band.likely)
    percent = [f'"{number * 100:.10g} %"'] if as_percent else []
    if isinstance(given, float) or number < 1:
        yield from percent
    for unit in (band.unit, *band.other_units):
        if form := _form(band, kind, number, unit):
            yield form
    yield from percent
    for unit in (band.unit, *band.other_units):
        if _inside(number * FACTORS[kind].get(unit, 0.0) / FACTORS[kind][band.unit], band.possible):
            yield f'"{number:.10g} {unit}"'


def _form(band: Band, kind: Kind, number: float, unit: str) -> str | None:
    """Return a number with a unit, in quotes, if that is likely."""
    factors = FACTORS[kind]
    likely = unit in factors and _inside(number * factors[unit] / factors[band.unit], band.likely)
    return f'"{number:.10g} {unit}"' if likely else None


def _inside(value: float, limits: tuple[float, float]) -> bool:
    return limits[0] <= value <= limits[1]


def _pair_form(table: str, key: str, parser: Pair, given: object) -> str:
    """Return a list of two quantities with the numbers that were given, if there are two."""
    texts = re.split(r"\s*(?:-|–|to|and|,)\s*", given) if isinstance(given, str) else given
    numbers = [number_in(text) for text in texts] if isinstance(texts, list) else []
    both = sorted(number for number in numbers if number is not None)
    if len(both) != 2 or len(numbers) != 2 or not isinstance(texts, list):
        return '["0.2 bu/ac", "4 bu/ac"]'
    named = next((unit for text in reversed(texts) if (unit := unit_meant(text, parser.kind))), None)
    band = band_of(f"{table}.{key}")
    unit = named or (band.unit if band else "bu/ac")
    return "[" + ", ".join(f'"{number:.10g} {unit}"' for number in both) + "]"
