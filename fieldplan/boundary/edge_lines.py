"""Lines drawn along the edges of fields, which say where the edge is open and where it is fenced."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from shapely import LineString, MultiLineString

from fieldplan.boundary.acreage import distance_m
from fieldplan.boundary.attributes import edge_of, text_of
from fieldplan.boundary.layer import Layer
from fieldplan.boundary.line_tree import LineTree, line_tree
from fieldplan.boundary.lines import ends, lines_in
from fieldplan.boundary.outlines import Placed, polygons_in
from fieldplan.model.field import EdgeWord, Field
from fieldplan.model.notes import Note
from fieldplan.plane.frame import frame_near

EDGES = "edges"
"""The name of the layer, whatever its capitals."""
NEAR_M = 5.0
ALONG_FRAC = 0.5
"""A line belongs to a field whose outline it keeps this near to over this share of its length."""
_NEAR_DEG = 1e-3
"""A box around a field that is so much wider holds every line near it, up to latitude 72°."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeLine:
    """A line along an edge, in longitude and latitude, and what that edge is."""

    line: LineString
    edge: EdgeWord


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeLines:
    """Lines along edges in a search tree, and what the edge is at each."""

    lines: LineTree
    edges: tuple[EdgeWord, ...]


def says_edges(layer: Layer) -> bool:
    """Whether a layer holds lines along edges: it is called so, and has lines and no polygon."""
    drawn = [feature.geometry for feature in layer.features if feature.geometry is not None]
    own_name = layer.name.rpartition(": ")[2]  # in a zip, the file stands before it
    return own_name.casefold() == EDGES and not any(polygons_in(geometry) for geometry in drawn)


def edge_lines(placed: Sequence[Placed], notes: list[Note]) -> Iterator[EdgeLine]:
    """The lines of a layer of edges; those that do not say what the edge is are left out, with a note."""
    for feature, geometry in placed:
        lines, edge = lines_in(geometry), edge_of(feature.attributes)
        if edge is not None:
            yield from (EdgeLine(line=line, edge=edge) for line in lines)
        elif lines:
            notes.append(
                Note(
                    code="edge-unreadable",
                    case="line",
                    warning=True,
                    values={"given": text_of(feature.attributes, "edge") or ""},
                    places={"line": ends(lines[0])[0]},
                )
            )


def ready_edges(drawn: Sequence[EdgeLine]) -> EdgeLines:
    """Lines along edges, ready to be looked through for one field after the other."""
    return EdgeLines(
        lines=line_tree([one.line for one in drawn], "edge-elsewhere"),
        edges=tuple(one.edge for one in drawn),
    )


def with_edge_lines(fields: Sequence[Field], drawn: EdgeLines) -> tuple[list[Field], list[Note]]:
    """The fields with the lines that run along their outlines, and notes about what they say.

    A line may belong to several fields; one that belongs to none is noted.
    """
    if not drawn.edges:
        return list(fields), []
    owned = np.zeros(len(drawn.edges), dtype=bool)
    found, notes = [], list[Note]()
    for field in fields:
        own = _along(field, drawn.lines)
        owned[own] = True
        lines = {
            edge: MultiLineString([drawn.lines.lines[i] for i in own if drawn.edges[i] == edge])
            for edge in ("open", "fenced")
        }
        found.append(replace(field, open_edges=lines["open"], fenced_edges=lines["fenced"]))
        if own:
            notes.append(_drawn(field.field_id, lines["open"], lines["fenced"]))
    return found, [*notes, *drawn.lines.unowned(owned)]


def _along(field: Field, drawn: LineTree) -> list[int]:
    """The numbers of the lines that keep near to the outer edge of a field over enough of their length."""
    near = drawn.near(shapely.buffer(shapely.box(*field.ground.bounds), _NEAR_DEG))
    if not near:
        return []
    frame = frame_near(field.ground)
    outline = frame.to_plane(field.ground)
    beside = shapely.union_all([part.exterior for part in outline.geoms]).buffer(NEAR_M)
    along = {i: frame.to_plane(drawn.lines[i]) for i in near}
    return [i for i, line in along.items() if line.intersection(beside).length >= ALONG_FRAC * line.length]


def _drawn(field_id: str, opened: MultiLineString, fenced: MultiLineString) -> Note:
    values = {"open_m": _length_m(opened), "fenced_m": _length_m(fenced)}
    drawn = {name: length_m for name, length_m in values.items() if length_m}
    return Note(code="edge-drawn", field_id=field_id, values=drawn)


def _length_m(lines: MultiLineString) -> float:
    points = [shapely.get_coordinates(line).tolist() for line in lines.geoms]
    return sum(distance_m((x0, y0), (x1, y1)) for line in points for (x0, y0), (x1, y1) in pairwise(line))
