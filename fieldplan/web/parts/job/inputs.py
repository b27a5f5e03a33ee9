"""The inputs of one box as HTML, each with a name for those who do not see it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from html import escape

from fieldplan.web.controls import MOST_TYPED, Control
from fieldplan.web.tables import Place
from fieldplan.web.unit_words import unit_words

WIDE = ("lines", "words", "text", "days")
"""Forms whose inputs take a whole line."""
GROUPED = ("pair", "place", "sides")
"""Forms of several inputs: their common name is that of a group, not a label of one."""


@lru_cache(maxsize=20_000)
def id_of(place: Place, key: str = "") -> str:
    """The id of a box or a table in the page; no two are the same.

    Examples
    --------
    >>> id_of(("mix", 0, "component", 2), "rate"), id_of(("field", "RP 4"), "mix")
    ('mix-0-component-2-rate', 'field-RP_20_4-mix')
    """
    return "-".join(_plain(str(part)) for part in (*place, *((key,) if key else ())))


def _plain(text: str) -> str:
    return re.sub(r"[^A-Za-z0-9]", lambda sign: "_" if sign[0] == "_" else f"_{ord(sign[0]):x}_", text)


def attributes(given: Mapping[str, str | bool]) -> str:
    """Attributes of an element; those that are false or empty are left out, but for values."""
    written = []
    for name, value in given.items():
        if value is True:
            written.append(f" {name}")
        elif value is not False and (value or name in ("value", "alt")):
            written.append(f' {name}="{escape(str(value))}"')
    return "".join(written)


def options(choices: Iterable[tuple[str, str]], chosen: str) -> str:
    """Options of a list, each a value and its words; a chosen one that is none of them is added."""
    known = list(choices)
    if chosen not in (value for value, _ in known):
        known.append((chosen, chosen))
    return "".join(
        f"<option{attributes({'value': value, 'selected': value == chosen})}>{escape(words)}</option>"
        for value, words in known
    )


def inputs(
    box_id: str,
    label: str,
    control: Control,
    parts: Mapping[str, str],
    *,
    choices: Iterable[str] = (),
    answers: tuple[str, str] = ("yes", "no"),
    offers: str = "",
    empty: str = "",
) -> str:
    """The inputs of a box.

    Parameters
    ----------
    box_id
        The id of the box: that of its first input too.
    label
        What the box is called.
    control
        Which inputs it has.
    parts
        What stands in them.
    choices
        Words to choose from instead of typing.
    answers
        What yes and no are called.
    offers
        The id of a list of words that are offered while typing.
    empty
        What an empty choice is called.
    """
    return _inputs(box_id, label, control, tuple(parts.items()), tuple(choices), answers, offers, empty)


@lru_cache(maxsize=20_000)
def _inputs(
    box_id: str,
    label: str,
    control: Control,
    given: tuple[tuple[str, str], ...],
    choices: tuple[str, ...],
    answers: tuple[str, str],
    offers: str,
    empty: str,
) -> str:
    parts = dict(given)
    described = f"h-{box_id} m-{box_id}"
    common: dict[str, str | bool] = {
        "aria-describedby": described,
        "autocomplete": "off",
        "maxlength": str(MOST_TYPED),
    }
    match control.form:
        case "amount":
            listed = offers or (f"w-{box_id}" if control.word else "")
            of_number = {
                **common,
                "inputmode": "" if listed else "decimal",
                "list": listed,
                "class": "short",
            }
            number = _input(box_id, "text", parts["text"], of_number) + _word(box_id, control)
            return number + _unit(box_id, label, control, parts)
        case "pair":
            ends = "".join(
                _input(
                    f"{box_id}{'' if end == 'low' else '.high'}",
                    end,
                    parts[end],
                    {**common, "inputmode": "decimal", "aria-label": f"{label}: {words}", "class": "short"},
                )
                for end, words in (("low", "at least"), ("high", "at most"))
            )
            return ends + _unit(box_id, label, control, parts)
        case "place":
            return "".join(
                f'<label class="axis">{words} {_input(axis_id, axis, parts[axis], {**common, "class": "short"})}</label>'
                for axis, words, axis_id in (
                    ("lat", "latitude", box_id),
                    ("lon", "longitude", f"{box_id}.lon"),
                )
            )
        case "sides":
            return "".join(
                f'<label class="tick"><input{attributes({"type": "checkbox", "data-in": side, "id": box_id if k == 0 else f"{box_id}.{side}", "checked": parts[side] == "on"})}> {escape(side)}</label>'
                for k, side in enumerate(control.choices)
            )
        case "choice" | "yes":
            words = control.choices if control.form == "choice" else ("yes", "no")
            called = words if control.form == "choice" else answers
            return _select(
                box_id, parts["text"], [("", empty), *zip(words, called, strict=True)], described
            )
        case "lines" | "words":
            area = attributes({"id": box_id, "data-in": "text", "rows": "2", **common})
            return f"<textarea{area}>{escape(parts['text'])}</textarea>"
        case "date" if re.fullmatch(r"(\d{4}-\d\d-\d\d)?", parts["text"]):
            return _input(box_id, "text", parts["text"], {"aria-describedby": described, "type": "date"})
    if named := list(choices):
        return _select(box_id, parts["text"], [("", empty), *((word, word) for word in named)], described)
    counted = control.form in ("whole", "number")
    shape: dict[str, str | bool] = {"inputmode": "decimal", "class": "short"} if counted else {}
    listed = offers or (f"w-{box_id}" if control.word else "")
    return _input(box_id, "text", parts["text"], {**common, **shape, "list": listed}) + _word(
        box_id, control
    )


def _input(input_id: str, name: str, value: str, more: Mapping[str, str | bool]) -> str:
    return f"<input{attributes({'id': input_id, 'type': 'text', 'data-in': name, 'value': value, **more})}>"


def _select(box_id: str, chosen: str, choices: Iterable[tuple[str, str]], described: str) -> str:
    shape = attributes({"id": box_id, "data-in": "text", "aria-describedby": described})
    return f"<select{shape}>{options(choices, chosen)}</select>"


def _word(box_id: str, control: Control) -> str:
    return (
        f'<datalist id="w-{box_id}"><option value="{escape(control.word)}"></datalist>'
        if control.word
        else ""
    )


def _unit(box_id: str, label: str, control: Control, parts: Mapping[str, str]) -> str:
    """The unit in words: a choice where there are several."""
    chosen = parts["unit"]
    if len(control.units) == 1 and chosen == control.units[0]:
        fixed = attributes({"type": "hidden", "data-in": "unit", "value": chosen})
        return f'<span class="unit">{escape(unit_words(chosen))}</span><input{fixed}>'
    choices = [(unit, unit_words(unit)) for unit in control.units]
    if not chosen:
        choices.insert(0, ("", "as typed"))
    shape = attributes(
        {"id": f"{box_id}.unit", "data-in": "unit", "aria-label": f"{label}: unit", "class": "unit"}
    )
    return f"<select{shape}>{options(choices, chosen)}</select>"
