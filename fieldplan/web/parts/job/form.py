"""The form of a job as HTML in pieces: what changes is sent, what somebody is typing in is left alone."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape

from fieldplan.errors import Problem
from fieldplan.facts import fact
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.sentences import sentence
from fieldplan.web.needed import thing
from fieldplan.web.parts.job.asked import Group
from fieldplan.web.parts.job.boxes import HOLE, Boxes
from fieldplan.web.parts.job.buttons import button
from fieldplan.web.parts.job.inputs import id_of
from fieldplan.web.parts.job.order import GROUPS, SHEETS
from fieldplan.web.parts.job.said import is_lacking, said_of
from fieldplan.web.parts.job.words_offered import words_offered
from fieldplan.web.tables import Place, rows_at, table_at

OPEN = ("drill", "mix", "booking")
"""Parts of the form that are unfolded at first: those without which there is no plan."""
BOX_KINDS = ("grain", "native", "small")


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldAsked:
    """A field of the draft, as the form asks about it: its id, what it is called, and the mix that the map says."""

    field_id: str
    name: str = ""
    mix: str = ""


@dataclass(slots=True, kw_only=True)
class Form(Boxes):
    """The form as it is to be shown.

    Parameters
    ----------
    fields
        The fields of the draft.
    drills
        Drills to choose from, by name.
    """

    fields: Sequence[FieldAsked] = ()
    drills: Sequence[str] = ()

    def group(self, group: Group) -> str:
        """A part of the form, whole."""
        makers = {"drill": self._drill, "mix": self._mixes, "field": self._fields}
        inner = makers.get(group.name, self._plain)(group)
        how = self.leaf(f"s-{group.name}", escape(self._state(group)), "state", tag="span")
        title = f'<summary><h3 id="t-{group.name}" tabindex="-1">{escape(group.title)}</h3> {how}</summary>'
        says = f'<p class="says">{escape(group.says)}</p>'
        opened = " open" if group.name in OPEN else ""
        return f'<details id="d-g-{group.name}"{opened}>{title}{says}{self.about((group.name,))}{inner}</details>'

    def _state(self, group: Group) -> str:
        """What is lacking and wrong in a part of the form."""
        names = {sheet.table.partition(".")[0] for sheet in group.sheets}
        return self._open(lambda place: bool(place) and place[0] in names)

    def standing(self) -> str:
        """How the job stands, in a sentence."""
        said = self._open(lambda _: True)
        return (
            f"For a plan the job still has {said}."
            if said
            else "Everything that a plan needs is filled in."
        )

    def _open(self, there: Callable[[Place], bool]) -> str:
        """How many things are to be mended and how many to be filled in, at places of some kind; empty if none is."""
        found: dict[object, list[bool]] = {}
        for spot, each in self.said.items():
            for one in each if there(spot[0]) else ():
                if isinstance(one, Problem):
                    at = id(one) if spot == ((), "") else thing(spot, one)
                    found.setdefault(at, []).append(is_lacking(one))
        n_lacking = sum(all(lacks) for lacks in found.values())
        counts = ((len(found) - n_lacking, "to mend"), (n_lacking, "to fill in"))
        return " and ".join(f"{counted(n, 'thing')} {what}" for n, what in counts if n)

    def _to_add(self, what: str, place: Place) -> str:
        """That something is still to be added, and how much there will be to fill in."""
        n = sum(1 for (where, _), each in self.said.items() if where[: len(place)] == place and each)
        return f'<p class="lacking">Still to be added: {what} ({counted(n, "thing")} to fill in).</p>'

    def jobwide(self) -> str:
        """What is said of the job as a whole, and what can be done with it."""
        given = (
            '<details id="d-given"><summary>Begin from a job file</summary><label for="job-file">Its drill, seed and '
            'terms take the place of all that stands here</label><input id="job-file" type="file" accept=".toml" '
            'data-files="job-file"></details>'
        )
        return given + self.leaf(
            "m-job",
            "".join(
                self.line(said_of(one, "", self.q), "job")
                for one in self.said.get(((), ""), ())
                if isinstance(one, Problem)
            ),
            "said",
        )

    # ------------------------------------------------------------------ parts of the form

    def _plain(self, group: Group) -> str:
        return "".join(self.table((sheet.table,)) for sheet in group.sheets)

    def _drill(self, _: Group) -> str:
        boxes = "".join(
            self.row(("drill", "box", k), f"Seed box {k + 1}", "Take this box away")
            for k in range(len(rows_at(self.tables, ("drill", "box"))))
        )
        if not boxes and "use" not in table_at(self.tables, ("drill",)):
            boxes = self._to_add("a seed box", ("drill", "box", 0))
        add = "".join(button("add-box", f"Add a {kind} box", value=kind) for kind in BOX_KINDS)
        lines = range(len(rows_at(self.tables, ("drill", "chart"))))
        chart = "".join(
            self.row(("drill", "chart", k), f"Line {k + 1} of the rate chart", "Take this line away")
            for k in lines
        )
        width = ""
        if self.found.drill is not None:
            width = escape(
                sentence(fact("width-of-rows", width_m=self.found.drill.effective_width_m), self.q)
            )
        return (
            self._drills()
            + self.table(("drill",))
            + self.leaf("i-width", width, "known")
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
        return self.leaf(
            "i-drills", f'<div class="pick" id="pick-drill">{choose}</div><div class="pick">{files}</div>'
        )

    def _mixes(self, _: Group) -> str:
        html = []
        for m in range(len(rows_at(self.tables, ("mix",)))):
            place = ("mix", m)
            lots = "".join(
                self.row((*place, "component", c), f"Seed lot {c + 1}", "Take this lot away", copied=True)
                for c in range(len(rows_at(self.tables, (*place, "component"))))
            )
            lots = lots or self._to_add("a seed lot", (*place, "component", 0))
            on_all = (
                button("mix-on-all", "Put this mix on every field", place) if len(self.fields) > 1 else ""
            )
            do = (
                button("add-lot", "Add a seed lot", place)
                + button("copy-row", "Copy this mix", place)
                + on_all
            )
            html.append(
                f'<section class="table mix-table" aria-labelledby="r-{id_of(place)}">{self.head(place, f"Mix {m + 1}")}{self.table(place)}{lots}'
                f'<div class="do">{do}{button("remove", "Take this mix away", place)}</div></section>'
            )
        mixes = "".join(html) or self._to_add("a mix", ("mix", 0))
        return f'{mixes}<div class="do">{button("add-mix", "Add a mix")}</div>'

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
            f"{one.field_id}: {one.name}".replace(HOLE, "")
            if one.name and one.name != one.field_id
            else one.field_id.replace(HOLE, "")
        )
        head = f'<h4 id="r-{id_of(place)}">{escape(called)}</h4>'
        more = "".join(self.box(place, box) for box in rest)
        n_given = sum(1 for key in table_at(self.tables, place) if key != "mix")
        summary = self.leaf(
            f"n-{id_of(place)}",
            f"What is different there ({n_given})" if n_given else "What is different there",
            tag="span",
        )
        empty = f"as on the map: {one.mix}" if one.mix else "none of its own"
        return (
            f'<section class="table field-table" aria-labelledby="r-{id_of(place)}">{head}{self.about(place)}{self.box(place, mix, empty=empty)}'
            f'<details id="d-{id_of(place)}"><summary>{summary}</summary><div class="boxes">{more}</div></details></section>'
        )


def frames(form: Form) -> dict[str, str]:
    """The parts of the form without their leaves, by name; the form's leaves and spots are filled."""
    html = {group.name: form.group(group) for group in GROUPS}
    return {**html, "job": form.jobwide(), "words": words_offered()}
