"""What if: sliders and switches that change the job, a wheel for the heading, and variants side by side."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from html import escape
from typing import Any

from fieldplan.errors import InputError
from fieldplan.facts import fact
from fieldplan.jobfile.schema import SCHEMA
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.report.words.sentences import sentence
from fieldplan.tables.bands import needed_band
from fieldplan.tables.read import default
from fieldplan.units import FACTORS
from fieldplan.web.desk import Desk
from fieldplan.web.parts.held import held
from fieldplan.web.parts.job.inputs import attributes, options
from fieldplan.web.parts.job.said import default_words
from fieldplan.web.parts.pane import Pane, Said
from fieldplan.web.tables import value_at, with_value
from fieldplan.web.variants import (
    MOST_KEPT,
    Variant,
    compared,
    figures_of,
    ground_key,
    tables_of,
    usable,
    variant,
)


@dataclass(frozen=True, slots=True)
class Slider:
    """A quantity that is moved: its table, key and label, its unit in each system, and what one step is."""

    table: str
    key: str
    label: str
    us: str
    metric: str
    step: float

    def unit(self, system: System) -> str:
        """The unit of the numbers of the slider."""
        return self.us if system == "us" else self.metric


@dataclass(frozen=True, slots=True)
class Switch:
    """A choice of a few words: its table, key and label, and the words with what they mean."""

    table: str
    key: str
    label: str
    words: tuple[tuple[str, str], ...]


SLIDERS = (
    Slider("working", "field_speed", "Speed while sowing", "mph", "km/h", 0.1),
    Slider("drill", "rows", "Openers of the drill", "", "", 1),
    Slider("booking", "hours_per_day", "Hours of work in a day", "h", "h", 0.5),
    Slider("booking", "confidence", "How sure to be done", "%", "%", 1),
)
SWITCHES = (
    Switch(
        "working",
        "headland_rounds",
        "Rounds of headland",
        (("auto", "as many as turns need"), *((str(n), str(n)) for n in range(7))),
    ),
    Switch(
        "working",
        "blocks",
        "Blocks of one field",
        (("best", "as many as save time"), *((str(n), f"at most {n}") for n in range(1, 7))),
    ),
    Switch(
        "working",
        "edge",
        "Outer edges",
        (("fenced", "fenced: turns stay inside"), ("open", "open: turns may swing out")),
    ),
    Switch(
        "working",
        "order",
        "Order of passes",
        (("best", "the quickest"), ("plain", "plain: easy to follow")),
    ),
)
_OPENERS = (4, 60)
_DAYS = (-7, -1, 1, 7)


def build(desk: Desk) -> None:
    """Show the sliders, switches and variants of the desk's job."""
    _WhatIf(desk).show()


