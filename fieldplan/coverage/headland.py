"""Rounds of the headland, split into sides where the boundary turns more than the openers can follow.

Round j lies between the offsets (j − 1)·w and j·w inside the boundary and round every obstacle. A side runs out to the
edge of its round; the next side starts where its band leaves the band already sown. On a rectangle the sown length so
equals the length of the mitred ring half way between the offsets.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString, MultiPolygon

from fieldplan.model.coverage import Array, Loop, Swath
from fieldplan.plane.offsets import MITRE_LIMIT, band_about, inset
from fieldplan.plane.travel import stretch

_SLIVER_M = 0.01
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
                loops.append(Loop(round=j, sides=sides))
    return tuple(loops)


def _rings(middle: MultiPolygon) -> list[Array]:
    """Closed rings with the ground on their left, (n, 2) each, nearly collinear vertices dropped."""
    thin = shapely.simplify(shapely.orient_polygons(middle, exterior_cw=False), _SLIVER_M)
    return [np.asarray(ring.coords)[:, :2] for ring in shapely.get_rings(shapely.get_parts(thin))]


def _sides(ring: Array, width_m: float, follows_bend_deg: float) -> tuple[Swath, ...]:
    """The sides of one ring in driving order."""
    turn_deg = _turns_deg(ring)
    corners = np.flatnonzero(np.abs(turn_deg) > follows_bend_deg)
    if len(corners) == 0:
        lines = [LineString(ring)]
    else:
        n = len(ring) - 1
        ends_m, begins_m = _at_corners(turn_deg[corners], width_m)
        lines = []
        for i, here in enumerate(corners):
            there = (i + 1) % len(corners)
            span = (corners[there] - here) % n or n
            line = _reaching(ring[(here + np.arange(span + 1)) % n], begins_m[i], ends_m[there])
            if line is not None:
                lines.append(line)
    grounds = band_about(np.array(lines, dtype=object), width_m)
    return tuple(Swath(line=line, ground=ground) for line, ground in zip(lines, grounds, strict=True))


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


def _reaching(core: Array, begins_m: float, ends_m: float) -> LineString | None:
    """A side's centre line from where it begins to where it ends; ``None`` if nothing is left of it."""
    before, after = max(0.0, -begins_m), max(0.0, ends_m)
    line = LineString(np.vstack([_beyond(core[1], core[0], before), core, _beyond(core[-2], core[-1], after)]))
    if begins_m <= 0:
        return line
    return stretch(line, begins_m, line.length) if line.length - begins_m > _LEAST_SIDE_M else None


def _turns_deg(ring: Array) -> Array:
    """Turn at each vertex of a closed ring, (n,), left positive, degrees in (−180, 180]."""
    along = np.diff(ring, axis=0)
    angle = np.arctan2(along[:, 1], along[:, 0])
    turn = angle - np.roll(angle, 1)
    return np.asarray(np.degrees(np.arctan2(np.sin(turn), np.cos(turn))), dtype=float)


def _beyond(inner: Array, end: Array, reach_m: float) -> Array:
    """The point that far past ``end`` as seen from ``inner``."""
    step = end - inner
    return np.asarray(end + step / np.hypot(*step) * max(reach_m, 1e-6))
