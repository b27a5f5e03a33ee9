"""One transfer: how long it takes and, where it is kept, its line and its leg."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import shapely
from shapely import LineString

from fieldplan.kernels.lanes import Lanes
from fieldplan.model.coverage import Array, Leg, TurnShape
from fieldplan.plane.paths import Paths, drawing_step_m, shortest_paths


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of a lane, from a station on, in its direction (1) or against it (-1)."""

    lanes: Lanes
    lane: int
    sign: float
    since_m: float
    run_m: float

    @property
    def points(self) -> Array:
        """The vertices of the lane between the ends of the stretch, (m, 2)."""
        own = slice(self.lanes.first[self.lane], self.lanes.first[self.lane + 1])
        station_m = self.lanes.station_m[own]
        ahead_m = self.sign * (station_m - self.since_m) % station_m[-1]
        order = ahead_m.argsort(kind="stable")
        within = (ahead_m[order] > 0) & (ahead_m[order] < self.run_m)
        return np.asarray(self.lanes.points[own][order[within]])


@dataclass(frozen=True, slots=True)
class Forward:
    """The shortest forward path from a pose to another, (3,) each: it is looked up where it is drawn."""

    start: Array
    end: Array
    radius_m: float

    @property
    def path(self) -> Paths:
        """It as a single path."""
        return shortest_paths(self.start[None], self.end[None], self.radius_m)


Part = Paths | Forward | Run | LineString
"""What a line is made of: a single path, a stretch of a lane, or a line."""


@dataclass(frozen=True)
class Transfer:
    """How the rig is driven lifted from one pose to another.

    Parameters
    ----------
    parts
        What its line is made of, in driving order.
    length_m
        Its length; the line is shorter by what its chords cut off arcs.
    inside
        Whether it stays inside all the way.
    with_arcs
        Whether the rig can drive its line; else it is the shortest path whatever its bends.
    reverse_m
        What of it is driven in reverse.
    drive_s
        Time that it takes.
    """

    parts: tuple[Part, ...]
    length_m: float
    drive_s: float
    reverse_m: float = 0.0
    inside: bool = True
    with_arcs: bool = True

    @cached_property
    def line(self) -> LineString:
        """The line that is driven."""
        if len(self.parts) == 1 and isinstance(self.parts[0], LineString):
            return self.parts[0]
        return LineString(np.concatenate([_points_of(part) for part in self.parts]))

    def leg(self, kind: Literal["turn", "transfer"], block: int = 0, sowing: int = 1) -> Leg:
        """Its leg; it is tight if the rig cannot drive it without shunting."""
        return Leg(
            kind=kind,
            line=shapely.segmentize(self.line, 1.0),
            length_m=self.length_m,
            block=block,
            sowing=sowing,
            shape=self._shape(kind),
            reverse_m=self.reverse_m,
            drive_s=self.drive_s,
        )

    def _shape(self, kind: Literal["turn", "transfer"]) -> TurnShape:
        if not self.inside:
            return "outside"
        if not self.with_arcs:
            return "tight"
        return "headland run" if kind == "turn" else ""


def _points_of(part: Part) -> Array:
    """The vertices of a part, (m, 2)."""
    if isinstance(part, Run):
        return part.points
    if isinstance(part, LineString):
        return np.asarray(shapely.get_coordinates(part))
    path = part.path if isinstance(part, Forward) else part
    points, _ = path.points(drawing_step_m(path.radius_m))
    return points if len(points) > 1 else np.vstack([points, points])