class _WhatIf:
    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.leaves: dict[str, str] = {}
        self.typing = ""

    def show(self) -> None:
        """Build the pane and listen."""
        self.leaves = leaves(self.desk)
        moves = "".join(
            f"<div{attributes({'id': leaf, 'data-box': leaf, 'class': 'move'})}>{html}</div>"
            for leaf, html in self.leaves.items()
            if leaf.startswith("w-")
        )
        rest = "".join(
            f'<section id="{leaf}">{self.leaves[leaf]}</section>' for leaf in ("v-keep", "v-table")
        )
        with held(self.desk, says=True):
            self.pane = Pane(f'<div class="what-if"><div>{moves}</div>{rest}</div>', self.said)
        for topic in ("draft", "units", "answer", "variants"):
            self.desk.listen(topic, self.refresh)

    def refresh(self) -> None:
        """Send what changed; what is being moved is left alone but for what it stands at."""
        now = leaves(self.desk)
        changed = {
            leaf: html
            for leaf, html in now.items()
            if self.leaves.get(leaf) != html and leaf != self.typing
        }
        self.leaves = now
        self.pane.put(changed)

    def said(self, said: Said) -> None:
        """Do what was moved or pressed."""
        do, box_id, value, parts = (
            str(said.get("do", "")),
            str(said.get("id", "")),
            said.get("value"),
            said.get("parts"),
        )
        if do in ("typed", "left") and isinstance(parts, dict):
            self.typing = box_id if do == "typed" else ""
            self._moved(box_id, {str(name): str(text) for name, text in parts.items()})
            self.typing = ""
        elif do == "day" and isinstance(value, int):
            now = _start(self.desk)
            if now is not None:
                self._set("booking", "start", now + timedelta(days=value))
        elif do == "as-it-was":
            found = _named(box_id)
            if found is not None:
                self._set(found.table, found.key, None)
        elif do == "keep" and isinstance(parts, dict):
            self._keep(str(parts.get("text", "")).strip())
        elif do in ("take-variant", "forget") and isinstance(value, int):
            self._variant(do, value)

    def _moved(self, box_id: str, parts: Mapping[str, str]) -> None:
        text = parts.get("text", "").strip()
        if box_id == "w-start":
            self._set("booking", "start", _day(text))
        elif box_id == "w-heading":
            heading = "best" if parts.get("best") == "on" else f"{text or 0} deg"
            self._set("working", "heading", heading)
        elif (found := _named(box_id)) is not None:
            unit = found.unit(self.desk.units) if isinstance(found, Slider) else ""
            whole = text.isdigit() and not unit
            self._set(found.table, found.key, int(text) if whole else f"{text} {unit}".strip() or None)

    def _set(self, table: str, key: str, value: Any) -> None:
        tables = with_value(self.desk.draft.tables, (table,), key, value)
        self.desk.change(replace(self.desk.draft, tables=tables), same=f"what if {key}")

    def _keep(self, name: str) -> None:
        answer, kept = self.desk.answer, usable(self.desk.variants)
        if answer is None or answer.plan is None or not self.desk.up_to_date or len(kept) >= MOST_KEPT:
            return
        taken = {str(one["name"]) for one in kept}
        names = (name, *(f"variant {n}" for n in range(1, MOST_KEPT + 2)))
        self.desk.keep(
            (
                *kept,
                variant(next(one for one in names if one and one not in taken), answer.draft, answer.plan),
            )
        )

    def _variant(self, do: str, number: int) -> None:
        kept = usable(self.desk.variants)
        if not 0 <= number < len(kept):
            return
        if do == "forget":
            self.desk.keep(kept[:number] + kept[number + 1 :])
        else:
            self.desk.change(replace(self.desk.draft, tables=tables_of(kept[number])))


def leaves(desk: Desk) -> dict[str, str]:
    """All pieces of the pane, by their ids."""
    tables, system = desk.draft.tables, desk.units
    found = {f"w-{one.key}": _slider(one, tables, system) for one in SLIDERS}
    found["w-rows"] += _width(desk)
    found["w-start"] = _start_html(desk)
    found["w-heading"] = _wheel(desk)
    found |= {f"w-{one.key}": _switch(one, tables) for one in SWITCHES}
    found["v-keep"] = _keep_html(desk)
    found["v-table"] = _side_by_side(desk)
    return found


def effective(tables: Mapping[str, Any], table: str, key: str) -> tuple[Any, bool]:
    """The value of a key in SI, else its default, and whether it is the default; ``None`` if there is neither."""
    parse: Callable[[Any], Any] = SCHEMA[table][key].parse
    given = value_at(tables, (table,), key)
    usual = default(table, key)
    try:
        if given is not None:
            return parse(given), False
        return (None if usual is None else parse(usual[0])), True
    except InputError:
        return None, False


def _slider(one: Slider, tables: Mapping[str, Any], system: System) -> str:
    value, is_default = effective(tables, one.table, one.key)
    unit, box_id = one.unit(system), f"w-{one.key}"
    low: float
    high: float
    if one.key == "rows":
        low, high = _OPENERS
        at = float(value) if isinstance(value, int) else None
    else:
        low, high, scale = _limits(one, unit)
        at = value / scale if isinstance(value, float) else None
    if at is None:
        return f'<span class="label">{escape(one.label)}</span><p class="known">Fill it in under “The job” first.</p>'
    words = f"{at:.1f}".removesuffix(".0") + f" {_SAID.get(unit, unit)}".rstrip()
    shape = attributes(
        {
            "type": "range",
            "id": f"{box_id}-in",
            "data-in": "text",
            "min": f"{min(low, at):g}",
            "max": f"{max(high, at):g}",
            "step": f"{one.step:g}",
            "value": f"{round(at / one.step) * one.step:g}",
            "aria-describedby": f"{box_id}-at",
            "aria-valuetext": words,
        }
    )
    how = ""
    if is_default:
        how = "<small>(the default)</small>"
    elif default(one.table, one.key) is not None:
        usual = default_words(one.table, one.key, {}, Quantities(system)).partition(" (")[0]
        press = {"type": "button", "data-do": "as-it-was", "data-id": box_id, "id": f"{box_id}-empty"}
        how = f"<button{attributes({**press, 'aria-label': f'{one.label}: back to the default, {usual}'})}>Back to the default, {escape(usual)}</button>"
    return f'<label for="{box_id}-in">{escape(one.label)}</label><input{shape}><output id="{box_id}-at" for="{box_id}-in" data-unit="{_SAID.get(unit, unit)}">{escape(words)}</output> {how}'


