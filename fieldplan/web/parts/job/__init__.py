"""The job: drill, tractor, work, seed, truck, cost, booking and fields, asked for in the order of the trade."""

from __future__ import annotations

import tempfile
from base64 import b64decode
from collections.abc import Mapping
from dataclasses import replace
from html import escape
from pathlib import Path
from typing import Any

from fieldplan.errors import FieldplanError
from fieldplan.files import only_within
from fieldplan.jobfile.load import JOB_FILE, Examined
from fieldplan.jobfile.plausible import MEANT
from fieldplan.jobfile.toml_faults import parsed
from fieldplan.web import drills
from fieldplan.web.controls import shown_parts, unit_waiting, value_of
from fieldplan.web.desk import Desk
from fieldplan.web.draft import Draft
from fieldplan.web.folder import folder_of, job_path
from fieldplan.web.jobs import Jobs
from fieldplan.web.needed import examined_whole
from fieldplan.web.parts.held import held
from fieldplan.web.parts.job.form import FieldAsked, Form, frames
from fieldplan.web.parts.job.inputs import id_of
from fieldplan.web.parts.job.order import CONTROLS, GROUPS
from fieldplan.web.parts.pane import Pane, Said
from fieldplan.web.tables import (
    Place,
    Spot,
    confirmed,
    renamed_in,
    rows_at,
    schema_name,
    table_at,
    value_at,
    with_row,
    with_table,
    with_value,
    without_row,
)
from fieldplan.web.written import without_exclusion_keys

_NAMED = (("drill", "box"), ("mix",))
"""Lists whose tables are named elsewhere."""


def build(desk: Desk) -> None:
    """Show the form of the desk's job, and keep it as the job stands."""
    _Job(desk).show()


