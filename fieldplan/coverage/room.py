"""Where the middle of the drill may be while it turns: half its width from every hard edge."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np
import shapely
from shapely import LineString, MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, BoolArray, Lines
from fieldplan.plane.offsets import inset, offset, polygons_of
from fieldplan.plane.paths import Paths
from fieldplan.plane.travel import stretch

TOLERANCE_M = 0.5
"""So near to its end the drill may come to a hard edge, and so far past it: drivers hold no line better."""
ARC_STEP_RAD = 0.25
"""Arcs are looked at in steps of this; the room is smaller by what they bulge between."""
_FIRST_STEP_RAD, _MANY = 1.0, 64
"""Of many paths, most of which lead outside, few points are looked at first."""
SWING_FROM_RAD = np.radians(35)
"""The tractor swings out where it has followed an arc for so long (stand-in for its transients, assumed)."""


class Room(Protocol):
    """What decides whether a turn fits."""

    def holds(self, paths: Paths) -> BoolArray:
        """Whether the whole rig stays inside along each path, (n,)."""


class Anywhere:
    """Room without edges."""

    def holds(self, paths: Paths) -> BoolArray:
        """All paths fit."""
        return np.ones(len(paths), dtype=bool)


@dataclass(frozen=True, slots=True)
class BesideEdge:
    """A straight hard edge at the far side of the headland, where passes along +y end at y = 0."""

    rig: Rig

    def holds(self, paths: Paths) -> BoolArray:
        """Whether no point comes nearer to the edge than it may."""
        clear_m = self.rig.headland_m + self.rig.beyond_edge_m - clearance_m(self.rig)
        return _all(paths, self.rig, lambda points: points[:, 1] <= clear_m)


@dataclass(frozen=True)
class InsideFence:
    """The ground of a field, and where its hard edges are, plane meters.

    Parameters
    ----------
    ground
        What is sown, with its holes; lanes of transfers run along its edge.
    hard
        The ground whose edges are hard: ``ground``, that outside open edges, and that which may be crossed;
        ``None`` if it is ``ground`` itself.
    """

    ground: MultiPolygon
    rig: Rig
    hard: MultiPolygon | None = None

    @property
    def fenced(self) -> MultiPolygon:
        """The ground whose edges are hard."""
        return self.ground if self.hard is None else self.hard

    @cached_property
    def clear(self) -> MultiPolygon:
        """Where the middle of the drill may be."""
        clear = inset(self.fenced, clearance_m(self.rig))
        shapely.prepare(clear)
        return clear

    def while_sowing(self) -> InsideFence:
        """The room in which sown lines may be made longer: the middle of the drill stays on the ground."""
        if self.hard is None:
            return self
        beside = offset(self.ground, clearance_m(self.rig))
        return InsideFence(self.ground, self.rig, polygons_of(shapely.intersection(self.hard, beside)))

    def holds(self, paths: Paths) -> BoolArray:
        """Whether the drill and the front of the tractor stay inside along each path, (n,)."""
        return _all(paths, self.rig, self.contains)

    def contains(self, points: Array) -> BoolArray:
        """Whether the drill can stand at points, (..., 2)."""
        return np.asarray(shapely.contains_xy(self.clear, points[..., 0], points[..., 1]))

    def trimmed(self, lines: Lines) -> Lines:
        """Lines as far as their ends can be reached: cut back to the first and the last point on which the
        drill may stand; empty where there is none.
        """
        ends = np.stack([shapely.get_coordinates(shapely.get_point(lines, k)) for k in (0, -1)], axis=1)
        cut = lines.copy()
        for i in np.flatnonzero(~self.contains(ends).all(axis=1)):
            cut[i] = _between_first_and_last(lines[i], self.clear)
        return cut


def clearance_m(rig: Rig) -> float:
    """How near the middle of the drill may come to a hard edge."""
    bulge_m = rig.radius_m * (1 - np.cos(ARC_STEP_RAD / 2))
    return max(0.0, rig.width_m / 2 - TOLERANCE_M) + float(bulge_m)


def _all(paths: Paths, rig: Rig, inside: Callable[[Array], BoolArray]) -> BoolArray:
    """Whether all points of each path, and those that the front of the tractor swings out to, are inside."""
    held = np.ones(len(paths), dtype=bool)
    for step_rad in (_FIRST_STEP_RAD, ARC_STEP_RAD) if len(paths) > _MANY else (ARC_STEP_RAD,):
        some = held.nonzero()[0]
        points, of = paths.only(some).points(step_rad * rig.radius_m)
        held[some[of[~inside(points)]]] = False
    beyond_m = rig.front_beyond_m
    if beyond_m > 0 and held.any():
        some = held.nonzero()[0]
        points, of = paths.only(some).swings(ARC_STEP_RAD * rig.radius_m, beyond_m, SWING_FROM_RAD)
        held[some[of[~inside(points)]]] = False
    return held


def _between_first_and_last(line: LineString, clear: BaseGeometry) -> LineString:
    parts = shapely.get_parts(shapely.intersection(line, clear))
    if not len(parts) or not shapely.length(parts).sum():
        return LineString()
    points = shapely.points(shapely.get_coordinates(parts))
    station_m = np.asarray(shapely.line_locate_point(line, points))
    return stretch(line, float(station_m.min()), float(station_m.max()))