def _width(desk: Desk) -> str:
    """How wide the drill is that was planned."""
    plan = desk.answer.plan if desk.answer is not None and desk.up_to_date else None
    if plan is None:
        return ""
    wide = sentence(fact("width-of-rows", width_m=plan.job.drill.effective_width_m), desk.q)
    return f'<span class="known">{escape(wide)}</span>'


_SAID = {"h": "hours", "mph": "miles an hour", "km/h": "kilometers an hour"}


def _limits(one: Slider, unit: str) -> tuple[float, float, float]:
    """The likely range of a slider in its unit, and what the unit is in SI."""
    band = needed_band(f"{one.table}.{one.key}")
    factors = next(of_kind for of_kind in FACTORS.values() if band.unit in of_kind)
    scale, of_band = factors[unit], factors[band.unit]
    low, high = (round(bound * of_band / scale / one.step) * one.step for bound in band.likely)
    return low, min(high, 99.0) if unit == "%" else high, scale


def _switch(one: Switch, tables: Mapping[str, Any]) -> str:
    given = value_at(tables, (one.table,), one.key)
    usual = default(one.table, one.key)
    chosen = str(given if given is not None else usual[0] if usual else "")
    box_id = f"w-{one.key}"
    if len(one.words) > 2:
        shape = attributes({"id": f"{box_id}-in", "data-in": "text"})
        return f'<label for="{box_id}-in">{escape(one.label)}</label><select{shape}>{options(one.words, chosen)}</select>'
    (off, off_words), (on, on_words) = one.words
    is_on = chosen == on
    shape = attributes(
        {
            "type": "button",
            "role": "switch",
            "aria-checked": "true" if is_on else "false",
            "data-do": "left",
            "data-value": "",
            "id": f"{box_id}-in",
        }
    )
    hidden = attributes({"type": "hidden", "data-in": "text", "value": off if is_on else on})
    said = on_words if is_on else off_words
    return f'<span class="label" id="{box_id}-l">{escape(one.label)}</span><button{shape} data-with="{box_id}" aria-labelledby="{box_id}-l {box_id}-in">{escape(said)}</button><input{hidden}>'


def _start(desk: Desk) -> date | None:
    value, _ = effective(desk.draft.tables, "booking", "start")
    return value if isinstance(value, date) else None


def _day(text: str) -> date | str | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        return text


def _start_html(desk: Desk) -> str:
    now = _start(desk)
    shape = attributes(
        {"type": "date", "id": "w-start-in", "data-in": "text", "value": now.isoformat() if now else ""}
    )
    steps = "".join(
        f"<button{attributes({'type': 'button', 'data-do': 'day', 'data-value': str(n), 'disabled': now is None, 'id': f'w-start{n}'})}>{'−' if n < 0 else '+'}{abs(n)} day{'s' if abs(n) > 1 else ''}</button>"
        for n in _DAYS
    )
    return f'<label for="w-start-in">First day</label><input{shape}><div class="steps">{steps}</div>'


