"""Points by their coordinates, or by bearing and distance: everything that the mouse does, without it."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from fieldplan.errors import InputError
from fieldplan.typed_place import place_in
from fieldplan.typed_quantity import parse_quantity
from fieldplan.web.drawing import Place, Rings, Vertex, bearing_in, destination, holes_of, rings_of
from fieldplan.web.elements import button, fill, plain
from fieldplan.web.parts.where.board import Board
from fieldplan.web.parts.where.typed import typed_box, unlabeled_box

SHOWN = 24
"""Points of one page of the table."""


def place_of(text: str) -> Place:
    """The place that was typed.

    Raises
    ------
    InputError
        If it is none.
    """
    place = place_in(text)
    if place is None:
        raise InputError.of("drawn-place-unreadable", given=text)
    return place


def as_text(place: Place) -> str:
    """A place as it is typed, to a centimeter."""
    return f"{place[1]:.7f}, {place[0]:.7f}"


class _Points:
    """The points of what is drawn, or of the feature that is chosen."""

    def __init__(self, board: Board) -> None:
        self.board = board
        self.first = 0
        self._shown: object = None
        self._bearing = ""
        self._distance = ""
        self._moves = False
        self._focus: int | None = None
        with plain("fieldset", "", "where-point"):
            plain("legend", "A point by numbers")
            with plain("div", "", "where-which") as self.which:
                what = plain("label", "What to do")
                self.what = plain("select")
                what.props["for"] = self.what.html_id
                fill(self.what, (("add", "Add a point after"), ("move", "Move")), "add")
                self.what.on(
                    "change",
                    lambda said: self._choose(str(said.args)),
                    js_handler="(e) => emit(e.target.value)",
                )
                self.number = plain("div")
            typed_box(
                "Latitude, longitude",
                "",
                lambda text: board.attempt(lambda: self._take(place_of(text))),
                empties=True,
                hint="such as 44.25, -95.75; Enter puts the point there",
            )
            with plain("div", "", "where-pair"):
                with plain("div"):
                    typed_box(
                        "True bearing",
                        "",
                        lambda text: setattr(self, "_bearing", text),
                        hint="degrees, or N 45 E",
                    )
                with plain("div"):
                    typed_box(
                        "Distance",
                        "",
                        lambda text: setattr(self, "_distance", text),
                        hint='such as "400 ft" or "120 m"',
                    )
            button("Put the point there", self._along)
        with plain("details", "", "where-table") as self.details:
            self.summary = plain("summary", "Points")
            self.table = plain("div")
        board.listen("sketch", self.show)
        board.listen("vertex", self.show)
        board.listen("survey", self.show)
        board.desk.listen("units", self._anew)
        self.show()

    # what is there

    @property
    def _rings(self) -> Rings:
        sketch, drawn = self.board.sketch, self.board.chosen
        if sketch is not None:
            return (sketch.points,)
        return rings_of(drawn.geometry) if drawn is not None else ()

    def _all(self) -> list[tuple[Vertex, Place]]:
        return [
            (Vertex(ring=r, number=n), place)
            for r, ring in enumerate(self._rings)
            for n, place in enumerate(ring)
        ]

    def _anew(self) -> None:
        self._shown = None
        self.show()

    def show(self) -> None:
        """Show the points as they are, unless they are shown already."""
        board = self.board
        every = self._all()
        numbers = {at: k for k, (at, _) in enumerate(every)}
        if board.vertex is not None and board.vertex in numbers:
            self.first = numbers[board.vertex] // SHOWN * SHOWN
        self.first = self.first if self.first < len(every) else 0
        self.which.set_visibility(board.sketch is None and bool(every))
        now = (tuple(every), board.vertex, self.first, board.sketch is None)
        if now == self._shown:
            return
        self._shown = now
        n = len(every)
        self.number.clear()
        with self.number:
            chosen = numbers.get(board.vertex, n - 1) if board.vertex else n - 1
            typed_box(f"Point, of {n}", str(chosen + 1), self._at, inputmode="numeric")
        self.summary.text = f"Points ({n})"
        self.details.set_visibility(n > 0)
        self._fill_table(every)

    def _fill_table(self, every: list[tuple[Vertex, Place]]) -> None:
        board = self.board
        self.table.clear()
        page = every[self.first : self.first + SHOWN]
        with self.table:
            if len(every) > SHOWN:
                with plain("div", "", "where-buttons"):
                    plain("span", f"Points {self.first + 1} to {self.first + len(page)} of {len(every)}")
                    button("Earlier points", lambda: self._turn(-SHOWN))
                    button("Later points", lambda: self._turn(SHOWN))
            hole = board.vertex.ring if board.vertex is not None and board.sketch is None else -1
            if board.chosen is not None and hole in holes_of(board.chosen.geometry):
                button("Delete this hole", partial(self._delete_hole, hole))
            with plain("table"), plain("tbody"):
                for k, (at, place) in enumerate(page, start=self.first):
                    row = plain("tr", "", "g-here" if at == board.vertex else "")
                    with row:
                        plain("th", str(k + 1), scope="row")
                        with plain("td"):
                            unlabeled_box(
                                f"Point {k + 1}: latitude, longitude",
                                as_text(place),
                                partial(self._typed, at),
                            )
                        with plain("td"):
                            gone = button(
                                "Delete", partial(self._delete, at), aria_label=f"Delete point {k + 1}"
                            )
                            if k == self._focus:
                                gone.run_method("focus", {"preventScroll": True})
                                self._focus = None

    def _turn(self, by: int) -> None:
        every = self._all()
        self.board.vertex = None
        self.first = max(0, min(self.first + by, (len(every) - 1) // SHOWN * SHOWN))
        self._anew()

    # what is done

    def _typed(self, at: Vertex, text: str) -> None:
        """A point of the table was changed."""
        board = self.board

        def change() -> None:
            place = place_of(text)
            if board.sketch is None:
                board.move(at, place)
            else:
                points = board.sketch.points
                moved = (*points[: at.number], place, *points[at.number + 1 :])
                self._keep(at, place)
                board.resketch(replace(board.sketch, points=moved))

        if board.sketch is None:
            self._keep(at, place_in(text))
        board.attempt(change)

    def _keep(self, at: Vertex, place: Place | None) -> None:
        """What a person has typed into the table need not be shown anew, so that the place in it is kept."""
        if place is None:
            return
        every = [(one, place if one == at else was) for one, was in self._all()]
        self._shown = (tuple(every), self.board.vertex, self.first, self.board.sketch is None)

    def _delete(self, at: Vertex) -> None:
        board = self.board
        every = [one for one, _ in self._all()]
        self._focus = min(every.index(at), len(every) - 2) if at in every else None  # the row that comes up
        if board.sketch is None:
            board.delete(at)
        else:
            points = board.sketch.points
            board.resketch(replace(board.sketch, points=(*points[: at.number], *points[at.number + 1 :])))

    def _delete_hole(self, ring: int) -> None:
        self.board.delete_hole(ring)

    def _choose(self, what: str) -> None:
        self._moves = what == "move"

    def _at(self, number: str) -> None:
        every = self._all()
        if number.isdigit() and 1 <= int(number) <= len(every):
            self.board.choose_vertex(every[int(number) - 1][0])

    def _meant(self) -> tuple[Vertex, Place]:
        """The point from which the next one is reckoned.

        Raises
        ------
        InputError
            If there is none.
        """
        every = self._all()
        if not every:
            raise InputError.of("drawn-too-few", n_least=1)
        if self.board.sketch is None and self.board.vertex is not None:
            found = next((one for one in every if one[0] == self.board.vertex), None)
            return found or every[-1]
        return every[-1]

    def _along(self) -> None:
        """Put a point at a bearing and a distance from the one before."""

        def put() -> None:
            _, start = self._meant()
            bearing = bearing_in(self._bearing)
            if bearing is None:
                raise InputError.of("drawn-bearing-unreadable", given=self._bearing)
            self._take(destination(start, bearing, parse_quantity(self._distance, "length")))

        self.board.attempt(put)

    def _take(self, place: Place) -> None:
        """Add a point at a place to what is drawn; or add it to the chosen feature, or move one of it there."""
        board = self.board
        if board.sketch is not None:
            board.add(place)
            return
        if board.chosen is None:
            raise InputError.of("drawn-no-field")
        at, _ = self._meant()
        if self._moves:
            if board.move(at, place):
                board.choose_vertex(at)
        elif board.insert(at, place):
            board.choose_vertex(Vertex(ring=at.ring, number=at.number + 1))


def build(board: Board) -> None:
    """Build the form for a point by numbers, and the table of points."""
    _Points(board)
