"""Rounds of the headland, split into sides where the boundary turns more than the openers can follow.

Round j lies between the offsets (j − 1)·w and j·w inside the boundary and round every obstacle. A side runs out to the
edge of its round; the next side starts where its band leaves the band already sown. On a rectangle the sown length so
equals the length of the mitred ring half way between the offsets.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString, MultiPolygon

from fieldplan.coverage.columns import IntArray
from fieldplan.model.coverage import Array, Loop, Swath
from fieldplan.plane.offsets import MITRE_LIMIT, band_about, inset
from fieldplan.plane.travel import stretch

_FOLLOWED_M = 0.05
"""A driver follows an edge no closer than this; what it leaves or takes is measured by the audit."""
_LEAST_SIDE_M = 0.05
_RUN_OUT_ABOVE_DEG = 60.0
"""At wide corners (turns up to this) a side stops with its outer opener at the corner, and the next side, which starts
there, covers what is left: running out would carry the drill through the fence by w·cot(turn)."""


def headland_loops(ground: MultiPolygon, width_m: float, n_rounds: int, follows_bend_deg: float) -> tuple[Loop, ...]:
    """The loops of each round, outermost round first; a loop is missing where the ground is too narrow for it.

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
    loops = []
    for j in range(1, n_rounds + 1):
        for ring in _rings(inset(ground, (j - 0.5) * width_m)):
            sides = _sides(ring, width_m, follows_bend_deg)
            if sides:
                loops.append(Loop(round=j, obstacle=not shapely.is_ccw(shapely.linearrings(ring)), sides=sides))
    return tuple(loops)


def _rings(middle: MultiPolygon) -> list[Array]:
    """Closed rings with the ground on their left, (n, 2) each, vertices dropped that a driver would not see."""
    thin = shapely.simplify(shapely.orient_polygons(middle, exterior_cw=False), _FOLLOWED_M)
    return [np.asarray(ring.coords)[:, :2] for ring in shapely.get_rings(shapely.get_parts(thin))]


def _sides(ring: Array, width_m: float, follows_bend_deg: float) -> tuple[Swath, ...]:
    """The sides of one ring in driving order."""
    turn_deg = turns_deg(ring)
    corners = np.flatnonzero(np.abs(turn_deg) > follows_bend_deg)
    lines = [LineString(ring)] if len(corners) == 0 else _centre_lines(ring, corners, *_at_corners(turn_deg[corners], width_m))
    grounds = band_about(np.array(lines, dtype=object), width_m)
    return tuple(Swath(line=line, ground=ground) for line, ground in zip(lines, grounds, strict=True))


def _centre_lines(ring: Array, corners: IntArray, ends_m: Array, begins_m: Array) -> list[LineString]:
    """The centre line of each side between two corners, made longer or shorter at both; sides of which nothing is left are not there."""
    n = len(ring) - 1
    span = (np.roll(corners, -1) - corners - 1) % n + 1
    side = np.repeat(np.arange(len(corners)), span + 1)
    first = np.cumsum(span + 1) - span - 1
    last = first + span
    points = ring[(corners[side] + np.arange(len(side)) - first[side]) % n]
    begins, ends = begins_m, np.roll(ends_m, -1)
    into, out = points[first + 1] - points[first], points[last] - points[last - 1]
    into_m, out_m = np.hypot(*into.T), np.hypot(*out.T)
    plain = begins < into_m - _LEAST_SIDE_M
    points[first] += into / into_m[:, None] * np.where(plain, begins, 0.0)[:, None]
    points[last] += out / out_m[:, None] * ends[:, None]
    lines = list(shapely.linestrings(points, indices=side))
    for i in np.flatnonzero(~plain):
        rest = lines[i].length - begins[i]
        lines[i] = stretch(lines[i], begins[i], lines[i].length) if rest > _LEAST_SIDE_M else None
    return [line for line in lines if line is not None]


def _at_corners(turn_deg: Array, width_m: float) -> tuple[Array, Array]:
    """How far past a corner of the centre line the arriving side ends, and the leaving side begins (negative: before it).

    Two bands that meet at a turn θ overlap in a parallelogram. At wide turns (to 60°) both sides stop at the corner of the
    fence, w/2·tan(θ/2) from the corner of the centre line. At sharper ones the arriving side runs on until its whole band
    has reached the fence, w/2·max(tan, cot)(θ/2), and the other begins where its band leaves that one, at
    w/2·min(tan, cot)(θ/2): at 90° the two add up to nothing, as a mitred ring has it.
    """
    half = np.radians(np.abs(turn_deg)) / 2
    tan = np.minimum(np.tan(half), MITRE_LIMIT)
    cot = 1 / np.maximum(tan, 1e-9)
    wide = np.abs(turn_deg) <= _RUN_OUT_ABOVE_DEG
    ends = np.where(wide, tan, np.maximum(tan, cot))
    begins = np.where(wide, -tan, np.minimum(tan, cot))
    return width_m / 2 * ends, width_m / 2 * begins


def turns_deg(ring: Array) -> Array:
    """Turn at each vertex of a closed ring, (n,), left positive, degrees in (−180, 180]."""
    along = np.diff(ring, axis=0)
    angle = np.arctan2(along[:, 1], along[:, 0])
    turn = angle - np.roll(angle, 1)
    return np.asarray(np.degrees(np.arctan2(np.sin(turn), np.cos(turn))), dtype=float)
