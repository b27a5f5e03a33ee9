"""The form of a job as HTML in pieces: what changes is sent, what somebody is typing in is left alone."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from typing import Any

from fieldplan.errors import Problem
from fieldplan.facts import fact
from fieldplan.jobfile.load import Examined
from fieldplan.jobfile.plausible import MEANT
from fieldplan.jobfile.schema import SCHEMA, names_now
from fieldplan.model.notes import Note
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.report.words.sentences import sentence
from fieldplan.web.controls import parts_of
from fieldplan.web.parts.job import species
from fieldplan.web.parts.job.asked import Box, Group
from fieldplan.web.parts.job.buttons import button, take
from fieldplan.web.parts.job.inputs import GROUPED, WIDE, attributes, id_of, inputs
from fieldplan.web.parts.job.order import CONTROLS, GROUPS, SHEETS
from fieldplan.web.parts.job.said import Offer, Said, default_words, is_lacking, said_of, sorted_by_weight
from fieldplan.web.parts.job.words_offered import words_offered
from fieldplan.web.tables import Place, Spot, by_spot, rows_at, schema_name, table_at, value_at

OPEN = ("drill", "mix", "booking")
"""Parts of the form that are unfolded at first: those without which there is no plan."""
BOX_KINDS = ("grain", "native", "small")
_LISTS = {"drill": ("box", "chart"), "mix": ("component",)}


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldAsked:
    """A field of the draft, as the form asks about it: its id, what it is called, and the mix that the map says."""

    field_id: str
    name: str = ""
    mix: str = ""


@dataclass(slots=True, kw_only=True)
class Form:
    """The form as it is to be shown.

    Parameters
    ----------
    tables
        The tables of the job file.
    found
        What the job file's checker says of them.
    units
        The reader's units.
    fields
        The fields of the draft.
    drills
        Drills to choose from, by name.
    of_plan
        What stands in the way of a plan of these tables besides.

    Attributes
    ----------
    leaves
        Pieces that change by themselves, HTML by id.
    spots
        The box that each id of inputs stands for.
    """

    tables: Mapping[str, Any]
    found: Examined
    units: System = "us"
    fields: Sequence[FieldAsked] = ()
    drills: Sequence[str] = ()
    of_plan: Sequence[Problem] = ()
    leaves: dict[str, str] = field(default_factory=dict)
    spots: dict[str, Spot] = field(default_factory=dict)
    _said: dict[Spot, list[Problem | Note]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Sort what is said by the boxes that it is about."""
        problems_keys = {(one.about, one.key) for one in self.found.problems}
        of_notes = (one for one in self.found.notes if one.code == "unlikely" or one.values.get("table"))
        notes = [
            one
            for one in of_notes
            if (f"[{one.values.get('table')}]", one.values.get("key")) not in problems_keys
        ]
        self._said = by_spot(self.tables, (*self.found.problems, *notes), _files(self.tables))
        for one in self.of_plan:
            if one.code == "mix-unknown" and "field" in one.values:
                self._said.setdefault((("field", str(one.values["field"])), "mix"), []).append(one)

    @property
    def q(self) -> Quantities:
        """The reader's units."""
        return Quantities(self.units)

    def group(self, group: Group) -> str:
        """A part of the form, whole."""
        makers = {"drill": self._drill, "mix": self._mixes, "field": self._fields}
        inner = makers.get(group.name, self._plain)(group)
        how = self._leaf(f"s-{group.name}", escape(self._state(group)), "state", tag="span")
        title = f'<summary><h3 id="t-{group.name}" tabindex="-1">{escape(group.title)}</h3> {how}</summary>'
        says = f'<p class="says">{escape(group.says)}</p>'
        opened = " open" if group.name in OPEN else ""
        return f'<details id="d-g-{group.name}"{opened}>{title}{says}{self._about((group.name,))}{inner}</details>'

    def _state(self, group: Group) -> str:
        """What is lacking and wrong in a part of the form."""
        names = {sheet.table.partition(".")[0] for sheet in group.sheets}
        return _standing(
            [one for (place, _), each in self._said.items() if place and place[0] in names for one in each]
        )

    def standing(self) -> str:
        """How the job stands, in a sentence."""
        said = _standing([one for each in self._said.values() for one in each])
        return f"In the job {said}." if said else "Everything that a plan needs is filled in."

    def jobwide(self) -> str:
        """What is said of the job as a whole, and what can be done with it."""
        given = (
            '<details id="d-given"><summary>Begin from a job file</summary><label for="job-file">Its drill, seed and '
            'terms take the place of all that stands here</label><input id="job-file" type="file" accept=".toml" '
            'data-files="job-file"></details>'
        )
        return given + self._leaf(
            "m-job",
            "".join(
                self._line(said_of(one, "", self.q), "job")
                for one in self._said.get(((), ""), ())
                if isinstance(one, Problem)
            ),
            "said",
        )

    # ------------------------------------------------------------------ parts of the form

    def _plain(self, group: Group) -> str:
        return "".join(self._table((sheet.table,)) for sheet in group.sheets)

    def _drill(self, _: Group) -> str:
        boxes = "".join(
            self._row(("drill", "box", k), f"Seed box {k + 1}", "Take this box away")
            for k in range(len(rows_at(self.tables, ("drill", "box"))))
        )
        add = "".join(button("add-box", f"Add a {kind} box", value=kind) for kind in BOX_KINDS)
        lines = range(len(rows_at(self.tables, ("drill", "chart"))))
        chart = "".join(
            self._row(("drill", "chart", k), f"Line {k + 1} of the rate chart", "Take this line away")
            for k in lines
        )
        width = ""
        if self.found.drill is not None:
            width = escape(
                sentence(fact("width-of-rows", width_m=self.found.drill.effective_width_m), self.q)
            )
        return (
            self._drills()
            + self._table(("drill",))
            + self._leaf("i-width", width, "known")
            + f'<h4>Its seed boxes</h4>{boxes}<div class="do">{add}</div>'
            + f'<details id="d-chart"><summary>The maker\'s rate chart</summary><p class="says">A chart only gets you close: catch and weigh.</p>{chart}'
            + f'<div class="do">{button("add-chart", "Add a line")}</div></details>'
        )

    def _drills(self) -> str:
        choices = "".join(
            f'<option value="{k}">{escape(name)}</option>' for k, name in enumerate(self.drills)
        )
        choose = ""
        if self.drills:
            choose = (
                '<label for="drills">A drill that is known here</label> '
                f'<select id="drills" data-in="text"><option value="">choose one</option>{choices}</select> {button("drill", "Fill in this drill", near="pick-drill")}'
            )
        files = (
            '<label for="drill-files">Job files of a district, to take a drill from</label> '
            '<input id="drill-files" type="file" accept=".toml" multiple data-files="drill-files">'
        )
        return self._leaf(
            "i-drills", f'<div class="pick" id="pick-drill">{choose}</div><div class="pick">{files}</div>'
        )

    def _mixes(self, _: Group) -> str:
        html = []
        for m in range(len(rows_at(self.tables, ("mix",)))):
            place = ("mix", m)
            lots = "".join(
                self._row((*place, "component", c), f"Seed lot {c + 1}", "Take this lot away", copied=True)
                for c in range(len(rows_at(self.tables, (*place, "component"))))
            )
            on_all = (
                button("mix-on-all", "Put this mix on every field", place) if len(self.fields) > 1 else ""
            )
            do = (
                button("add-lot", "Add a seed lot", place)
                + button("copy-row", "Copy this mix", place)
                + on_all
            )
            html.append(
                f'<section class="table mix-table" aria-labelledby="r-{id_of(place)}">{self._head(place, f"Mix {m + 1}")}{self._table(place)}{lots}'
                f'<div class="do">{do}{button("remove", "Take this mix away", place)}</div></section>'
            )
        return f'{"".join(html)}<div class="do">{button("add-mix", "Add a mix")}</div>'

    def _fields(self, _: Group) -> str:
        known = [one.field_id for one in self.fields]
        others = [FieldAsked(field_id=one) for one in table_at(self.tables, ("field",)) if one not in known]
        asked = (*self.fields, *others)
        if not asked:
            return '<p class="known">The fields stand here as soon as there are any on the map.</p>'
        return "".join(self._field(one) for one in asked)

    def _field(self, one: FieldAsked) -> str:
        place: Place = ("field", one.field_id)
        mix, *rest = SHEETS["field"].boxes
        called = (
            f"{one.field_id}: {one.name}".replace(_HOLE, "")
            if one.name and one.name != one.field_id
            else one.field_id.replace(_HOLE, "")
        )
        head = f'<h4 id="r-{id_of(place)}">{escape(called)}</h4>'
        more = "".join(self._box(place, box) for box in rest)
        n_given = sum(1 for key in table_at(self.tables, place) if key != "mix")
        summary = self._leaf(
            f"n-{id_of(place)}",
            f"What is different there ({n_given})" if n_given else "What is different there",
            tag="span",
        )
        empty = f"as on the map: {one.mix}" if one.mix else "none of its own"
        return (
            f'<section class="table field-table" aria-labelledby="r-{id_of(place)}">{head}{self._about(place)}{self._box(place, mix, empty=empty)}'
            f'<details id="d-{id_of(place)}"><summary>{summary}</summary><div class="boxes">{more}</div></details></section>'
        )

    # ------------------------------------------------------------------ tables and boxes

    def _row(self, place: Place, called: str, remove: str, *, copied: bool = False) -> str:
        copy = button("copy-row", "Copy this lot", place) if copied else ""
        return (
            f'<section class="table" aria-labelledby="r-{id_of(place)}">{self._head(place, called)}{self._table(place)}'
            f'<div class="do">{copy}{button("remove", remove, place)}</div></section>'
        )

    def _head(self, place: Place, called: str) -> str:
        table = table_at(self.tables, place)
        name = next((str(table[key]) for key in ("name", "species", "seed") if table.get(key)), "")
        return self._leaf(f"r-{id_of(place)}", escape(f"{called}: {name}" if name else called), tag="h4")

    def _table(self, place: Place) -> str:
        """The boxes of a table, what is said of it as a whole, and what stands in the file that no box is for."""
        sheet = SHEETS[schema_name(place)]
        first = "".join(self._box(place, box) for box in sheet.boxes if not box.more)
        more = "".join(self._box(place, box) for box in sheet.boxes if box.more)
        folded = ""
        if more:
            given = sum(
                1 for box in sheet.boxes if box.more and value_at(self.tables, place, box.key) is not None
            )
            summary = self._leaf(
                f"n-{id_of(place)}",
                f"{_MORE.get(sheet.table, 'More')} ({given} filled in)"
                if given
                else _MORE.get(sheet.table, "More"),
                tag="span",
            )
            folded = f'<details id="d-{id_of(place)}"><summary>{summary}</summary><div class="boxes">{more}</div></details>'
        about = self._about(place) if len(place) > 1 or place[0] in ("weather", "seed_law") else ""
        return f'{about}<div class="boxes">{first}</div>{folded}'

    def _box(self, place: Place, box: Box, *, empty: str = "") -> str:
        table = schema_name(place)
        control, value = CONTROLS[table, box.key], value_at(self.tables, place, box.key)
        box_id = id_of(place, box.key)
        self.spots[box_id] = (place, box.key)
        default = default_words(table, box.key, table_at(self.tables, place), self.q)
        needed = not default and not SCHEMA[table][box.key].optional
        empty = empty or (
            f"left empty: {default.partition(' (')[0]}" if default else "choose" if needed else "not said"
        )
        choices = self._choices(box)
        written = inputs(
            box_id,
            box.label,
            control,
            parts_of(control, value),
            system=self.units,
            choices=choices,
            offers=f"w-{box.offers}" if box.offers and not choices else "",
            empty=empty,
        )
        helps = [box.help] if box.help else []
        if default:
            helps.append(f"Left empty: {default}.")
        grouped = control.form in GROUPED
        label = (
            f"<legend>{escape(box.label)}</legend>"
            if grouped
            else f'<label for="{box_id}">{escape(box.label)}</label>'
        )
        outer = "fieldset" if grouped else "div"
        known = (
            self._leaf(
                f"i-{box_id}", species.told(str(value or ""), table_at(self.tables, place), self.q), "known"
            )
            if box.key == "species"
            else ""
        )
        if box.is_file:
            shape = {"id": f"f-{box_id}", "type": "file", "data-files": "beside", "data-as": "base64"}
            chosen = f'<label for="f-{box_id}" class="choose">Choose it on this machine</label><input{attributes(shape)}>'
            known += chosen
        wide = " wide" if control.form in WIDE else ""
        return (
            f'<{outer} class="box{wide}" data-box="{box_id}">{label}'
            + self._leaf(f"c-{box_id}", written, "inputs")
            + self._leaf(f"m-{box_id}", "".join(self._lines(place, box, box_id)), "said")
            + self._leaf(f"h-{box_id}", " ".join(escape(text) for text in helps), "help")
            + f"{known}</{outer}>"
        )

    def _choices(self, box: Box) -> tuple[str, ...]:
        if box.offers == "boxes":
            return _names(rows_at(self.tables, ("drill", "box")))
        if box.offers == "mixes":
            return _names(rows_at(self.tables, ("mix",)))
        return ()

    def _lines(self, place: Place, box: Box, box_id: str) -> Iterator[str]:
        said = [said_of(one, box.label, self.q) for one in self._said.get((place, box.key), ())]
        for one in sorted_by_weight(said):
            yield self._line(one, box_id, box.label)
        if box.key in _meant(table_at(self.tables, place)):
            yield f'<p class="known">Confirmed as meant. {take(box_id, Offer("Look at it again"), box.label, do="unmean")}</p>'

    def _line(self, one: Said, box_id: str, label: str = "") -> str:
        buttons = " ".join(take(box_id, offer, label) for offer in one.offers)
        return f'<p class="{one.weight}">{escape(one.words)} {buttons}</p>'

    def _about(self, place: Place) -> str:
        """What is said of a table as a whole, and keys of the file that no box is for."""
        boxes = {box.key for box in SHEETS[schema_name(place)].boxes}
        table = table_at(self.tables, place)
        said = [
            one
            for (where, key), each in self._said.items()
            if where == place and (not key or key not in boxes)
            for one in each
        ]
        lines = [
            self._line(one, id_of(place))
            for one in sorted_by_weight(said_of(one, "", self.q) for one in said)
            if one.weight != "known"
        ]
        kept = (*_LISTS.get(schema_name(place), ()), MEANT, *names_now(schema_name(place)), *boxes)
        for key, value in table.items() if len(place) > 1 or place[0] not in ("mix", "field") else ():
            if key == "use":
                self.spots[id_of(place, key)] = (place, key)
                drop = button("drop", "Take it from there no longer", box=id_of(place, key))
                lines.append(
                    f'<p class="known">Taken from the file {escape(str(value))}; what stands here comes before it. {drop}</p>'
                )
            elif key not in kept:
                self.spots[id_of(place, key)] = (place, str(key))
                drop = button("drop", f"Take {key} away", box=id_of(place, str(key)))
                lines.append(
                    f'<p class="odd">The job file has {escape(str(key))} = {escape(json.dumps(value, default=str))} here, which the form has no box for. {drop}</p>'
                )
        return self._leaf(f"a-{id_of(place)}", "".join(lines), "said")

    def _leaf(self, leaf_id: str, html: str, css: str = "", tag: str = "div") -> str:
        self.leaves[leaf_id] = html
        return f"<{tag}{attributes({'id': leaf_id, 'class': css})}>{_HOLE}{leaf_id}{_HOLE}</{tag}>"

    def filled(self, frame: str) -> str:
        """A part of the form with its leaves in their places."""
        around = frame.split(_HOLE)
        return "".join(self.leaves[piece] if k % 2 else piece for k, piece in enumerate(around))


