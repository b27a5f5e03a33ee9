"""The right form of a key with what the person wrote: ``row_spacing = "7.5 in"``, never an example of some
other key.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from fieldplan.errors import Problem
from fieldplan.facts import Fact, fact
from fieldplan.jobfile.rates import basis_behind
from fieldplan.jobfile.values import Pair, Parser, Quantity, WordOr, number, whole
from fieldplan.model.spelling import nearest
from fieldplan.tables import read as tables
from fieldplan.units import FACTORS, Kind, kind_of, number_in, unit_meant, written


def right_form(table: str, key: str, parser: Parser, given: object, problem: Problem) -> Fact | None:
    """What to write instead of a value that cannot be read; ``None`` where the key makes no difference to
    what its problem says.

    A problem's own value ``right`` is what was meant, one or several; ``example`` is something that could
    stand there.
    """
    if problem.code == "out-of-range":  # it was read, and its problem says the range
        return None
    if isinstance(parser, WordOr):
        if parser.parser == Quantity("angle") and (bearing := _bearing(given)):
            return fact("right-form", key=key, right=f'"{bearing}"')
        near = nearest(given, [parser.word]) if isinstance(given, str) else None
        other = right_form(table, key, parser.parser, given, problem)
        return (
            None
            if other is None
            else fact("right-form/word-or", key=key, near=near or "", word=parser.word, other=other)
        )
    if isinstance(parser, Quantity):
        clock = _clock(key, given) if parser.kind == "time" else ""
        return fact(
            "right-form",
            key=key,
            right=f'"{clock}"' if clock else quantity_form(table, key, parser.kind, given),
        )
    if isinstance(parser, Pair):
        return fact("right-form", key=key, right=_pair_form(table, key, parser, given))
    if problem.values.get("right"):
        return fact("right-form", key=key, right=problem.values["right"])
    band = tables.band(f"{table}.{key}") if parser in (whole, number) else None
    example = band.example if band else problem.values.get("example")
    return None if example is None else fact("right-form/such-as", key=key, example=example)


def line_of(form: Fact | None) -> str:
    """The line of a job file that a form is; empty if it is none or several."""
    right = form.values["right"] if form is not None and form.code == "right-form" else ()
    return f"{form.values['key']} = {right}" if form is not None and isinstance(right, str) else ""


def _bearing(given: object) -> str:
    """A point of the compass as a bearing."""
    word = re.sub(r"[^a-z]", "", given.casefold()) if isinstance(given, str) else ""
    for name, short in (("north", "n"), ("south", "s"), ("east", "e"), ("west", "w")):
        word = word.replace(name, short)
    compass_deg = {
        "n": 0,
        "s": 0,
        "e": 90,
        "w": 90,
        "ne": 45,
        "sw": 45,
        "nw": 135,
        "se": 135,
        "nnesww": 22.5,
    }
    compass_deg |= {f"{a}{b}": compass_deg[a] for a, b in ("ns", "sn", "ew", "we")} | {
        "nesw": 45,
        "swne": 45,
        "nwse": 135,
        "senw": 135,
    }
    return f"{compass_deg[word]:g} deg" if word in compass_deg else ""


_CLOCK = r"(\d{1,2})(?::(\d\d))?\s*([ap])?\.?m?\.?"


def _clock(key: str, given: object) -> str:
    """A time as a clock shows it, or from one hour of the day to another, as hours and minutes."""
    text = given.strip().casefold() if isinstance(given, str) else ""
    if single := re.fullmatch(r"(\d{1,2}):(\d\d)", text):
        minutes = int(single[1]) * 60 + int(single[2])
    elif (
        (span := re.fullmatch(rf"{_CLOCK}\s*(?:-|–|to|until|till)\s*{_CLOCK}", text))
        and key == "hours_per_day"
        and (span[3] or span[6] or span[2])
    ):
        begins, ends = (
            int(hour) % 12 * 60 + int(more or 0) + 720 * (half == "p")
            if half
            else int(hour) * 60 + int(more or 0)
            for hour, more, half in (span.group(1, 2, 3), span.group(4, 5, 6))
        )
        minutes = ends - begins
    else:
        return ""
    if minutes <= 0:
        return ""
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest} min" if hours and rest else f"{hours} h" if hours else f"{rest} min"


def quantity_form(table: str, key: str, kind: Kind, given: object) -> str:
    """A quantity with the person's own number and the unit with which it is most likely, in quotes; the
    usual example if there is no number.
    """
    found = tables.band(f"{table}.{key}", kind)
    if found is None:
        return written(given, kind)
    usual = f'"{found.example} {found.unit}"'
    number = number_in(given)
    if number is None:
        return usual
    named = unit_meant(given, kind)
    if named:
        return f'"{number:.10g} {named}"'
    if kind_of(given) is not None:
        return usual
    if isinstance(given, str) and re.search(
        r"[A-Za-z]{2}", given
    ):  # a unit of something else: the number may be of it
        return _form(found, kind, number, found.unit) or usual
    return next(_likely_forms(found, kind, number, given), usual)


def slips_meant(found: tables.Band, kind: Kind | None, given: object) -> list[str]:
    """What a value outside its band was most likely meant to be, likeliest first: another unit, a share as
    percent, a point that was lost.
    """
    number = number_in(given)
    if number is None:
        return []
    if kind is None:
        return [
            f"{one:.10g}"
            for one in (number / 10, number * 10)
            if _inside(one, found.likely) and one == int(one)
        ][:1]
    named = unit_meant(given, kind) or found.unit
    if named != found.unit and (usual := _form(found, kind, number, found.unit)):
        return [
            usual,
            *[
                form
                for unit in found.other_units
                if unit != named and (form := _form(found, kind, number, unit))
            ][:1],
        ]
    others = [
        form for unit in found.other_units if unit != named and (form := _form(found, kind, number, unit))
    ]
    moved = [number * 100] if kind == "share" and 0 < number <= 1 else []
    moved += [number / 1000] if isinstance(given, str) and re.search(r"\d,\d{3}", given) else []
    scaled = [
        form for one in (*moved, number / 10, number * 10) if (form := _form(found, kind, one, named))
    ]
    return (
        [*scaled[:1]]
        if moved and scaled
        else [*others[:1], *scaled[:1]]
        if kind == "time"
        else [*scaled[:1], *others[:1]]
    )


_WITH_UNIT = re.compile(r"\s*(?P<number>\d[\d.,]*)\s*(?P<unit>[^\d\s]\S*)\s*")
_MONEY = re.compile(r"([^\d.,]{1,4})[\d.,]+(.*)")
_USUAL_UNITS: dict[Kind, tuple[str, ...]] = {
    "mass rate": ("lb/ac", "kg/ha"),
    "volume": ("ft3", "bu", "gal", "l"),
    "density": ("lb/bu", "kg/hl", "kg/m3"),
    "length": ("in", "ft", "cm"),
}


def slips_in_all(given: object, value: float, likely: tuple[float, float]) -> list[str]:
    """What a value was most likely meant to be if what follows from it, in proportion, is unlikely: in
    another unit, or a point lost.
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
    found = []
    if kind is not None:
        now = unit_meant(f"1 {match['unit']}", kind)
        found = [
            f'"{number:.10g} {unit}{rest}"'
            for unit in _USUAL_UNITS.get(kind, ())
            if unit != now and now and _inside(value * FACTORS[kind][unit] / FACTORS[kind][now], likely)
        ]
    moved = [
        f'"{number * times:.10g} {match["unit"]}{rest}"'
        for times in (0.1, 10)
        if _inside(value * times, likely)
    ]
    return [*moved[:1], *found[:1]]


