"""What a box of the form holds, by what reads its key of the job file; what is typed becomes a value, and back.

Nothing is judged here: whatever is typed becomes a value that the job file's own checker then reads or refuses.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Literal

from fieldplan.errors import InputError
from fieldplan.jobfile.days import day, days_off, fieldwork_day_chance, test_month
from fieldplan.jobfile.rates import price, rate
from fieldplan.jobfile.reverse import reverse
from fieldplan.jobfile.values import (
    Choice,
    Pair,
    Parser,
    Quantity,
    WordOr,
    flag,
    number,
    place,
    sides,
    text_or_texts,
    texts,
    whole,
    words,
)
from fieldplan.model.field import SIDES_DEG
from fieldplan.report.words.quantities import System
from fieldplan.units import Kind
from fieldplan.web.unit_words import PRICES, rates, system_of, units_of

Form = Literal[
    "text",
    "lines",
    "days",
    "words",
    "whole",
    "number",
    "amount",
    "pair",
    "choice",
    "yes",
    "place",
    "sides",
    "date",
    "month",
]
Parts = Mapping[str, str]
"""What stands in the inputs of one box, by their names."""
MOST_TYPED = 2000
"""Signs that one input takes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Control:
    """The inputs of one box.

    Parameters
    ----------
    form
        Which inputs it has.
    units
        What may be chosen beside a number, each with ``{}`` in the place of the number.
    choices
        The words to choose from.
    word
        A word that may stand instead of a number; empty if none may.
    """

    form: Form
    units: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    word: str = ""

    @property
    def names(self) -> tuple[str, ...]:
        """The names of its inputs, which are those of `parts_of`."""
        match self.form:
            case "amount":
                return ("text", "unit")
            case "pair":
                return ("low", "high", "unit")
            case "place":
                return ("lat", "lon")
            case "sides":
                return self.choices
        return ("text",)


_PLAIN_FORMS: Mapping[Parser, Form] = {
    whole: "whole",
    number: "number",
    flag: "yes",
    place: "place",
    texts: "lines",
    text_or_texts: "lines",
    days_off: "days",
    words: "words",
    day: "date",
    test_month: "month",
}
_REVERSE = ("where needed", "never", "free")


def control_of(parser: Parser, name: str) -> Control:
    """The inputs for values that a parser reads.

    Parameters
    ----------
    parser
        Reads the key, as the schema of job files has it.
    name
        Table and key, such as ``"drill.row_spacing"``: the units that people use for it come first.
    """
    if isinstance(parser, Quantity):
        return Control(form="amount", units=units_of(name, parser.kind))
    if isinstance(parser, Pair):
        return Control(form="pair", units=units_of(name, parser.kind))
    if isinstance(parser, Choice):
        return Control(form="choice", choices=parser.allowed)
    if isinstance(parser, WordOr):
        return replace(control_of(parser.parser, name), word=parser.word)
    if parser is reverse:
        return Control(form="choice", choices=_REVERSE)
    if parser is sides:
        return Control(form="sides", choices=tuple(SIDES_DEG))
    if parser is rate:
        return Control(form="amount", units=rates())
    if parser is price:
        return Control(form="amount", units=PRICES)
    if parser is fieldwork_day_chance:
        return Control(form="amount", units=("{} %",))
    return Control(form=_PLAIN_FORMS.get(parser, "text"))


def money_control(kind: Kind) -> Control:
    """The inputs for the price of fuel or of work."""
    return Control(
        form="amount", units={"volume": ("${}/gal", "${}/l", "€{}/l")}.get(kind, ("${}/h", "€{}/h"))
    )


def first_unit(control: Control, system: System) -> str:
    """The unit that an empty box begins with."""
    for wanted in (system, None):
        if fitting := [unit for unit in control.units if system_of(unit) == wanted]:
            return fitting[0]
    return control.units[0] if control.units else ""


_NUMBER = re.compile(r"[-+−]?[\d.,/ \u00a0½¼¾⅛⅜⅝⅞⅓⅔]*[\d½¼¾⅛⅜⅝⅞⅓⅔][.]?|[-+]?\d+(?:\.\d+)?[eE][-+]?\d+")


def is_number(text: str) -> bool:
    """Whether a text is a number alone, in any way people write one, so that a unit is to be put behind it.

    Examples
    --------
    >>> is_number("7 1/2"), is_number("1,400"), is_number("3 m"), is_number("auto")
    (True, True, False, False)
    """
    return bool(_NUMBER.fullmatch(text.strip()))


def clean(text: object) -> str:
    """Text as it was typed, without what no file can hold: half signs, and more than an input takes."""
    return str(text)[:MOST_TYPED].encode("utf-8", "replace").decode("utf-8").strip()


