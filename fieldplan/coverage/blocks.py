"""Ground cut into blocks, each with a heading of its own, where that saves time.

A cut runs through a corner that points into the ground, along one of the edges that meet there, and through
all ground on that line, so that one cut can make several pieces. Passes that run along the cut need no
headland there, and those that end on it turn on the neighbour's ground. Which cuts are worth it is judged
by the time to drive the passes; whether the whole drive with them is quicker is for the caller to see.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Polygon

from fieldplan.coverage.directions import edge_directions
from fieldplan.coverage.heading import pass_costs_s
from fieldplan.coverage.headland import turns_deg
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.plane.strips import edges_of

_SEEN_M = 0.5
"""Corners are looked for on a copy thinned to this."""
_REFLEX_DEG = 20.0
_MAX_CORNERS = 24
_MIN_PIECE_W = 6.0
"""A piece narrower or shorter than this many drill widths squared is no block."""
_BETWEEN_BLOCKS_M = 60.0
"""What moving to another block is taken to cost, driven at turning speed."""


def cut_up(parts: Sequence[Polygon], rig: Rig, maximum: int) -> list[list[Polygon]]:
    """The parts of the ground after one cut, after two, and so on: the best cut first, as long as one saves
    driving time.

    There are never more than ``maximum`` pieces, but for parts that lie apart anyway.
    """
    pieces = [(part, _cost_s(part, rig)) for part in parts]
    cuts = [_worth_cutting(*piece, rig) for piece in pieces]
    stages: list[list[Polygon]] = []
    while True:
        room = maximum - len(pieces)
        open_cuts = [
            (cut.saved_s, -i, cut)
            for i, own in enumerate(cuts)
            for cut in own
            if len(cut.pieces) - 1 <= room
        ]
        if not open_cuts:
            return stages
        _, negative, best = max(open_cuts, key=lambda open_cut: open_cut[:2])
        del pieces[-negative], cuts[-negative]
        pieces += best.pieces
        cuts += [_worth_cutting(*piece, rig) for piece in best.pieces]
        stages.append([piece for piece, _ in pieces])


@dataclass(frozen=True, slots=True)
class _Cut:
    """The seconds that a cut saves and the pieces it makes, with their cost."""

    saved_s: float
    pieces: list[tuple[Polygon, float]]


def _cost_s(ground: Polygon, rig: Rig) -> float:
    """About the time to drive the passes: near enough to rank cuts by."""
    edges = edges_of(ground)
    return float(pass_costs_s(edges, edge_directions(edges), rig).min())


def _worth_cutting(ground: Polygon, whole_s: float, rig: Rig) -> list[_Cut]:
    """Cuts that save driving time against the whole."""
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
    """Lines along the edges at corners that point into the ground, the sharpest corners first."""
    seen = shapely.orient_polygons(shapely.simplify(ground, _SEEN_M), exterior_cw=False)
    west, south, east, north = ground.bounds
    far = float(np.hypot(east - west, north - south))
    found: list[tuple[float, Array, Array]] = []
    for ring in shapely.get_rings(shapely.get_parts(seen)):
        points = shapely.get_coordinates(ring)
        step = np.diff(points, axis=0)
        turn = turns_deg(np.roll(step, 1, axis=0), step)
        n = len(step)
        for i in np.flatnonzero(turn < -_REFLEX_DEG):
            for other in (points[(i - 1) % n], points[(i + 1) % n]):
                along = points[i] - other
                found.append((float(turn[i]), points[i], along / np.hypot(*along)))
    found.sort(key=lambda one: one[0])
    return [LineString([at - along * far, at + along * far]) for _, at, along in found[:_MAX_CORNERS]]


def _pieces(ground: Polygon, line: LineString) -> list[Polygon]:
    """The ground cut along the parts of a line that run through it."""
    inside = shapely.intersection(line, ground)
    lines = shapely.union_all([ground.boundary, inside])
    cells = shapely.get_parts(shapely.polygonize(list(shapely.get_parts(lines))))
    return [
        cell for cell in cells if isinstance(cell, Polygon) and ground.contains(cell.representative_point())
    ]
