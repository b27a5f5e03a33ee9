"""Ground cut into blocks, each with a heading of its own, where that saves time.

A cut runs from a corner that points into the ground, along one of the edges that meet there, to the next edge. Passes that
run along the cut need no headland there, and those that end on it turn on the neighbour's ground. Which cuts are worth it is
judged by the time to drive the passes; whether the whole drive with them is quicker is for the caller to see.
"""

from __future__ import annotations

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
_MOST_CORNERS = 24
_LEAST_PIECE_W = 6.0
"""A piece narrower or shorter than this many drill widths squared is no block."""
_BETWEEN_BLOCKS_M = 60.0
"""What moving to another block is taken to cost, driven at turning speed."""


def cut_up(ground: Polygon, rig: Rig, lift_over_m: float, most: int) -> list[Polygon]:
    """The ground in at most ``most`` pieces: the best cut first, as long as a cut saves driving time."""
    pieces = [(ground, _cost_s(ground, rig, lift_over_m))]
    cuts = [_best_cut(ground, pieces[0][1], rig, lift_over_m)]
    while len(pieces) < most:
        savings = [cut[0] if cut else 0.0 for cut in cuts]
        index = int(np.argmax(savings))
        best = cuts[index]
        if best is None:
            break
        del pieces[index], cuts[index]
        for piece, cost in best[1]:
            pieces.append((piece, cost))
            cuts.append(_best_cut(piece, cost, rig, lift_over_m))
    return [piece for piece, _ in pieces]


def _cost_s(ground: Polygon, rig: Rig, lift_over_m: float) -> float:
    """About the time to drive the passes: near enough to rank cuts by."""
    edges = edges_of(ground)
    return float(pass_costs_s(edges, edge_directions(edges), rig, lift_over_m).min())


def _best_cut(ground: Polygon, whole_s: float, rig: Rig, lift_over_m: float) -> tuple[float, list[tuple[Polygon, float]]] | None:
    """The seconds that the best cut saves and the pieces it makes with their cost, or ``None`` if no cut saves any."""
    least_m2 = (_LEAST_PIECE_W * rig.width_m) ** 2
    if ground.area < 2 * least_m2:
        return None
    best = None
    between_s = _BETWEEN_BLOCKS_M / rig.turn_speed_m_per_s + rig.turn_extra_s
    for cut in _cuts(ground):
        pieces = _pieces(ground, cut)
        if len(pieces) < 2 or min(piece.area for piece in pieces) < least_m2:
            continue
        costs = [_cost_s(piece, rig, lift_over_m) for piece in pieces]
        saved = whole_s - sum(costs) - between_s * (len(pieces) - 1)
        if saved > 0 and (best is None or saved > best[0]):
            best = (saved, list(zip(pieces, costs, strict=True)))
    return best


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
    return [LineString([at - along * far, at + along * far]) for _, at, along in found[:_MOST_CORNERS]]


def _pieces(ground: Polygon, line: LineString) -> list[Polygon]:
    """The ground cut along the parts of a line that run through it."""
    inside = shapely.intersection(line, ground)
    lines = shapely.union_all([ground.boundary, inside])
    cells = shapely.get_parts(shapely.polygonize(list(shapely.get_parts(lines))))
    return [cell for cell in cells if isinstance(cell, Polygon) and ground.contains(cell.representative_point())]