def _wheel(desk: Desk) -> str:
    """A dial of the heading: a pass may be driven either way, so it goes from 0 to 179 degrees."""
    value, _ = effective(desk.draft.tables, "working", "heading")
    is_best = not isinstance(value, float)
    plan = desk.answer.plan if desk.answer else None
    driven = (
        next((field.headings_deg[0] for field in plan.driven if field.headings_deg), 0.0) if plan else 0.0
    )
    at = (value if isinstance(value, float) else driven) % 180
    ticks = "".join(
        f'<line x1="0" y1="-46" x2="0" y2="{-40 if k % 90 else -36}" transform="rotate({k})"/>'
        for k in range(0, 360, 15)
    )
    letters = "".join(
        f'<text x="{x}" y="{y}">{letter}</text>'
        for letter, x, y in (("N", 0, -25), ("E", 29, 4), ("S", 0, 33), ("W", -29, 4))
    )
    dial = attributes(
        {
            "viewBox": "-50 -50 100 100",
            "id": "w-dial",
            "data-wheel": "1",
            "role": "slider",
            "tabindex": "0" if desk.read_only is None else "-1",
            "aria-disabled": "" if desk.read_only is None else "true",
            "aria-label": "Heading of the passes",
            "aria-valuemin": "0",
            "aria-valuemax": "179",
            "aria-valuenow": f"{at:.0f}",
            "aria-valuetext": f"{at:.0f} degrees",
        }
    )
    needle = f'<g data-needle transform="rotate({at:.0f})"><line class="needle" x1="0" y1="-44" x2="0" y2="44"/></g>'
    tick = attributes({"type": "checkbox", "data-in": "best", "id": "w-best", "checked": is_best})
    number = attributes({"type": "hidden", "data-in": "text", "value": f"{at:.0f}"})
    words = (
        "The quickest for each field is looked for."
        if is_best
        else f"{at:.0f} degrees from north, on every field"
    )
    return (
        f'<span class="label">Heading of the passes</span><svg{dial}><circle r="48"/>{needle}{ticks}{letters}</svg><input{number}>'
        f'<label class="tick"><input{tick}> look for the quickest</label><output class="known" data-says id="w-heading-at">{words}</output>'
    )


def _named(box_id: str) -> Slider | Switch | None:
    return next((one for one in (*SLIDERS, *SWITCHES) if f"w-{one.key}" == box_id), None)


def _keep_html(desk: Desk) -> str:
    kept = usable(desk.variants)
    ready = desk.up_to_date and desk.answer is not None and desk.answer.plan is not None
    if len(kept) >= MOST_KEPT:
        return f'<p class="known">{MOST_KEPT} variants are kept: forget one to keep another.</p>'
    shape = attributes(
        {
            "type": "button",
            "data-do": "keep",
            "data-with": "v-keep",
            "disabled": not ready,
            "id": "v-keep-do",
        }
    )
    why = "" if ready else '<p class="known">As soon as there is a plan it can be kept.</p>'
    return (
        '<h3>Side by side</h3><label for="v-name">Name of the variant that stands now</label> '
        f'<input id="v-name" data-in="text" maxlength="60" autocomplete="off"><button{shape}>Keep it beside others</button>{why}'
    )


def _side_by_side(desk: Desk) -> str:
    kept, answer = usable(desk.variants), desk.answer
    if not kept:
        return '<p class="known">Keep what stands now, move a slider, and both stand here side by side.</p>'
    now = [figures_of(answer.plan)] if answer is not None and answer.plan is not None else []
    q = desk.q
    names = [*(["as it stands now"] if now else []), *(str(one.get("name", "")) for one in kept)]
    head = "".join(f'<th scope="col">{escape(name)}</th>' for name in names)
    rows = compared([*now, *(one["figures"] for one in kept)], q)
    body = "".join(
        f'<tr><th scope="row">{escape(row.called)}</th>{"".join(_cell(*cell) for cell in row.cells)}</tr>'
        for row in rows
    )
    do = "".join(f"<td>{_do(k, one)}</td>" for k, one in enumerate(kept))
    against = "now" if now else names[0]
    foot = f'<tr><th scope="row">What to do</th>{"<td></td>" if now else ""}{do}</tr>'
    stale = [str(one.get("name", "")) for one in kept if one.get("ground") != ground_key(desk.draft)]
    old = (
        f'<p class="odd">The map has changed since {escape(", ".join(stale))} was kept: take it and keep it again.</p>'
        if stale
        else ""
    )
    return f'<div class="scroll" tabindex="0" role="group" aria-label="Variants side by side"><table><caption>Differences are those from {escape(against)}</caption><thead><tr><td></td>{head}</tr></thead><tbody>{body}{foot}</tbody></table></div>{old}'


def _cell(figure: str, difference: str) -> str:
    more = f" <b>{escape(difference)}</b>" if difference else ""
    return f"<td>{escape(figure)}{more}</td>"


def _do(number: int, one: Variant) -> str:
    name = str(one.get("name", ""))
    return "".join(
        f"<button{attributes({'type': 'button', 'data-do': do, 'data-value': str(number), 'aria-label': f'{words}: {name}', 'id': f'v-{do}-{number}'})}>{words}</button>"
        for do, words in (("take-variant", "Take it"), ("forget", "Forget it"))
    )
