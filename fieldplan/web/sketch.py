"""What is being drawn: points one after another, by mouse, touch or keyboard alike, until it is a feature."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal, get_args

import shapely
from shapely import LineString, MultiLineString, Point
from shapely.geometry.base import BaseGeometry

from fieldplan.errors import InputError
from fieldplan.model.notes import Note
from fieldplan.plane.frame import frame_near
from fieldplan.typed_quantity import parse_quantity
from fieldplan.web.cutting import stretch
from fieldplan.web.draft import Draft, Drawn
from fieldplan.web.drawing import Place, drawn_area_m2, length_m, outline_of, with_hole
from fieldplan.web.ground import (
    feature,
    id_of,
    nearest_field,
    split_field,
    with_feature,
    with_field,
    with_gate,
    with_geometry,
    with_seed_place,
)

Tool = Literal["field", "hole", "area", "line", "point", "gate", "seed", "guide", "edge", "split"]
"""What is drawn: an outline, a hole; ground not planted as an area, a line or a point; the gate; where the seed
stands; a guide; an open stretch of an edge; a line that splits a field.
"""
TOOLS: tuple[Tool, ...] = get_args(Tool)
_LEAST_REACHED_M2, _LEAST_DEGREE_M = 1.0, 20_000.0
"""Ground that is worth a word; a degree is longer than that wherever drills go."""
CLOSED = frozenset({"field", "hole", "area"})
DONE_WITH: Mapping[Tool, int] = {"point": 1, "gate": 1, "seed": 1, "edge": 2}
"""What is done with so many points; all else is done when the person says so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sketch:
    """A feature that is being drawn.

    Parameters
    ----------
    tool
        What it will be.
    points
        Where the person has been so far.
    reason, set_back
        Of ground that is not planted, as they were typed.
    other_way
        An open stretch runs the longer way round.
    """

    tool: Tool
    points: tuple[Place, ...] = ()
    reason: str = ""
    set_back: str = ""
    other_way: bool = False

    def with_point(self, place: Place) -> Sketch:
        """The sketch with one point more; the same point twice counts once."""
        if self.points and self.points[-1] == place:
            return self
        return replace(self, points=(*self.points, place))

    @property
    def is_closed(self) -> bool:
        """Whether its points are the corners of ground."""
        return self.tool in CLOSED

    @property
    def is_done(self) -> bool:
        """Whether it needs no further point."""
        return len(self.points) >= DONE_WITH.get(self.tool, len(self.points) + 1)

    @property
    def area_m2(self) -> float:
        """The area inside its points, for what encloses ground."""
        return drawn_area_m2(self.points) if self.is_closed else 0.0

    @property
    def length_m(self) -> float:
        """The length of the line through its points."""
        return length_m(self.points)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """The draft with what was drawn, the key of the feature that it is or belongs to, and notes about mending."""

    draft: Draft
    key: str
    notes: tuple[Note, ...] = ()


def finished(draft: Draft, sketch: Sketch, chosen: str = "") -> Finished:
    """The draft with a sketch made a feature of it.

    Parameters
    ----------
    chosen
        The key of the field that a gate, the place of the seed, a split or an open edge is meant for; else it is the
        field that they lie in or nearest to.

    Raises
    ------
    InputError
        If it has too few points, or cannot be what it is meant to be.
    """
    least = 3 if sketch.is_closed else DONE_WITH.get(sketch.tool, 2)
    if len(set(sketch.points)) < least:
        raise InputError.of("drawn-too-few", n_least=least)
    match sketch.tool:
        case "field":
            ground, notes = outline_of(sketch.points)
            draft, key = with_field(draft, ground)
            return Finished(draft=draft, key=key, notes=tuple(notes))
        case "hole":
            return _with_hole(draft, sketch)
        case "area" | "line" | "point":
            return _excluded(draft, sketch)
        case "guide":
            draft, key = with_feature(draft, "guides", LineString(sketch.points), {})
            return Finished(draft=draft, key=key)
    field = _meant(draft, sketch, chosen)
    match sketch.tool:
        case "gate":
            draft = with_gate(draft, field.key, sketch.points[0])
        case "seed":
            draft = with_seed_place(draft, field.key, sketch.points[0])
        case "split":
            draft, _ = split_field(draft, field.key, sketch.points)
        case "edge":
            line = stretch(field.geometry, sketch.points[0], sketch.points[-1], other_way=sketch.other_way)
            draft, key = with_feature(draft, "edges", line, {"edge": "open"})
            return Finished(draft=draft, key=key)
    return Finished(draft=draft, key=field.key)


def _meant(draft: Draft, sketch: Sketch, chosen: str) -> Drawn:
    """The field that a sketch belongs to."""
    if sketch.tool in ("split", "edge"):
        line = MultiLineString([sketch.points])
        crossed = [one for one in draft.of_layer("fields") if one.geometry.intersects(line)]
        if chosen not in {one.key for one in crossed} and crossed:
            return max(crossed, key=lambda one: one.geometry.intersection(line).length)
    found = feature(draft, chosen)
    if found is not None and found.layer == "fields":
        return found
    return nearest_field(draft, sketch.points[0])


def _with_hole(draft: Draft, sketch: Sketch) -> Finished:
    hole, notes = outline_of(sketch.points)
    touched = [one for one in draft.of_layer("fields") if one.geometry.intersects(hole)]
    if not touched:
        raise InputError.of("drawn-hole-outside")
    for one in touched:
        draft, more = with_geometry(draft, one.key, with_hole(one.geometry, hole))
        notes += more
    return Finished(draft=draft, key=touched[0].key, notes=tuple(notes))


def _excluded(draft: Draft, sketch: Sketch) -> Finished:
    """The draft with ground that is not planted."""
    set_back = sketch.set_back.strip()
    width_m = parse_quantity(set_back, "length") if set_back else 0.0
    notes: list[Note] = []
    if sketch.tool == "area":
        geometry, notes = outline_of(sketch.points)
    elif width_m <= 0:
        raise InputError.of("drawn-set-back")
    else:
        geometry = Point(sketch.points[0]) if sketch.tool == "point" else LineString(sketch.points)  # type: ignore[assignment]
    attributes = {"reason": sketch.reason.strip() or "not planted"}
    if set_back:
        attributes["set_back"] = set_back
    draft, key = with_feature(draft, "exclusions", geometry, attributes)
    return Finished(draft=draft, key=key, notes=(*notes, *_reaching(draft, geometry, width_m)))


def _reaching(draft: Draft, excluded: BaseGeometry, set_back_m: float) -> Iterator[Note]:
    """A note if excluded ground takes some of more than one field: it may have been meant for one of them."""
    reached = []
    for one in draft.of_layer("fields"):
        if one.geometry.distance(excluded) > set_back_m / _LEAST_DEGREE_M:
            continue
        frame = frame_near(one.geometry)
        zone = shapely.buffer(frame.to_plane(excluded), set_back_m)
        if shapely.intersection(frame.to_plane(one.geometry), zone).area >= _LEAST_REACHED_M2:
            reached.append(str(one.attributes.get("name") or id_of(one)))
    if len(reached) > 1:
        yield Note(code="drawn-reaches-fields", values={"n_fields": len(reached), "fields": tuple(reached)})
