"""The line to drive along an outline with jags: a straightened one, near enough to it.

Jags smaller than the drill come from pixels or from a hand that traced the edge; followed, each of them is a
corner with a turn. An outline drawn in steps knows its edge to half a step: within that the line may lie outside,
unless somebody has said that the edge is fenced.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiLineString, MultiPolygon

from fieldplan.coverage.headland import ALWAYS_FOLLOWED_DEG, turns_deg
from fieldplan.coverage.site import Site
from fieldplan.plane.offsets import polygons_of
from fieldplan.plane.straightened import apart_m, steps_of, straightened

MOST_W = 0.5
"""The line lies no farther from the outline, in drill widths."""
_TRIED_W = (0.5, 0.35, 0.25, 0.15)
"""How far the outline may leave a straight stretch, in drill widths: the stretch is then moved, so the line may lie
farther from it."""
_N_LINES = 2
_FEWER_CORNERS, _FEWER_CORNERS_FRAC = 4, 0.25
"""An outline has jags if the line has so many, and this share, fewer corners."""


@dataclass(frozen=True, slots=True)
class DriveLine:
    """The ground within a line to drive.

    Parameters
    ----------
    away_m
        How far it lies from the outline where it is farthest.
    outside_m
        How far outside the outline it may lie: half a step of an outline drawn in steps, else 0.
    """

    ground: MultiPolygon
    away_m: float
    outside_m: float


def drive_lines(site: Site, around: MultiPolygon) -> Iterator[DriveLine]:
    """Lines that may be driven in place of an outline with jags, the straightest first; none of any other.

    Parameters
    ----------
    around
        The ground to drive on.
    """
    width_m = site.rig.width_m
    high_m = 0.0 if site.edge_marked else steps_of(around, width_m).high_m
    outside_m, n_corners, n_found = min(high_m / 2, MOST_W * width_m), corners(around), 0
    for tolerance_w in _TRIED_W:
        ground = straightened(around, tolerance_w * width_m, outside_m)
        if ground is None:
            continue
        n_fewer = n_corners - corners(ground)
        if n_fewer < max(_FEWER_CORNERS, _FEWER_CORNERS_FRAC * n_corners):
            return
        away_m = apart_m(around, ground)
        if away_m <= MOST_W * width_m:
            yield DriveLine(ground, away_m, outside_m)
            n_found += 1
        if n_found == _N_LINES:
            return


def drawn(line: DriveLine | None) -> MultiLineString:
    """The line that is driven in place of the edge; empty if it is the edge."""
    if line is None:
        return MultiLineString()
    return MultiLineString(list(shapely.get_rings(shapely.get_parts(line.ground))))


def corners(ground: MultiPolygon) -> int:
    """Bends of its edges that openers do not follow."""
    n_corners = 0
    for ring in shapely.get_rings(shapely.get_parts(ground)):
        step = np.diff(shapely.get_coordinates(ring), axis=0)
        n_corners += int((np.abs(turns_deg(np.roll(step, 1, axis=0), step)) > ALWAYS_FOLLOWED_DEG).sum())
    return n_corners


def left_beside(outline: MultiPolygon, line: DriveLine) -> MultiPolygon:
    """The ground between an outline and the line: nobody comes back for it."""
    return polygons_of(shapely.difference(outline, line.ground))
