"""What the pieces of the map's part share: the map, what is being drawn, the chosen vertex, and what is said."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any, Literal

import shapely
from nicegui import background_tasks
from nicegui.elements.mixins.text_element import TextElement
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.outlines import polygons_in
from fieldplan.errors import FieldplanError, Problem
from fieldplan.model.notes import Note
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.web.desk import Desk
from fieldplan.web.draft import Draft, Drawn
from fieldplan.web.drawing import (
    Place,
    Vertex,
    rings_of,
    snapped,
    with_vertex_added,
    with_vertex_moved,
    without_hole,
    without_vertex,
)
from fieldplan.web.elements import plain
from fieldplan.web.ground import Survey, feature, mapped, survey, with_geometry
from fieldplan.web.in_words import in_words
from fieldplan.web.parts.where.ground_map import GroundMap, as_list
from fieldplan.web.parts.where.shown import KIND, features, marks, name_of
from fieldplan.web.questions import View
from fieldplan.web.sketch import TOOLS, Sketch, Tool, finished

Topic = Literal["sketch", "vertex", "survey"]
"""What has changed: what is being drawn, the vertex that is chosen, the acres of the ground."""
FIRST_VIEW: View = (-125.0, 24.5, -66.9, 49.4)
"""The conterminous United States."""
SURVEYED_AT_ONCE = 40
VERTICES_AT_ONCE = 20_000
"""Of more fields, or vertices, only mapped acres are shown at once: the rest takes over 50 ms."""
_SAID: Mapping[Tool, str] = {
    "field": "Outline of a field",
    "hole": "Hole",
    "area": "Ground not planted",
    "line": "Line not planted",
    "point": "Spot not planted",
    "gate": "Gate",
    "seed": "Place of the seed",
    "guide": "Guide line",
    "edge": "Open edge",
    "split": "Line that splits a field",
}


class Board:
    """The state of the map's part of one page.

    Parameters
    ----------
    said, wrong
        Where it is said what has happened, and what is wrong.
    """

    def __init__(self, desk: Desk, ground_map: GroundMap, said: TextElement, wrong: TextElement) -> None:
        self.desk, self.map, self._said, self._wrong = desk, ground_map, said, wrong
        self.sketch: Sketch | None = None
        self.excluded = Sketch(tool="area")
        self.vertex: Vertex | None = None
        self.snaps = True
        self.view: View = FIRST_VIEW
        self.survey = Survey(fields={})
        self.on_place: Callable[[Place], Awaitable[None]] | None = None
        self.asks = False
        self._surveyed: tuple[Drawn, ...] | None = None
        self._taken_back: tuple[Place, ...] = ()
        desk.drawing = self
        self._listeners: dict[Topic, list[Callable[[], None]]] = {}
        desk.listen("draft", self._draft_changed)
        desk.listen("chosen", self._chosen_changed)
        desk.listen("units", lambda: self.describe())
        for event, told in (
            ("placed", self._placed),
            ("picked", lambda said: desk.choose(str(said.get("key", "")))),
            ("dragged", self._dragged),
            ("dragging", self._dragging),
            ("vertex", self._vertex_chosen),
            ("done", lambda _: self.finish()),
            ("back", lambda _: self.back()),
            ("stop", lambda _: self.stop()),
            ("seen", self._seen),
        ):
            ground_map.when(event, told)
        ground_map.kept = self._resume

    # telling

    def listen(self, topic: Topic, listener: Callable[[], None]) -> None:
        """Call ``listener`` whenever the topic changes."""
        self._listeners.setdefault(topic, []).append(listener)

    def tell(self, topic: Topic) -> None:
        """Tell all who listen to a topic that it has changed."""
        for listener in tuple(self._listeners.get(topic, ())):
            listener()

    @property
    def q(self) -> Quantities:
        """The units in which the page speaks."""
        return self.desk.q

    def area(self, area_m2: float) -> str:
        """An area in words."""
        return f"{self.q.area(area_m2)} {self.q.area_word}"

    def say(self, text: str) -> None:
        """Say what has happened, where it is read out."""
        self._said.text = text

    def complain(self, problems: Sequence[Problem]) -> None:
        """Say what is wrong and what to try; nothing takes it away."""
        self._wrong.clear()
        with self._wrong:
            for one in problems:
                plain("p", in_words(one, self.q))

    def note(self, notes: Iterable[Note]) -> None:
        """Say what was mended in what was drawn."""
        self._wrong.clear()
        with self._wrong:
            for one in notes:
                plain("p", sentence(one, self.q))

    def attempt(self, change: Callable[[], object]) -> bool:
        """Do something, or say why it cannot be done."""
        try:
            change()
        except FieldplanError as error:
            self.complain(error.problems)
            return False
        return True

    def change(self, draft: Draft, notes: Iterable[Note] = ()) -> None:
        """Take a changed draft, and say what was mended."""
        self.note(notes)
        self.desk.change(draft)

    # drawing

    def start(self, tool: Tool | None) -> None:
        """Begin to draw something, or nothing."""
        self.sketch = None if tool is None or self.desk.read_only else replace(self.excluded, tool=tool)
        self._taken_back = ()
        self.complain(())
        self._sketch_changed()

    def stop(self) -> None:
        """Give up what is being drawn."""
        if self.sketch is not None:
            self.start(None)

    def back(self) -> None:
        """Take away the last point of the sketch, or the chosen vertex."""
        if self.sketch is not None:
            self.undo()
        elif self.vertex is not None:
            self.delete(self.vertex)

    @property
    def can_undo(self) -> bool:
        """Whether there is a point of the sketch to take back."""
        return self.sketch is not None and bool(self.sketch.points)

    @property
    def can_redo(self) -> bool:
        """Whether a point of the sketch was taken back, and none was drawn since."""
        return self.sketch is not None and bool(self._taken_back)

    def undo(self) -> None:
        """Take back the last point of the sketch."""
        if self.sketch is not None and self.sketch.points:
            *points, last = self.sketch.points
            self._taken_back = (*self._taken_back, last)
            self.resketch(replace(self.sketch, points=tuple(points)))

    def redo(self) -> None:
        """Put the point again that was taken back last."""
        if self.sketch is not None and self._taken_back:
            *left, place = self._taken_back
            self._taken_back = tuple(left)
            self.resketch(self.sketch.with_point(place))

    def resketch(self, sketch: Sketch) -> None:
        """Go on with a changed sketch; one that needs no further point is finished."""
        self.sketch = sketch
        self.complain(())
        self._sketch_changed()
        if sketch.is_done:
            self.finish()

    def add(self, place: Place, reach_m: float = 0.0) -> None:
        """Add a point to the sketch.

        Parameters
        ----------
        reach_m
            How far it may be drawn to a corner or an edge of something else.
        """
        if self.sketch is not None:
            self._taken_back = ()
            self.resketch(self.sketch.with_point(self.drawn_to(place, reach_m)))

    def drawn_to(self, place: Place, reach_m: float, *, but: str = "") -> Place:
        """A place, drawn to what is near it if the person wants that."""
        if not self.snaps or reach_m <= 0:
            return place
        others = [one.geometry for one in self.desk.draft.ground if one.key != but]
        return snapped(place, reach_m, others).place

    def finish(self) -> None:
        """Make a feature of the sketch."""
        sketch = self.sketch
        if sketch is None:
            return

        def done() -> None:
            made = finished(self.desk.draft, sketch, self.desk.chosen)
            self.sketch = None
            self.change(made.draft, made.notes)
            self.desk.choose(made.key)
            self._sketch_changed()

        if not self.attempt(done) and sketch.is_done:
            self.sketch = replace(sketch, points=sketch.points[:-1])
            self._show_sketch()
            self.tell("sketch")

    # vertices of the chosen feature

    @property
    def chosen(self) -> Drawn | None:
        """The feature that is chosen."""
        return feature(self.desk.draft, self.desk.chosen)

    def choose_vertex(self, vertex: Vertex | None) -> None:
        """Choose a vertex of the chosen feature."""
        self.vertex = vertex
        if vertex is None:
            self.map.tell("mark", -1, -1)
        else:
            self.map.tell("mark", vertex.ring, vertex.number)
        self.tell("vertex")

    def move(self, at: Vertex, place: Place) -> bool:
        """Put a vertex of the chosen feature elsewhere."""
        return self._edit(lambda one: with_vertex_moved(one, at, place))

    def insert(self, after: Vertex, place: Place) -> bool:
        """Add a vertex to the chosen feature."""
        return self._edit(lambda one: with_vertex_added(one, after, place))

    def delete(self, at: Vertex) -> bool:
        """Take a vertex from the chosen feature."""
        self.vertex = None
        return self._edit(lambda one: without_vertex(one, at))

    def delete_hole(self, ring: int) -> bool:
        """Fill a hole of the chosen feature."""
        self.vertex = None
        return self._edit(lambda one: without_hole(one, ring))

    def _edit(self, edit: Callable[[BaseGeometry], BaseGeometry]) -> bool:
        drawn = self.chosen
        if drawn is None:
            return False
        done = self.attempt(
            lambda: self.change(*with_geometry(self.desk.draft, drawn.key, edit(drawn.geometry)))
        )
        if not done:
            self._show_ground()  # the map goes back to what is kept
        return done

    # told by the map

    def _placed(self, said: Mapping[str, Any]) -> Awaitable[None] | None:
        place = _place_in([said.get("lon"), said.get("lat")])
        if place is None:
            return None
        if self.on_place is not None:
            return self.on_place(place)
        if self.sketch is not None:
            self.add(place, float(said["reach_m"]))
        else:
            self.choose_vertex(None)
            self.desk.choose("")
        return None

    def _resume(self, kept: object) -> None:
        """Go on with what was being drawn before the page was loaded anew; a browser may say anything."""
        if self.sketch is None and not self.desk.read_only and isinstance(kept, Mapping):
            tool, points = kept.get("tool"), kept.get("points")
            if tool in TOOLS and isinstance(points, list):
                places = tuple(place for point in points if (place := _place_in(point)) is not None)
                self.sketch = replace(self.excluded, tool=tool, points=places)
                self._sketch_changed()

    def _vertex_chosen(self, said: Mapping[str, Any]) -> None:
        if said.get("key") == self.desk.chosen:
            self.choose_vertex(Vertex(ring=int(said["ring"]), number=int(said["number"])))

    def _dragged(self, said: Mapping[str, Any]) -> None:
        there = _place_in([said.get("lon"), said.get("lat")])
        if said.get("key") != self.desk.chosen or there is None:
            return
        at = Vertex(ring=int(said["ring"]), number=int(said["number"]))
        place = self.drawn_to(there, float(said["reach_m"]), but=self.desk.chosen)
        if said.get("added"):
            self.insert(at, place)
        else:
            self.move(at, place)

    def _dragging(self, said: Mapping[str, Any]) -> None:
        """Tell the acres while a vertex is dragged."""
        drawn = self.chosen
        if drawn is None or said.get("key") != drawn.key or not polygons_in(drawn.geometry):
            return
        at = Vertex(ring=int(said["ring"]), number=int(said["number"]))
        edit = with_vertex_added if said.get("added") else with_vertex_moved
        try:
            now = edit(drawn.geometry, at, (float(said["lon"]), float(said["lat"])))
        except FieldplanError:
            return
        self.say(f"{name_of(drawn)}: {self.area(geodesic_area_m2(now))}")

    def _seen(self, said: Mapping[str, Any]) -> None:
        self.view = (
            float(said["west"]),
            float(said["south"]),
            float(said["east"]),
            float(said["north"]),
        )

    # showing

    def look_at(self, shown: Sequence[BaseGeometry]) -> None:
        """Show all of some geometries on the map."""
        bounds = [one.bounds for one in shown if not one.is_empty]
        if bounds:
            west, south, east, north = zip(*bounds, strict=True)
            self.map.tell("look", min(west), min(south), max(east), max(north))

    def describe(self) -> None:
        """Say how large what is drawn or chosen is."""
        sketch, drawn = self.sketch, self.chosen
        if sketch is not None:
            n = len(sketch.points)
            text = f"{_SAID[sketch.tool]}: {n} {'point' if n == 1 else 'points'}"
            if sketch.area_m2:
                text += f", {self.area(sketch.area_m2)}"
            elif n > 1:
                text += f", {self.q.length(sketch.length_m)} long"
        elif drawn is not None:
            text = f"{name_of(drawn)}, {KIND[drawn.layer]}"
            if drawn.key in self.survey.fields:
                measured = self.survey.fields[drawn.key]
                text += f": {self.area(measured.mapped_m2)}"
                if measured.excluded_m2:
                    text += f", {self.area(measured.plantable_m2)} of them to plant"
            elif polygons_in(drawn.geometry):
                text += f": {self.area(geodesic_area_m2(drawn.geometry))}"
            n = sum(len(ring) for ring in rings_of(drawn.geometry))
            text += f", {n} {'point' if n == 1 else 'points'}"
        else:
            fields = self.survey.fields.values()
            n = len(fields)
            total = self.area(sum(one.mapped_m2 for one in fields))
            text = f"{n} {'field' if n == 1 else 'fields'}, {total}" if n else "No field yet"
        self.say(text)

    def begin(self) -> None:
        """Show the draft as it is when the page is opened."""
        self._draft_changed()
        self.look_at([one.geometry for one in self.desk.draft.ground])

    def _sketch_changed(self) -> None:
        self._show_sketch()
        self.describe()
        self.tell("sketch")
        self.desk.tell("sketch")

    def _show_sketch(self) -> None:
        sketch = self.sketch
        if sketch is None:
            self.map.tell("sketch", "", [], False)
        else:
            self.map.tell("sketch", sketch.tool, as_list(sketch.points), sketch.is_closed)

    def _draft_changed(self) -> None:
        if self.desk.chosen and self.chosen is None:
            self.vertex = None
            self.desk.choose("")
        draft = self.desk.draft
        if draft.ground is not self._surveyed:
            self._surveyed = draft.ground
            n_vertices = sum(shapely.get_num_coordinates(one.geometry) for one in draft.ground)
            if len(draft.of_layer("fields")) > SURVEYED_AT_ONCE or n_vertices > VERTICES_AT_ONCE:
                self.survey = mapped(draft)
                background_tasks.create(self._survey_later(draft), name="survey of the ground")
            else:
                self.survey = survey(draft)
        self._show_ground()
        self.describe()
        self.tell("survey")

    async def _survey_later(self, draft: Draft) -> None:
        """Look for overlaps and cut exclusions out while the page goes on."""
        found = await asyncio.to_thread(survey, draft)
        if draft.ground is self._surveyed:
            self.survey = found
            self.tell("survey")

    def _chosen_changed(self) -> None:
        self.vertex = None
        self._show_ground()
        self.describe()
        self.tell("vertex")

    def _show_ground(self) -> None:
        draft = self.desk.draft
        self.map.tell("show", features(draft, self.desk.chosen), marks(draft))
        at = self.vertex
        self.map.tell("mark", at.ring if at else -1, at.number if at else -1)


def _place_in(point: object) -> Place | None:
    """A place on Earth from what should be one."""
    match point:
        case [int() | float() as lon, int() | float() as lat] if -180 <= lon <= 180 and -90 <= lat <= 90:
            return float(lon), float(lat)
    return None
