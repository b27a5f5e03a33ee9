"""Passes along the middle of ground that is narrower than the drill: they bend with it."""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.headland import SAME_DEG, bands_about
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.terms import Rig
from fieldplan.kernels.segments import Sweep, tight_bends
from fieldplan.model.coverage import Array, IntArray, Lines, Swaths
from fieldplan.plane.offsets import MITRE_LIMIT, inset
from fieldplan.plane.travel import ComplexArray, stretches

_STEP_W, _MIN_PLACES = 1 / 4, 16
"""Places along each side are so far apart, in drill widths, but there are at least so many."""
_END_W = 0.75
"""So near to the ends of the ground, in drill widths, its middle is taken to go straight on."""
_SMOOTHED_W = (1 / 4, 1 / 8, 1 / 32)
"""The middle is thinned to the first of these, in drill widths, with which passes cover the ground."""
_COVERED_FRAC = 0.98
_MIN_PASS_M = 1.0
_SAME_M = 1e-3


def is_narrow(ground: Polygon, rig: Rig) -> bool:
    """Whether one pass along the middle covers the ground: it is nowhere wider than the drill, and no ring."""
    if ground.interiors or _is_wide(ground, MITRE_LIMIT * rig.width_m / 2):
        return False
    return inset(ground, rig.width_m / 2).is_empty


def _is_wide(ground: Polygon, depth_m: float) -> bool:
    """Whether ground without holes is seen to have a place so far from its edge: lines beside the edge only get shorter
    from it inward, since it bends round the ground once in all.
    """
    return bool(ground.area > depth_m * ground.length)


def passes_along(ground: Polygon, rig: Rig, room: InsideFence) -> Swaths:
    """Passes along the middle of narrow ground, one after the other, from one end to the other.

    A pass goes on round bends that the openers follow in the ground, and begins and ends where the drill may stand.

    Parameters
    ----------
    ground
        Ground for which `is_narrow` is true, plane meters.
    """
    middle = _middle(ground, rig.width_m)
    found = Swaths(lines=np.zeros(0, dtype=object), grounds=np.zeros(0, dtype=object))
    for smoothed_w in _SMOOTHED_W:
        # where the outline touches itself, places of the middle fall on each other: steps without a direction
        thinned = shapely.remove_repeated_points(middle.simplify(smoothed_w * rig.width_m), _SAME_M)
        if thinned.length <= _SAME_M:
            continue
        whole = _lengthened(thinned, ground, rig.width_m)
        lines, _ = reached(between_bends(whole, rig), room)
        found = Swaths(lines=lines, grounds=bands_about(lines, rig.width_m))
        if (
            shapely.intersection(shapely.union_all(found.grounds), ground).area
            > _COVERED_FRAC * ground.area
        ):
            break
    return found


def fold_m(ground: Polygon, width_m: float) -> float:
    """How far along the outline the middle of one end of long ground lies; that of the other is half way round.

    The ring is folded in two so that the halves lie as near to each other as they can: with places zᵢ at equal
    distances along it, the sum of |zᵢ − zⱼ|² over all i + j = m is least where that of Re(zᵢ·z̄ⱼ) is greatest.
    """
    z, place_m = _places(ground, width_m)
    return _fold(z) * place_m


def between_bends(line: LineString, rig: Rig) -> Lines:
    """The parts of a line between bends that the openers cannot follow, (n,)."""
    points = shapely.get_coordinates(line)
    bends = tight_bends(points, Sweep(math.radians(rig.follows_bend_deg + SAME_DEG), rig.sowing_radius_m))
    if not len(bends):
        return np.array([line], dtype=object)
    cuts = [0, *bends.tolist(), len(points) - 1]
    parts = [points[start : end + 1] for start, end in itertools.pairwise(cuts)]
    return np.array([LineString(part) for part in parts], dtype=object)


def _places(ground: Polygon, width_m: float) -> tuple[ComplexArray, float]:
    """An even number of places at equal distances along the outline, and that distance."""
    n = 2 * max(_MIN_PLACES, int(ground.length / (_STEP_W * width_m) / 2))
    ring = shapely.orient_polygons(ground, exterior_cw=False).exterior
    points = shapely.get_coordinates(ring).view(np.complex128)[:, 0]
    station_m = np.append(0.0, np.abs(np.diff(points)).cumsum())
    place_m = float(station_m[-1]) / n
    return np.interp(np.arange(n) * place_m, station_m, points), place_m


def _fold(z: ComplexArray) -> int:
    """The place at which `fold_m` folds the ring."""
    center, spectrum = z.mean(), np.fft.fft(z - z.mean())
    folded = np.fft.ifft(spectrum * np.fft.fft((z - center).conj())).real
    # an even sum: so the fold lies on a place, as does the other end
    return int(folded[::2].argmax())


def _middle(ground: Polygon, width_m: float) -> LineString:
    """The line half way between the two long sides of narrow ground."""
    z, _ = _places(ground, width_m)
    n, fold = len(z), _fold(z)
    nth = np.arange(n // 2 + 1)
    middle = (z[(fold + nth) % n] + z[(fold - nth) % n]) / 2
    trimmed = min(int(_END_W / _STEP_W), n // 6)
    middle = middle[trimmed:-trimmed]
    return LineString(np.stack([middle.real, middle.imag], axis=1))


def _lengthened(line: BaseGeometry, ground: Polygon, width_m: float) -> LineString:
    """The line, lengthened to the ends of the ground."""
    points = shapely.get_coordinates(line)
    step = np.diff(points, axis=0)
    unit = step / np.hypot(*step.T)[:, None]
    points[0] -= unit[0] * _beyond_m(points[0], -unit[0], ground, width_m)
    points[-1] += unit[-1] * _beyond_m(points[-1], unit[-1], ground, width_m)
    return LineString(points)


def _beyond_m(end: Array, along: Array, ground: Polygon, width_m: float) -> float:
    """How far ground near the end of a line reaches beyond it."""
    near = shapely.get_coordinates(shapely.intersection(ground, shapely.Point(end).buffer(width_m)))
    return float(max(0.0, ((near - end) @ along).max(initial=0.0)))


def reached(lines: Lines, room: InsideFence) -> tuple[Lines, IntArray]:
    """The stretches of lines along which the drill may be, (k,), and the line of each; those that are too short to sow
    are left out.
    """
    of, since_m, until_m = room.stretches_along(lines)
    kept = until_m - since_m > _MIN_PASS_M
    of, since_m, until_m = of[kept], since_m[kept], until_m[kept]
    if len(of) == len(lines) and (since_m == 0.0).all() and (until_m == shapely.length(lines)).all():
        return lines, of
    return stretches(lines[of], since_m, until_m), of
