"""Lines that passes follow: drawn in a layer of the boundary file, or in a file of their own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely
from shapely import LineString

from fieldplan.boundary.acreage import distance_m
from fieldplan.boundary.layer import Layer
from fieldplan.boundary.line_tree import LineTree
from fieldplan.boundary.lines import joined, lines_in
from fieldplan.boundary.outlines import Placed, polygons_in
from fieldplan.model.field import Field
from fieldplan.model.notes import Note
from fieldplan.plane.date_line import turned

GUIDES = ("guide", "guides")
"""Names of the layer, whatever their capitals."""
GUIDE_ELSEWHERE = "guide-elsewhere"
"""The code of the note about a line that runs over no field."""
MIN_ON_FIELD_M = 10.0
"""A line is a guide of each field over which it runs this far."""


def says_guides(layer: Layer) -> bool:
    """Whether a layer holds guides: it is called so, and has lines and no polygon."""
    drawn = [feature.geometry for feature in layer.features if feature.geometry is not None]
    own_name = layer.name.rpartition(": ")[2]  # in a zip, the file stands before it
    return own_name.casefold() in GUIDES and not any(polygons_in(geometry) for geometry in drawn)


def guide_lines(placed: Sequence[Placed]) -> list[LineString]:
    """The lines of a layer of guides, those that meet end to end made one."""
    drawn = [line for _, geometry in placed for line in lines_in(geometry)]
    return joined(drawn) if drawn else []


def with_guides(fields: Sequence[Field], drawn: LineTree) -> tuple[list[Field], list[Note]]:
    """The fields with the guides that run over them; a line that runs over none is noted."""
    if not drawn.lines:
        return list(fields), []
    owned = np.zeros(len(drawn.lines), dtype=bool)
    found, notes = [], list[Note]()
    for field in fields:
        over_m = {i: _over_m(drawn.lines[i], field) for i in drawn.near(field.ground)}
        own = [i for i, length_m in over_m.items() if length_m >= MIN_ON_FIELD_M]
        owned[own] = True
        found.append(replace(field, guides=tuple(_beside(drawn.lines[i], field) for i in own)))
        if own:
            values = {"n_guides": len(own), "over_m": sum(over_m[i] for i in own)}
            notes.append(Note(code="guides-drawn", field_id=field.field_id, values=values))
    return found, [*notes, *drawn.unowned(owned)]


def _beside(line: LineString, field: Field) -> LineString:
    """The line where the field is: across the date line it may be drawn 360° on."""
    return max(
        (turned(line, k) for k in (0, 1, -1)), key=lambda each: each.intersection(field.ground).length
    )


def _over_m(line: LineString, field: Field) -> float:
    """How far a line runs over a field, in meters."""
    inside = shapely.intersection(_beside(line, field), field.ground)
    points = [shapely.get_coordinates(part) for part in lines_in(inside)]
    return sum(distance_m(tuple(a), tuple(b)) for part in points for a, b in pairwise(part))
