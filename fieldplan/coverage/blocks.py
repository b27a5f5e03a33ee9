"""Ground cut into blocks, each with its own heading, where that saves time.

A cut starts at a corner that points into the ground and follows the line of one of the edges that meet
there, across all ground on that line; so one cut can make several pieces. Passes along the cut need no
headland there, and passes that end on it turn on the ground of the next block. Cuts are ranked by the time
to drive the passes; the caller compares the whole routes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Point, Polygon

from fieldplan.coverage.directions import edge_directions
from fieldplan.coverage.heading import pass_costs_s
from fieldplan.coverage.headland import turns_deg
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.plane.strips import edges_of

_SEEN_M = 0.5
"""Corners are looked for on a copy thinned to this."""
_REFLEX_DEG = 20.0
"""A corner points into the ground if the boundary turns away from it by more than this."""
_MAX_CUTS = 24
"""Cuts tried on one piece of ground, those at the sharpest corners first."""
_MIN_PIECE_W = 6.0
"""A piece smaller than a square this many drill widths wide is too small for a block."""
_HAIR_M = 1e-3
_BETWEEN_BLOCKS_M = 60.0
"""Assumed distance of moving to another block, driven at turning speed."""


def cut_up(parts: Sequence[Polygon], rig: Rig, maximum: int) -> list[list[Polygon]]:
    """The pieces of the ground after one cut, after two, and so on, as long as a cut saves driving time.

    Parameters
    ----------
    parts
        Separate parts of the ground in plane meters.
    maximum
        Largest number of pieces, unless there are more parts anyway.

    Returns
    -------
    list of list of Polygon
        All pieces at each stage; the cut that saves most comes first.
    """
    pieces = [(part, _cost_s(part, rig)) for part in parts]
    cuts = [_worth_cutting(*piece, rig) for piece in pieces]
    stages: list[list[Polygon]] = []
    while True:
        room = maximum - len(pieces)
        possible = [
            (i, cut)
            for i, cuts_of_piece in enumerate(cuts)
            for cut in cuts_of_piece
            if len(cut.pieces) - 1 <= room
        ]
        if not possible:
            return stages
        i, best = max(possible, key=lambda found: found[1].rank)
        del pieces[i], cuts[i]
        pieces += best.pieces
        cuts += [_worth_cutting(*piece, rig) for piece in best.pieces]
        stages.append([piece for piece, _ in pieces])


@dataclass(frozen=True, slots=True)
class _Cut:
    """The time that a cut saves, and the pieces it makes, each with the time to drive its passes."""

    saved_s: float
    pieces: list[tuple[Polygon, float]]

    @property
    def rank(self) -> tuple[float, float]:
        """By the time saved and, where that is the same but for rounding, by the ground of the smallest piece."""
        return round(self.saved_s, 1), min(piece.area for piece, _ in self.pieces)


def _cost_s(ground: Polygon, rig: Rig) -> float:
    """Estimated time to drive the passes: close enough to rank cuts by."""
    edges = edges_of(ground)
    return float(pass_costs_s(edges, edge_directions(edges), rig).min())


def _worth_cutting(ground: Polygon, whole_s: float, rig: Rig) -> list[_Cut]:
    """Cuts that save driving time compared with the whole, which takes ``whole_s``."""
    min_m2 = (_MIN_PIECE_W * rig.width_m) ** 2
    if ground.area < 2 * min_m2:
        return []
    between_s = _BETWEEN_BLOCKS_M / rig.turn_speed_m_per_s + rig.turn_extra_s
    found = []
    for line in _cuts(ground):
        pieces = _pieces(ground, line)
        if len(pieces) < 2 or min(piece.area for piece in pieces) < min_m2:
            continue
        costs = [_cost_s(piece, rig) for piece in pieces]
        saved_s = whole_s - sum(costs) - between_s * (len(pieces) - 1)
        if saved_s > 0:
            found.append(_Cut(saved_s, list(zip(pieces, costs, strict=True))))
    return found


def _cuts(ground: Polygon) -> list[LineString]:
    """Lines that go on from edges at corners that point into the ground, the sharpest corners first.

    They begin at the corner: along the edge itself, rounding would tell whether they lie inside.
    """
    seen = shapely.orient_polygons(shapely.simplify(ground, _SEEN_M), exterior_cw=False)
    west, south, east, north = ground.bounds
    far_m = float(np.hypot(east - west, north - south))  # reaches across the ground from anywhere on it
    found: list[tuple[float, Array, Array]] = []
    for ring in shapely.get_rings(shapely.get_parts(seen)):
        points = shapely.get_coordinates(ring)
        step = np.diff(points, axis=0)
        turn_deg = turns_deg(np.roll(step, 1, axis=0), step)
        n = len(step)
        for i in np.flatnonzero(turn_deg < -_REFLEX_DEG):
            for neighbor in (points[(i - 1) % n], points[(i + 1) % n]):
                along = points[i] - neighbor
                found.append((float(turn_deg[i]), points[i], along / np.hypot(*along)))
    found.sort(key=lambda cut: round(cut[0], 3))
    return [LineString([corner, corner + along * far_m]) for _, corner, along in found[:_MAX_CUTS]]


def _pieces(ground: Polygon, line: LineString) -> list[Polygon]:
    """The pieces of the ground when cut from the beginning of a line to where it first leaves the ground."""
    corner, far = (np.array(point) for point in line.coords)
    own = [
        part
        for part in shapely.get_parts(shapely.intersection(line, ground))
        if part.distance(Point(corner)) < _HAIR_M
    ]
    inside_m = max((part.length for part in own), default=0.0)
    # a hair longer: where it leaves the ground is known to rounding only
    cut = LineString([corner, corner + (far - corner) / line.length * (inside_m + _HAIR_M)])
    lines = shapely.union_all([ground.boundary, cut])
    cells = shapely.get_parts(shapely.polygonize(list(shapely.get_parts(lines))))
    return [
        cell for cell in cells if isinstance(cell, Polygon) and ground.contains(cell.representative_point())
    ]