def _files(tables: Mapping[str, Any]) -> dict[str, Spot]:
    """The files that a job names, with the box that names each."""
    found: dict[str, Spot] = {}
    for table, sheet in SHEETS.items():
        for box in sheet.boxes if table != "field" else ():
            name = value_at(tables, (table,), box.key) if box.is_file else None
            if isinstance(name, str) and name.strip():
                found[name.removeprefix("/")] = ((table,), box.key)
    return found


_MORE = {
    "drill": "More of the drill",
    "drill.box": "More of this box",
    "working": "More of the work",
    "mix": "More of this mix",
    "mix.component": "The rest of the tag",
    "booking": "More of the booking",
    "weather": "How the weather file is read",
    "seed_law": "Age of seed tests",
}


_HOLE = "\0"
"""Marks the place of a leaf in a part of the form."""


def frames(form: Form) -> dict[str, str]:
    """The parts of the form without their leaves, by name; the form's leaves and spots are filled."""
    html = {group.name: form.group(group) for group in GROUPS}
    return {**html, "job": form.jobwide(), "words": words_offered()}


def _standing(said: Iterable[Problem | Note]) -> str:
    """How many of the things that are said are wrong, and how many are lacking; empty if none is."""
    problems = [one for one in said if isinstance(one, Problem)]
    n_lacking = sum(1 for one in problems if is_lacking(one))
    wrong = _counted(len(problems) - n_lacking, "is wrong", "are wrong")
    return ", ".join(
        part for part in (wrong, _counted(n_lacking, "is to be filled in", "are to be filled in")) if part
    )


def _names(rows: Iterable[Any]) -> tuple[str, ...]:
    return tuple(str(row["name"]) for row in rows if isinstance(row, Mapping) and row.get("name"))


def _meant(table: Mapping[str, Any]) -> tuple[str, ...]:
    given = table.get(MEANT, ())
    return (
        (given,)
        if isinstance(given, str)
        else tuple(one for one in given if isinstance(one, str))
        if isinstance(given, list)
        else ()
    )


def _counted(n: int, one: str, many: str) -> str:
    return "" if n == 0 else f"{n} {one if n == 1 else many}"
