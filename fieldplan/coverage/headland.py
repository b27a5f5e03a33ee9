"""Rounds of the headland, split into sides where the boundary turns more than the openers can follow.

Round j lies between the offsets (j − 1)·w and j·w inside the boundary and round every obstacle. A side runs out to the
edge of its round; the next side starts where its band leaves the band already sown. On a rectangle the sown length so
equals the length of the mitred ring half way between the offsets.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import LineString, MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.model.coverage import Array, Swath
from fieldplan.plane.offsets import MITRE_LIMIT, band_about, inset
from fieldplan.plane.travel import stretch

_SLIVER_M = 0.01
_LEAST_SIDE_M = 0.05
_RUN_OUT_ABOVE_DEG = 60.0
"""At wide corners (turns up to this) a side stops with its outer opener at the corner, and the next side, which starts
there, covers what is left: running out would carry the drill through the fence by w·cot(turn)."""


def headland_rounds(
    ground: MultiPolygon, width_m: float, n_rounds: int, follows_bend_deg: float
) -> tuple[tuple[Swath, ...], ...]:
    """The sown sides of each round, outermost round first; a round is missing where the ground is too narrow for it.

    Parameters
    ----------
    ground
        Plantable ground in plane metres; its holes are gone round.
    width_m
        Effective width of the drill.
    n_rounds
        Rounds wanted.
    follows_bend_deg
        Largest turn at a vertex that the openers follow in the ground.
    """
    rounds = []
    outer = inset(ground, 0)
    for j in range(1, n_rounds + 1):
        inner = inset(ground, j * width_m)
        middle = inset(ground, (j - 0.5) * width_m)
        band = outer.difference(inner)
        shapely.prepare(band)
        sides = [side for ring in _rings(middle) for side in _round(ring, band, width_m, follows_bend_deg)]
        if sides:
            rounds.append(tuple(sides))
        outer = inner
    return tuple(rounds)


def _rings(middle: MultiPolygon) -> list[Array]:
    """Closed rings with the ground on their left, (n, 2) each, nearly collinear vertices dropped."""
    thin = shapely.simplify(shapely.orient_polygons(middle, exterior_cw=False), _SLIVER_M)
    return [np.asarray(ring.coords)[:, :2] for ring in shapely.get_rings(shapely.get_parts(thin))]


def _round(ring: Array, band: BaseGeometry, width_m: float, follows_bend_deg: float) -> list[Swath]:
    """The sides of one ring in driving order."""
    turn_deg = _turns_deg(ring)
    corners = np.flatnonzero(np.abs(turn_deg) > follows_bend_deg)
    if len(corners) == 0:
        line = LineString(ring)
        return [Swath(line=line, ground=band_about(line, width_m))]
    sides: list[Swath] = []
    n = len(ring) - 1
    for here, there in zip(corners, np.roll(corners, -1), strict=True):
        span = (there - here) % n or n
        core = ring[(here + np.arange(span + 1)) % n]
        before = _reach(turn_deg[here], width_m, starts=True)
        after = _reach(turn_deg[there], width_m, starts=False)
        side = _side(core, before, after, band, sides, width_m)
        if side is not None:
            sides.append(side)
    return sides


def _turns_deg(ring: Array) -> Array:
    """Turn at each vertex of a closed ring, (n,), left positive, degrees in (−180, 180]."""
    along = np.diff(ring, axis=0)
    angle = np.arctan2(along[:, 1], along[:, 0])
    turn = angle - np.roll(angle, 1)
    return np.asarray(np.degrees(np.arctan2(np.sin(turn), np.cos(turn))), dtype=float)


def _reach(turn_deg: float, width_m: float, *, starts: bool) -> float:
    """How far past a corner of the centre line a side may have ground to sow."""
    half = math.radians(abs(turn_deg)) / 2
    to_corner = min(width_m / 2 * math.tan(half), MITRE_LIMIT * width_m)
    if not starts and 0 < turn_deg <= _RUN_OUT_ABOVE_DEG:
        return to_corner
    return to_corner + width_m


def _side(core: Array, before_m: float, after_m: float, band: BaseGeometry, sown: list[Swath], width_m: float) -> Swath | None:
    """One side, from where its band leaves what is sown to where it has reached the edge of its round."""
    line = LineString(np.vstack([_beyond(core[1], core[0], before_m), core, _beyond(core[-2], core[-1], after_m)]))
    ground: BaseGeometry = band_about(line, width_m).intersection(band)
    core_m = (before_m, line.length - after_m)
    reach = _reach_along(line, ground, core_m)
    near = [one.ground for one in sown if one.ground.intersects(ground)]
    if reach and near:
        # A centimetre more than what is sown, so that no sliver along its edge counts as ground to sow.
        grown = shapely.union_all(near).buffer(_SLIVER_M, join_style="mitre")
        left = _reach_along(line, ground.difference(grown), core_m)
        reach = left and (max(reach[0], left[0] - _SLIVER_M), min(reach[1], left[1] + _SLIVER_M))
    if not reach or reach[1] - reach[0] < _LEAST_SIDE_M:
        return None
    start, end = reach
    driven = stretch(line, start, end)
    return Swath(line=driven, ground=band_about(driven, width_m))


def _beyond(inner: Array, end: Array, reach_m: float) -> Array:
    """The point that far past ``end`` as seen from ``inner``."""
    step = end - inner
    return np.asarray(end + step / np.hypot(*step) * max(reach_m, 1e-6))


def _reach_along(line: LineString, ground: BaseGeometry, core_m: tuple[float, float]) -> tuple[float, float] | None:
    """First and last station along a line that ground beside its core has; patches wholly past the core are left out."""
    reaches = []
    for patch in shapely.get_parts(ground):
        if patch.area > _SLIVER_M:
            stations = shapely.line_locate_point(line, shapely.points(shapely.get_coordinates(patch)))
            if stations.max() > core_m[0] and stations.min() < core_m[1]:
                reaches.append((float(stations.min()), float(stations.max())))
    return (min(a for a, _ in reaches), max(b for _, b in reaches)) if reaches else None