def value_of(control: Control, parts: Parts) -> Any:
    """The value of the job file for what stands in the inputs of a box; ``None`` if they are empty.

    Parameters
    ----------
    control
        The inputs.
    parts
        What stands in them.
    """
    typed = {name: clean(parts.get(name, "")) for name in control.names}
    match control.form:
        case "amount":
            return _amount(typed["text"], typed["unit"]) or None
        case "pair":
            both = [_amount(typed[end], typed["unit"]) for end in ("low", "high")]
            return both if any(both) else None
        case "place":
            return _place(typed["lat"], typed["lon"])
        case "sides":
            return [side for side in control.choices if typed[side]] or None
        case "lines" | "days":
            apart = r"[\n,;]" if control.form == "days" else r"\n"
            return [line.strip() for line in re.split(apart, typed["text"]) if line.strip()] or None
        case "words":
            lines = [line.partition("=") for line in typed["text"].splitlines() if line.strip()]
            return {name.strip(): word.strip() for name, _, word in lines} or None
        case "yes":
            return {"yes": True, "no": False}.get(typed["text"], typed["text"] or None)
        case "whole" | "number":
            return _counted(typed["text"])
        case "date" | "month":
            return _day(typed["text"])
    return typed["text"] or None


def parts_of(control: Control, value: Any) -> dict[str, str]:
    """What stands in the inputs of a box for a value of the job file; the reverse of `value_of`."""
    empty = dict.fromkeys(control.names, "")
    if value is None:
        return empty
    match control.form:
        case "amount":
            text, unit = _apart(control, value)
            return {"text": text, "unit": unit}
        case "pair" if isinstance(value, list) and len(value) == 2:
            (low, unit), (high, other) = (_apart(control, end) for end in value)
            if unit == other or not (low and high):
                return {"low": low, "high": high, "unit": unit or other}
            return {"low": _said(value[0]), "high": _said(value[1]), "unit": ""}
        case "pair":
            return {**empty, "low": _said(value)}
        case "place":
            return _place_parts(value)
        case "sides":
            given = {str(side).casefold() for side in value} if isinstance(value, list) else set()
            return {side: "on" if side in given else "" for side in control.choices}
        case "lines" | "days" if isinstance(value, list):
            return {"text": (", " if control.form == "days" else "\n").join(_said(one) for one in value)}
        case "words" if isinstance(value, Mapping):
            return {"text": "\n".join(f"{name} = {_said(word)}" for name, word in value.items())}
        case "yes":
            return {"text": _yes(value)}
        case "choice":
            typed = _said(value)
            return {
                "text": next(
                    (word for word in control.choices if word.casefold() == typed.casefold()), typed
                )
            }
    return {"text": _said(value)}


def shown_parts(control: Control, value: Any, chosen: str, system: System) -> dict[str, str]:
    """What the inputs of a box show for a value: one without a number shows the unit that was chosen, or the usual one.

    Parameters
    ----------
    chosen
        The unit that was chosen before a number was typed; empty if none was.
    system
        The reader's units.
    """
    parts = parts_of(control, value)
    if value is None and "unit" in parts:
        parts["unit"] = chosen if chosen in control.units else first_unit(control, system)
    return parts


def unit_waiting(control: Control, value: Any, parts: Parts) -> str:
    """The unit chosen in a box that has no number to stand behind yet; empty if there is none to keep."""
    unit = parts.get("unit", "")
    return unit if value is None and len(control.units) > 1 and unit in control.units else ""


def _amount(text: str, unit: str) -> str:
    """A number with its unit; anything else as it was typed."""
    before = unit.partition("{}")[0]
    bare = text.removeprefix(before) if before else text
    return unit.format(bare.strip()) if unit and "{}" in unit and is_number(bare) else text


def _apart(control: Control, value: Any) -> tuple[str, str]:
    """The number and the unit of a value; the whole text and no unit where they cannot be told apart."""
    said = _said(value)
    for unit in control.units:
        before, _, after = unit.partition("{}")
        middle = said[len(before) : len(said) - len(after)]
        if said == f"{before}{middle}{after}" and is_number(middle) and middle == middle.strip():
            return middle, unit
    return said, ""


def _counted(text: str) -> int | float | str | None:
    if re.fullmatch(r"-?(?:0|[1-9]\d{0,8})", text) and text != "-0":
        return int(text)
    if re.fullmatch(r"-?(?:0|[1-9]\d{0,8})\.\d{1,6}", text) and repr(float(text)) == text:
        return float(text)
    return text or None


def _day(text: str) -> date | str | None:
    if re.fullmatch(r"\d{4}-\d\d-\d\d", text):
        try:
            return day(text)
        except InputError:
            return text
    return text or None


def _place(lat: str, lon: str) -> dict[str, int | float | str] | None:
    both = re.split(r"[,;\s]+", lat)
    if not lon and len(both) == 2:  # both were put into one input
        lat, lon = both
    given = {"lat": _counted(lat), "lon": _counted(lon)}
    return {axis: value for axis, value in given.items() if value is not None} or None


def _place_parts(value: Any) -> dict[str, str]:
    if not isinstance(value, Mapping):
        return {"lat": _said(value), "lon": ""}
    return {axis: _said(value[axis]) if axis in value else "" for axis in ("lat", "lon")}


def _yes(value: Any) -> str:
    try:
        return "yes" if flag(value) else "no"
    except InputError:
        return _said(value)


def _said(value: Any) -> str:
    """A value as it stands in an input."""
    if isinstance(value, str):
        return value
    if isinstance(value, date):
        return value.isoformat()
    return json.dumps(value, ensure_ascii=False, default=str)