class _Job:
    """The form in one page: what it shows, and what is typed in it."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.drills: dict[str, Mapping[str, Any]] = {}
        self.named_before: dict[str, str] = {}
        self.typing = ""
        self.focus = ""
        self.checked: tuple[Mapping[str, Any], tuple[FieldAsked, ...], Examined] | None = None
        self.groups: dict[str, str] = {}
        self.leaves: dict[str, str] = {}
        self.spots: dict[str, Spot] = {}

    def show(self) -> None:
        """Build the pane and listen."""
        folder = folder_of(self.desk)
        self.drills = drills.known(folder.parent, folder.name) if self.desk.folder else {}
        form, self.groups = self._rendered()
        self.leaves, self.spots = form.leaves, form.spots
        sections = "".join(
            f'<section id="g-{group.name}" class="group" aria-labelledby="t-{group.name}">{form.filled(self.groups[group.name])}</section>'
            for group in GROUPS
        )
        standing = f'<p id="i-standing" class="standing" role="status">{form.standing()}</p>'
        self.standing = form.standing()
        job = f'<div id="g-job">{form.filled(self.groups["job"])}</div>'
        html = f'<div class="job-form">{self.groups["words"]}{standing}{job}{sections}</div>'
        with held(self.desk, says=True):
            self.pane = Pane(html, self.said)
        self.desk.listen("draft", self.refresh)
        self.desk.listen("units", self.refresh)

    def refresh(self) -> None:
        """Send what changed since it was sent last; the box that somebody is typing in is left alone."""
        form, groups = self._rendered()
        pieces: dict[str, str] = {}
        for name, frame in groups.items():
            if frame != self.groups.get(name):
                pieces[f"g-{name}"] = form.filled(frame)
        whole = "".join(pieces.values())
        pieces |= {
            leaf: html
            for leaf, html in form.leaves.items()
            if self.leaves.get(leaf) != html and f'id="{leaf}"' not in whole
        }
        pieces.pop(f"c-{self.typing}", None)
        if form.standing() != self.standing:
            self.standing = pieces["i-standing"] = form.standing()
        self.groups, self.leaves, self.spots = groups, form.leaves, form.spots
        self.pane.put(pieces, self.focus)
        self.focus = ""

    def said(self, said: Said) -> None:
        """Do what was typed or pressed, where the job may be changed."""
        do, box_id = str(said.get("do", "")), str(said.get("id", ""))
        if self.desk.read_only is not None:
            return
        if do in ("typed", "left"):
            self._typed(box_id, said.get("parts"), left=do == "left")
        elif do in ("take", "mean", "unmean", "drop", "species"):
            self._offered(do, box_id, said.get("value"))
        else:
            self._pressed(do, said)

    # ------------------------------------------------------------------ what is done

    def _typed(self, box_id: str, parts: object, *, left: bool) -> None:
        spot = self.spots.get(box_id)
        if spot is None or not isinstance(parts, dict):
            return
        place, key = spot
        given = {str(name): str(text) for name, text in parts.items()}
        draft, before = self.desk.draft, self._value(spot)
        if key == "name" and place[:-1] in _NAMED and isinstance(before, str):
            self.named_before.setdefault(box_id, before)
        control = self._control(spot)
        value = value_of(control, given)
        tables = with_value(draft.tables, place, key, value)
        draft = replace(draft, tables=tables).with_unit(spot, unit_waiting(control, value, given))
        if left and (old := self.named_before.pop(box_id, "")):
            draft = _renamed(draft, place, old)
        self.typing = box_id
        self.desk.change(draft, same=f"box {box_id}")
        shown = shown_parts(
            control, self._value(spot), self.desk.draft.units.get(spot, ""), self.desk.units
        )
        if left and shown != given:
            self.pane.put({leaf: self.leaves[leaf] for leaf in (f"c-{box_id}",) if leaf in self.leaves})
        self.typing = ""

    def _offered(self, do: str, box_id: str, value: object) -> None:
        spot = self.spots.get(box_id)
        if spot is None:
            return
        (place, key), tables = spot, self.desk.draft.tables
        if do == "mean":
            tables = confirmed(tables, place, key)
        elif do == "unmean":
            given = table_at(tables, place).get(MEANT, [])
            kept = [one for one in given if one != key] if isinstance(given, list) else []
            tables = with_value(tables, place, MEANT, kept or None)
        else:
            if do != "drop" and not _is_offered(value):
                return
            tables = with_value(tables, place, key, None if do == "drop" else value)
        self.focus = box_id if key else ""
        self._change(tables)

    def _pressed(self, do: str, said: Said) -> None:
        tables, given, value = self.desk.draft.tables, said.get("place"), said.get("value")
        place: Place = (
            tuple(part for part in given if isinstance(part, str | int)) if isinstance(given, list) else ()
        )
        if place and not _is_there(tables, place):
            return
        match do:
            case "add-box":
                named = [
                    row.get("name") for row in rows_at(tables, ("drill", "box")) if isinstance(row, Mapping)
                ]
                kind = str(value)
                name = next(
                    n for k in range(1, 100) if (n := kind if k == 1 else f"{kind} {k}") not in named
                )
                self._add(("drill", "box"), {"name": name, "kind": kind}, "volume")
            case "add-chart":
                self._add(("drill", "chart"), {}, "seed")
            case "add-mix":
                self._add(("mix",), {"component": [{}]}, "name")
            case "add-lot":
                self._add((*place, "component"), {}, "species")
            case "copy-row":
                row = dict(table_at(tables, place))
                if place[0] == "mix" and len(place) == 2 and row.get("name"):
                    row["name"] = f"{row['name']} (copy)"
                self._add(place[:-1], row, "name" if len(place) == 2 else "species", like=place)
            case "remove":
                self.focus = f"t-{place[0]}"
                draft = replace(self.desk.draft, tables=without_row(tables, place))
                self.desk.change(draft.with_units_moved_up(place))
            case "mix-on-all":
                name = value_at(tables, place, "name")
                for one in self._fields() if isinstance(name, str) else ():
                    tables = with_value(tables, ("field", one.field_id), "mix", name)
                self._change(tables)
            case "job-file" if isinstance(value, dict):
                self._take_over(value)
            case "beside" if isinstance(value, dict):
                self._put_beside(str(said.get("id", "")), value)
            case "drill":
                self._take_drill(said)
            case "drill-files" if isinstance(value, dict):
                found = drills.of_text(str(value.get("name", "")), str(value.get("text", "")))
                self.drills |= found
                self.refresh()

    def _take_drill(self, said: Said) -> None:
        parts = said.get("parts")
        chosen = str(parts.get("text", "")) if isinstance(parts, dict) else ""
        if chosen.isdigit() and int(chosen) < len(self.drills):
            table = list(self.drills.values())[int(chosen)]
            draft = replace(self.desk.draft, tables=with_table(self.desk.draft.tables, ("drill",), table))
            self.desk.change(draft.without_units_at(("drill",)))

    def _take_over(self, file: Mapping[str, Any]) -> None:
        """Put the tables of a job file in the place of those that stand here; one that cannot be read is refused."""
        name, text = str(file.get("name", "")), str(file.get("text", ""))
        try:
            tables = parsed(text.encode("utf-8", "replace"), Path(Path(name).name or "job.toml"), JOB_FILE)
        except FieldplanError as error:
            self._refused("job", str(error))
            return
        self.desk.change(replace(self.desk.draft, tables=without_exclusion_keys(tables), units={}))

    def _put_beside(self, box_id: str, file: Mapping[str, Any]) -> None:
        """Put a file that a box names into the folder of the job, and its name into the box."""
        spot, folder = self.spots.get(box_id), self.desk.folder
        if spot is None or folder is None:
            return
        name, content = str(file.get("name", "")), file.get("base64")
        if not isinstance(content, str):
            said = f"{name} is too large to be taken over here: put it into the folder {folder} and type its name."
            self._refused(box_id, said)
            return
        try:
            with tempfile.TemporaryDirectory(prefix="fieldplan-desk-") as place:
                there = Path(place) / "file"
                there.write_bytes(b64decode(content))
                Jobs(folder.parent).put_beside(self.desk.name, {name: there})
        except (FieldplanError, ValueError) as error:
            self._refused(box_id, str(error))
            return
        self.checked = None  # the file may be another under the same name
        self._change(with_value(self.desk.draft.tables, *spot, name))
        self.desk.tell("draft")

    def _refused(self, box_id: str, why: str) -> None:
        """Say beside a box why a file is not taken over, until something else is to be said there."""
        self.leaves[f"m-{box_id}"] = f'<p class="wrong">{escape(why)}</p>'
        self.pane.put({f"m-{box_id}": self.leaves[f"m-{box_id}"]})

    def _add(self, listed: Place, row: Mapping[str, Any], first: str, like: Place = ()) -> None:
        """Add a table to a list, and go to one of its boxes; of a copy, ``like`` is the place of the table copied."""
        tables = with_row(self.desk.draft.tables, listed, row)
        place = (*listed, len(rows_at(tables, listed)) - 1)
        self.focus = id_of(place, first)
        draft = replace(self.desk.draft, tables=tables)
        self.desk.change(draft.with_units_copied(like, place) if like else draft)

    def _change(self, tables: Mapping[str, Any]) -> None:
        self.desk.change(replace(self.desk.draft, tables=tables))

    # ------------------------------------------------------------------ what is there

    def _rendered(self) -> tuple[Form, dict[str, str]]:
        draft, fields = self.desk.draft, self._fields()
        if self.checked is None or self.checked[0] is not draft.tables or self.checked[1] != fields:
            with only_within(folder_of(self.desk)):
                self.checked = (draft.tables, fields, examined_whole(draft, job_path(self.desk)))
        form = Form(
            tables=draft.tables,
            found=self.checked[2],
            units=self.desk.units,
            chosen=draft.units,
            fields=fields,
            drills=tuple(self.drills),
        )
        return form, frames(form)

    def _fields(self) -> tuple[FieldAsked, ...]:
        return tuple(
            FieldAsked(
                field_id=str(drawn.attributes["id"]),
                name=str(drawn.attributes.get("name", "")),
                mix=str(drawn.attributes.get("mix", "")),
            )
            for drawn in self.desk.draft.of_layer("fields")
            if str(drawn.attributes.get("id", ""))
        )

    def _control(self, spot: Spot) -> Any:
        return CONTROLS[schema_name(spot[0]), spot[1]]

    def _value(self, spot: Spot) -> Any:
        return value_at(self.desk.draft.tables, *spot)


def _renamed(draft: Draft, place: Place, old: str) -> Draft:
    """The draft with a new name of a box or a mix wherever its old one is named, on the map too."""
    rows = rows_at(draft.tables, place[:-1])
    name = value_at(draft.tables, place, "name")
    if (
        not isinstance(name, str)
        or name == old
        or any(isinstance(row, Mapping) and row.get("name") == old for row in rows)
    ):
        return draft
    draft = replace(draft, tables=renamed_in(draft.tables, place[:-1], old, name))
    for drawn in draft.of_layer("fields") if place[:-1] == ("mix",) else ():
        if drawn.attributes.get("mix") == old:
            draft = draft.with_drawn(replace(drawn, attributes={**drawn.attributes, "mix": name}))
    return draft


def _is_offered(value: object) -> bool:
    """Whether a value is of a kind that a button may put in: text, a number, yes or no, or a list of texts."""
    if isinstance(value, list):
        return all(isinstance(one, str) for one in value)
    return isinstance(value, str | bool | float) or (isinstance(value, int) and abs(value) < 2**53)


def _is_there(tables: Mapping[str, Any], place: Place) -> bool:
    """Whether a place that the page names is a table of a list that the form shows."""
    listed = isinstance(place[-1], int) and schema_name(place) in (
        "drill.box",
        "drill.chart",
        "mix",
        "mix.component",
    )
    return listed and 0 <= int(place[-1]) < len(rows_at(tables, place[:-1]))
