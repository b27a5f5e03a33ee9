"""Open and hard stretches of a field's edge, and the ground whose edges are hard.

An edge is hard, as a fence or a ditch is, unless it is said to be open. Beyond an open stretch lies a band of
room for turns and transfers; it ends square with the stretch, and never covers the ground behind a hard one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import LinearRing, MultiLineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, BoolArray, Lines
from fieldplan.model.field import SIDES_DEG, EdgeWord
from fieldplan.plane.offsets import offset, polygons_of

ALONG_EDGE_M = 5.0
"""A drawn line marks the edge that it keeps so near to; jags of the outline up to this do not matter."""
_PIECE_M = 5.0
"""The edge is open or hard piece by piece, each no longer than this."""
_HAIR_M = 0.01
"""Grounds that touch are joined over this much, so that no gap of rounding remains between them."""
_SIDE_DEG = 45.0


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeTerms:
    """What was said about the edge of a field, in plane meters; later entries come before earlier ones.

    Parameters
    ----------
    edge
        The whole outer edge.
    open_sides
        Compass sides that are open.
    open_lines, fenced_lines
        Lines drawn along stretches that are open, or hard.
    """

    edge: EdgeWord = "fenced"
    open_sides: tuple[str, ...] = ()
    open_lines: MultiLineString = field(default_factory=MultiLineString)
    fenced_lines: MultiLineString = field(default_factory=MultiLineString)


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges:
    """The outer edge of a field by what may cross it, plane meters; holes are not part of it."""

    open: MultiLineString
    hard: MultiLineString

    def fenced(
        self, outline: MultiPolygon, plantable: MultiPolygon, crossable: Sequence[MultiPolygon], rig: Rig
    ) -> MultiPolygon:
        """The ground whose edges are hard: plantable, excluded ground that may be crossed, and room outside
        along the open stretches.

        Parameters
        ----------
        outline
            The field with what is excluded.
        """
        crossed = offset(MultiPolygon([part for ground in crossable for part in ground.geoms]), _HAIR_M)
        within = shapely.intersection(crossed, outline) if crossable else crossed
        return polygons_of(shapely.union_all([plantable, within, self._beyond(outline, room_m(rig))]))

    def _beyond(self, outline: MultiPolygon, depth_m: float) -> BaseGeometry:
        """The band outside along the open stretches; it reaches a hair into the field."""
        if self.open.is_empty:
            return Polygon()
        filled = shapely.union_all([Polygon(part.exterior) for part in outline.geoms])
        thinned = shapely.simplify(shapely.get_parts(self.open), ALONG_EDGE_M)
        bands = offset(thinned, depth_m)
        kept_out = [offset(filled, -_HAIR_M), shapely.buffer(self.hard, 2 * _HAIR_M, cap_style="flat")]
        return shapely.difference(shapely.union_all(bands), shapely.union_all(kept_out))


def room_m(rig: Rig) -> float:
    """How far outside an open edge turns and transfers may swing: 4R + 2w, more than any turn needs."""
    return 4 * rig.radius_m + 2 * rig.width_m


def edges_of(outline: MultiPolygon, terms: EdgeTerms, convergence_deg: float) -> Edges:
    """The open and the hard stretches of the outer edge of a field.

    Parameters
    ----------
    outline
        The field in plane meters.
    convergence_deg
        True azimuth of grid north.
    """
    rings = [_points(part) for part in outline.geoms]
    said_open = terms.edge == "open" or bool(terms.open_sides) or not terms.open_lines.is_empty
    is_open = [_is_open(points, terms, convergence_deg) for points in rings] if said_open else []
    if not any(opened.any() for opened in is_open):
        return Edges(open=MultiLineString(), hard=MultiLineString(rings))
    pieces = [
        np.asarray(shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1))) for points in rings
    ]
    lines, opened = np.concatenate(pieces), np.concatenate(is_open)
    return Edges(open=_stretches(lines[opened]), hard=_stretches(lines[~opened]))


def _points(part: Polygon) -> Array:
    """The outer ring counter-clockwise, with points no farther apart than a piece is long."""
    ring = shapely.remove_repeated_points(part.exterior, _HAIR_M)
    ring = ring if ring.is_ccw else ring.reverse()
    return shapely.get_coordinates(shapely.segmentize(ring, _PIECE_M))


def _is_open(points: Array, terms: EdgeTerms, convergence_deg: float) -> BoolArray:
    """Whether each piece between two points is open, (n,)."""
    opened = np.full(len(points) - 1, terms.edge == "open")
    if terms.open_sides:
        opened |= _on_sides(points, terms.open_sides, convergence_deg)
    opened |= _along(points, terms.open_lines)
    return np.asarray(opened & ~_along(points, terms.fenced_lines))


def _on_sides(points: Array, sides: Sequence[str], convergence_deg: float) -> BoolArray:
    """Whether the edge that each piece is part of, once thinned, faces one of these sides, (n,)."""
    thinned = shapely.get_coordinates(shapely.simplify(LinearRing(points), ALONG_EDGE_M))
    corner = np.isin(points[:-1] @ [1, 1j], thinned @ [1, 1j])
    step = np.diff(thinned, axis=0)[np.cumsum(corner) - 1]
    faces_deg = np.degrees(np.arctan2(step[:, 1], -step[:, 0])) + convergence_deg
    wanted_deg = np.array([SIDES_DEG[side] for side in sides])
    away_deg = np.abs((faces_deg[:, None] - wanted_deg + 180.0) % 360.0 - 180.0)
    return np.asarray((away_deg <= _SIDE_DEG + 1e-6).any(axis=1))


def _along(points: Array, lines: MultiLineString) -> BoolArray:
    """Whether each piece runs along one of the lines: near to it, and in about its direction, (n,)."""
    along = np.zeros(len(points) - 1, dtype=bool)
    if lines.is_empty:
        return along
    middle, step = (points[:-1] + points[1:]) / 2, np.diff(points, axis=0)
    for line in lines.geoms:
        near = np.flatnonzero(shapely.distance(shapely.points(middle), line) <= ALONG_EDGE_M)
        at = shapely.line_locate_point(line, shapely.points(middle[near]))
        before, after = (
            shapely.get_coordinates(shapely.line_interpolate_point(line, np.clip(at + by, 0, line.length)))
            for by in (-_PIECE_M / 2, _PIECE_M / 2)
        )
        run = after - before
        lengths = np.hypot(*run.T) * np.hypot(*step[near].T)
        along[near] |= np.abs((run * step[near]).sum(axis=1)) >= math.cos(math.radians(45)) * lengths
    return along


def _stretches(pieces: Lines) -> MultiLineString:
    """Pieces joined end to end."""
    if not len(pieces):
        return MultiLineString()
    return MultiLineString(list(shapely.get_parts(shapely.line_merge(MultiLineString(list(pieces))))))
