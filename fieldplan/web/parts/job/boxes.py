"""Tables and boxes of the form as HTML with holes, and what is said at each."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from html import escape
from typing import Any

from fieldplan.errors import Problem
from fieldplan.jobfile.load import Examined
from fieldplan.jobfile.plausible import MEANT
from fieldplan.jobfile.schema import SCHEMA, names_now
from fieldplan.model.notes import Note
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.web.controls import shown_parts
from fieldplan.web.needed import with_least
from fieldplan.web.parts.job import species
from fieldplan.web.parts.job.asked import Box
from fieldplan.web.parts.job.buttons import button, take
from fieldplan.web.parts.job.inputs import GROUPED, WIDE, attributes, id_of, inputs
from fieldplan.web.parts.job.order import CONTROLS, SHEETS
from fieldplan.web.parts.job.said import Offer, Said, default_words, said_of, sorted_by_weight
from fieldplan.web.tables import Place, Spot, by_spot, rows_at, schema_name, table_at, value_at

_LISTS = {"drill": ("box", "chart"), "mix": ("component",)}
HOLE = "\0"
"""Marks the place of a leaf in a part of the form."""


@dataclass(slots=True, kw_only=True)
class Boxes:
    """The boxes of a job.

    Parameters
    ----------
    tables
        The tables of the job file.
    found
        What the job file's checker says of them.
    units
        The reader's units.
    chosen
        Units that were chosen in boxes without a number.

    Attributes
    ----------
    leaves
        Pieces that change by themselves, HTML by id.
    spots
        The box that each id of inputs stands for.
    said
        What is said at each box.
    """

    tables: Mapping[str, Any]
    found: Examined
    units: System = "us"
    chosen: Mapping[Spot, str] = field(default_factory=dict)
    leaves: dict[str, str] = field(default_factory=dict)
    spots: dict[str, Spot] = field(default_factory=dict)
    said: dict[Spot, list[Problem | Note]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Sort what is said by the boxes that it is about."""
        problems_keys = {(one.about, one.key) for one in self.found.problems}
        of_notes = (one for one in self.found.notes if one.code == "unlikely" or one.values.get("table"))
        notes = [
            one
            for one in of_notes
            if (f"[{one.values.get('table')}]", one.values.get("key")) not in problems_keys
        ]
        said: tuple[Problem | Note, ...] = (*self.found.problems, *notes)
        self.said = by_spot(with_least(self.tables), said, _files(self.tables))

    @property
    def q(self) -> Quantities:
        """The reader's units."""
        return Quantities(self.units, fills_form=True)

    def row(self, place: Place, called: str, remove: str, *, copied: bool = False) -> str:
        """A table of a list, with its heading and a button that takes it away."""
        copy = button("copy-row", "Copy this lot", place) if copied else ""
        return (
            f'<section class="table" aria-labelledby="r-{id_of(place)}">{self.head(place, called)}{self.table(place)}'
            f'<div class="do">{copy}{button("remove", remove, place)}</div></section>'
        )

    def head(self, place: Place, called: str) -> str:
        """The heading of a table of a list: what it is called, and its name."""
        table = table_at(self.tables, place)
        name = next((str(table[key]) for key in ("name", "species", "seed") if table.get(key)), "")
        return self.leaf(f"r-{id_of(place)}", escape(f"{called}: {name}" if name else called), tag="h4")

    def table(self, place: Place) -> str:
        """The boxes of a table, what is said of it as a whole, and what stands in the file that no box is for."""
        sheet = SHEETS[schema_name(place)]
        first = "".join(self.box(place, box) for box in sheet.boxes if not box.more)
        more = "".join(self.box(place, box) for box in sheet.boxes if box.more)
        folded = ""
        if more:
            given = sum(
                1 for box in sheet.boxes if box.more and value_at(self.tables, place, box.key) is not None
            )
            summary = self.leaf(
                f"n-{id_of(place)}",
                f"{_MORE.get(sheet.table, 'More')} ({given} filled in)"
                if given
                else _MORE.get(sheet.table, "More"),
                tag="span",
            )
            folded = f'<details id="d-{id_of(place)}"><summary>{summary}</summary><div class="boxes">{more}</div></details>'
        about = self.about(place) if len(place) > 1 or place[0] in ("weather", "seed_law") else ""
        return f'{about}<div class="boxes">{first}</div>{folded}'

    def box(self, place: Place, box: Box, *, empty: str = "") -> str:
        """A box: its label, its inputs, what is said of it, and what helps with it."""
        table = schema_name(place)
        control, value = CONTROLS[table, box.key], value_at(self.tables, place, box.key)
        box_id = id_of(place, box.key)
        self.spots[box_id] = (place, box.key)
        default = default_words(table, box.key, table_at(self.tables, place), self.q)
        needed = not default and not SCHEMA[table][box.key].optional
        empty = empty or (
            "not said"
            if box.asks
            else f"left empty: {default.partition(' (')[0]}"
            if default
            else "choose"
            if needed
            else "not said"
        )
        choices = self._choices(box)
        written = inputs(
            box_id,
            box.label,
            control,
            shown_parts(control, value, self.chosen.get((place, box.key), ""), self.units),
            choices=choices,
            answers=box.answers,
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
            self.leaf(
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
            + self.leaf(f"c-{box_id}", written, "inputs")
            + self.leaf(f"m-{box_id}", "".join(self._lines(place, box, box_id)), "said")
            + self.leaf(f"h-{box_id}", " ".join(escape(text) for text in helps), "help")
            + f"{known}</{outer}>"
        )

    def _choices(self, box: Box) -> tuple[str, ...]:
        if box.offers == "boxes":
            return _names(rows_at(self.tables, ("drill", "box")))
        if box.offers == "mixes":
            return _names(rows_at(self.tables, ("mix",)))
        return ()

    def _lines(self, place: Place, box: Box, box_id: str) -> Iterator[str]:
        said = [said_of(one, box.label, self.q) for one in self.said.get((place, box.key), ())]
        for one in sorted_by_weight(said):
            yield self.line(one, box_id, box.label)
        if box.asks and value_at(self.tables, place, box.key) is None:
            yield f'<p class="odd">{escape(box.asks)}</p>'
        if box.key in _meant(table_at(self.tables, place)):
            yield f'<p class="known">Confirmed as meant. {take(box_id, Offer("Look at it again"), box.label, do="unmean")}</p>'

    def line(self, one: Said, box_id: str, label: str = "") -> str:
        """What is said, with buttons for what it offers."""
        buttons = " ".join(take(box_id, offer, label) for offer in one.offers)
        return f'<p class="{one.weight}">{escape(one.words)} {buttons}</p>'

    def about(self, place: Place) -> str:
        """What is said of a table as a whole, and keys of the file that no box is for."""
        boxes = {box.key for box in SHEETS[schema_name(place)].boxes}
        table = table_at(self.tables, place)
        said = [
            one
            for (where, key), each in self.said.items()
            if where == place and (not key or key not in boxes)
            for one in each
        ]
        lines = [
            self.line(one, id_of(place))
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
        return self.leaf(f"a-{id_of(place)}", "".join(lines), "said")

    def leaf(self, leaf_id: str, html: str, css: str = "", tag: str = "div") -> str:
        """The place of a piece that changes by itself."""
        self.leaves[leaf_id] = html
        return f"<{tag}{attributes({'id': leaf_id, 'class': css})}>{HOLE}{leaf_id}{HOLE}</{tag}>"

    def filled(self, frame: str) -> str:
        """A part of the form with its leaves in their places."""
        around = frame.split(HOLE)
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