def _likely_forms(found: tables.Band, kind: Kind, number: float, given: object) -> Iterator[str]:
    percent = (
        [f'"{number * 100:.10g} %"']
        if kind == "share" and 0 < number <= 1 and _inside(number * 100, found.likely)
        else []
    )
    if isinstance(given, float) or number < 1:
        yield from percent
    for unit in (found.unit, *found.other_units):
        if form := _form(found, kind, number, unit):
            yield form
    yield from percent
    for unit in (found.unit, *found.other_units):
        if _inside(number * FACTORS[kind].get(unit, 0.0) / FACTORS[kind][found.unit], found.possible):
            yield f'"{number:.10g} {unit}"'


def _form(found: tables.Band, kind: Kind, number: float, unit: str) -> str | None:
    factors = FACTORS[kind]
    likely = unit in factors and _inside(number * factors[unit] / factors[found.unit], found.likely)
    return f'"{number:.10g} {unit}"' if likely else None


def _inside(value: float, band: tuple[float, float]) -> bool:
    return band[0] <= value <= band[1]


def _pair_form(table: str, key: str, parser: Pair, given: object) -> str:
    """Two quantities; each keeps its number if there are two."""
    texts = (
        given
        if isinstance(given, list)
        else re.split(r"\s*(?:-|–|to|and|,)\s*", given)
        if isinstance(given, str)
        else []
    )
    numbers = [number_in(text) for text in texts]
    found_all = sorted(one for one in numbers if one is not None)
    if len(found_all) != 2 or len(numbers) != 2:
        return '["0.2 bu/ac", "4 bu/ac"]'
    unit = next((named for text in reversed(texts) if (named := unit_meant(text, parser.kind))), None)
    unit = unit or (found.unit if (found := tables.band(f"{table}.{key}")) else "bu/ac")
    return "[" + ", ".join(f'"{number:.10g} {unit}"' for number in found_all) + "]"
