"""The fields and their acres, everything else on the map, and what is said of the one that is chosen."""

from __future__ import annotations

from functools import partial
from typing import get_args

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.outlines import polygons_in
from fieldplan.model.field import PatternWord
from fieldplan.report.words.sentences import sentence
from fieldplan.web.draft import Draft, Drawn
from fieldplan.web.elements import button, choice, plain
from fieldplan.web.ground import (
    gate_of,
    id_of,
    join_fields,
    seed_place_of,
    with_attribute,
    without_feature,
    without_place,
    without_shared_ground,
)
from fieldplan.web.parts.held import held
from fieldplan.web.parts.where.board import Board
from fieldplan.web.parts.where.points import as_text
from fieldplan.web.parts.where.shown import KIND, name_of
from fieldplan.web.parts.where.typed import typed_box

SHOWN = 40
"""Features of one page of the list."""
_NOT_SAID = ("", "not said")
_EDGES = (_NOT_SAID, ("fenced", "fenced"), ("open", "open: turns may swing out"))


class _Listed:
    """The table of all features, and the form of the one that is chosen."""

    def __init__(self, board: Board) -> None:
        self.board = board
        self._listed: object = None
        self._formed: object = None
        self._chosen = ""
        with held(board.desk):
            self.faults = plain("div", "", "where-faults")
        self.first = 0
        self.table = plain("div", "", "where-list")
        with held(board.desk):
            self.form = plain("div", "", "where-form")
        board.listen("survey", self.show)
        board.desk.listen("chosen", self.show)
        board.desk.listen("units", self.show)
        self.show()

    def show(self) -> None:
        """Show what has changed."""
        board, draft = self.board, self.board.desk.draft
        rows = tuple((one.key, name_of(one), one.layer, self._measured(one)) for one in draft.ground)
        at = next((k for k, row in enumerate(rows) if row[0] == board.desk.chosen), None)
        if at is not None and board.desk.chosen != self._chosen:
            self.first = at // SHOWN * SHOWN
        self._chosen = board.desk.chosen
        self.first = self.first if self.first < len(rows) else 0
        now = (
            rows,
            board.desk.chosen,
            board.desk.units,
            self.first,
            board.survey.problems,
            board.survey.notes,
        )
        if now != self._listed:
            self._listed = now
            self._show_list(rows)
        drawn = board.chosen
        form = None if drawn is None else self._form_of(draft, drawn)
        if form != self._formed:
            self._formed = form
            self.form.clear()
            if drawn is not None:
                with self.form:
                    self._show_form(drawn)

    def _measured(self, one: Drawn) -> tuple[str, str]:
        """Acres mapped, and of a field acres to plant."""
        board = self.board
        found = board.survey.fields.get(one.key)
        if found is not None:
            return board.q.area(found.mapped_m2), board.q.area(found.plantable_m2)
        area_m2 = geodesic_area_m2(one.geometry) if polygons_in(one.geometry) else 0.0
        return (board.q.area(area_m2) if area_m2 else ""), ""

    def _show_list(self, rows: tuple[tuple[str, str, str, tuple[str, str]], ...]) -> None:
        board, desk = self.board, self.board.desk
        self.faults.clear()
        problems = board.survey.problems
        with self.faults:
            for problem in problems:
                plain("p", sentence(problem, board.q), role="alert")
            for note in board.survey.notes:
                if note.warning:
                    plain("p", sentence(note, board.q))
            if any(problem.code == "fields-overlap" for problem in problems):
                button(
                    "Leave shared ground to the field that comes first",
                    lambda: board.change(without_shared_ground(desk.draft)),
                )
        self.table.clear()
        if not rows:
            return
        if len(rows) > SHOWN:
            with self.table, plain("div", "", "where-buttons"):
                plain("span", f"{self.first + 1} to {min(self.first + SHOWN, len(rows))} of {len(rows)}")
                button("Those before", partial(self._turn, -SHOWN))
                button("Those after", partial(self._turn, SHOWN))
        with self.table, plain("table"):
            plain("caption", "On the map")
            with plain("thead"), plain("tr"):
                plain("td")
                for text in (board.q.area_word.capitalize(), "To plant"):
                    plain("th", text, "number", scope="col")
            with plain("tbody"):
                for key, name, layer, (area, planted) in rows[self.first : self.first + SHOWN]:
                    chosen = key == desk.chosen
                    with plain("tr", "", "g-here" if chosen else ""):
                        with plain("th", scope="row"):
                            button(
                                name
                                if layer == "fields"
                                else f"{name} ({KIND[layer]})"
                                if name != KIND[layer]
                                else name,
                                partial(self._choose, key),
                                "where-name",
                                aria_pressed="true" if chosen else "false",
                            )
                        plain("td", area, "number")
                        plain("td", planted, "number")
            fields = board.survey.fields.values()
            if len(fields) > 1:
                with plain("tfoot"), plain("tr"):
                    plain("th", f"{len(fields)} fields", scope="row")
                    plain("td", board.q.area(sum(one.mapped_m2 for one in fields)), "number")
                    plain("td", board.q.area(sum(one.plantable_m2 for one in fields)), "number")

    def _turn(self, by: int) -> None:
        self.first = max(0, self.first + by)
        self.show()

    def _choose(self, key: str) -> None:
        desk = self.board.desk
        desk.choose("" if key == desk.chosen else key)
        if self.board.chosen is not None:
            self.board.look_at([self.board.chosen.geometry])

    # the form

    def _form_of(self, draft: Draft, drawn: Drawn) -> object:
        """What the form shows: it is built anew when that changes, but not under the hands of who types into it."""
        others = tuple((one.key, name_of(one)) for one in draft.of_layer("fields") if one.key != drawn.key)
        places = (gate_of(draft, drawn), seed_place_of(draft, drawn))
        return drawn.key, tuple(sorted(drawn.attributes.items())), places, others

    def _show_form(self, drawn: Drawn) -> None:
        with plain("fieldset"):
            plain("legend", f"{name_of(drawn)}, {KIND[drawn.layer]}")
            match drawn.layer:
                case "fields":
                    self._of_field(drawn)
                case "exclusions":
                    self._of_exclusion(drawn)
                case "edges":
                    self._choice(drawn, "edge", "The edge is", _EDGES[1:])
            button("Delete it", lambda: self._delete(drawn.key))

    def _of_field(self, drawn: Drawn) -> None:
        board = self.board
        self._box(drawn, "name", "Name", name_of(drawn))
        self._box(drawn, "id", "Id in files", id_of(drawn))
        self._box(drawn, "priority", "Drilled as number", str(drawn.attributes.get("priority", "")))
        self._choice(drawn, "edge", "Its outer edge is", _EDGES)
        patterns = (_NOT_SAID, *((word, word) for word in get_args(PatternWord)))
        self._choice(drawn, "pattern", "Passes run", patterns)
        for what, label, place in (
            ("gate", "Gate", gate_of(board.desk.draft, drawn)),
            ("seed_at", "Seed", seed_place_of(board.desk.draft, drawn)),
        ):
            if place is not None:
                with plain("p", f"{label}: {as_text(place)} "):
                    button(
                        f"Take the {label.casefold()} away",
                        partial(self._take_away, drawn.key, what),
                    )
        others = [
            (one.key, name_of(one)) for one in board.desk.draft.of_layer("fields") if one.key != drawn.key
        ]
        if others:
            choice("Join with", [_NO_OTHER, *others], "", lambda key: self._join(drawn.key, key))

    def _of_exclusion(self, drawn: Drawn) -> None:
        self._box(drawn, "reason", "Why it is not planted", str(drawn.attributes.get("reason", "")))
        self._box(drawn, "set_back", "Distance to keep from it", str(drawn.attributes.get("set_back", "")))
        crossing = (("", "must not be driven over"), ("lifted", "may be driven over, drill lifted"))
        self._choice(drawn, "cross", "It", crossing)

    def _box(self, drawn: Drawn, name: str, label: str, value: str) -> None:
        typed_box(label, value, lambda text: self._set(drawn.key, name, text))

    def _choice(self, drawn: Drawn, name: str, label: str, options: tuple[tuple[str, str], ...]) -> None:
        value = str(drawn.attributes.get(name, ""))
        choice(label, options, value, lambda text: self._set(drawn.key, name, text))

    def _set(self, key: str, name: str, text: str) -> None:
        board = self.board

        def change() -> None:
            draft = with_attribute(board.desk.draft, key, name, text.strip())
            drawn = next(one for one in draft.ground if one.key == key)
            self._formed = self._form_of(draft, drawn)
            board.change(draft)

        board.attempt(change)

    def _take_away(self, key: str, what: str) -> None:
        board = self.board
        board.change(without_place(board.desk.draft, key, what))

    def _join(self, key: str, other: str) -> None:
        board = self.board
        if other:
            board.attempt(lambda: board.change(*join_fields(board.desk.draft, (key, other))))

    def _delete(self, key: str) -> None:
        board = self.board
        board.attempt(lambda: board.change(without_feature(board.desk.draft, key)))


_NO_OTHER = ("", "choose a field that touches it")


def build(board: Board) -> None:
    """Build the list of what is on the map, and the form of what is chosen."""
    _Listed(board)
