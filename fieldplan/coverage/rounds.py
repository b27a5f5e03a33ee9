"""How many headland rounds a field is given where the job leaves it open.

More rounds make room for quick turns; they cost corners, and time where they run instead of longer passes.
Weighed are, for every number of rounds, the turns at the ends of passes by how obliquely they meet the
headland (`level_turns.level_turns_s`), and the corners of all rounds.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
import shapely
from shapely import MultiPolygon

from fieldplan.coverage.level_turns import level_turns_s
from fieldplan.coverage.terms import Rig
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.outlines import Outlines, arcs_s, ends_s
from fieldplan.model.coverage import Array, Lines
from fieldplan.plane.chains import chains_of
from fieldplan.plane.offsets import insets, offset

MAX_ROUNDS = 12
_AT_ONCE = 3
"""Depths are looked at so many at a time, until none of them takes less time than a lesser one."""
_SEEN_M = 2.0
"""Inner ground is looked at on a copy thinned to this."""
_SLANT_DEG = 7.5
"""Ends are told apart in steps of this: how far they are from square to the passes."""
_MAX_SLANT_DEG = 67.5
_N_SLANTS = int(_MAX_SLANT_DEG // _SLANT_DEG) + 1
_CORNER_DEG = 30.0
_N_HEADINGS = 4
_CORNERS_FRAC, _RING_S = 1.6, 80.0
"""What corners take against one arc each, and what a round takes besides: going on to the next one, and jags of the
outline. Fitted on whole routes over practice fields (1 to 6 rounds): the choice takes 0.4 % longer than the best."""


def rounds_about_s(ground: MultiPolygon, rig: Rig, along: Array | None = None) -> Array:
    """About the time of turns and corners with 0, 1, 2, … rounds, (n,): as many as may be best.

    Parameters
    ----------
    ground
        The field, plane meters.
    along
        The heading of the passes as a unit vector; if ``None`` the longest edges are tried.
    """
    deepest = np.array([ground], dtype=object)
    all_ends_s, corners_s, best = np.zeros(0), np.zeros(0), 0
    while best + _AT_ONCE >= len(all_ends_s) and len(all_ends_s) <= MAX_ROUNDS:
        first = max(1, len(all_ends_s))
        # each inset from the one before: deep insets of ragged outlines take long
        deeper = insets(deepest[-1], np.arange(1.0, _AT_ONCE + 1.0) * rig.width_m)
        deepest = deeper if len(all_ends_s) else np.concatenate([deepest, deeper])
        outlines, turns_s = _outlines(deepest), _turns_s(rig)[len(all_ends_s) : first + _AT_ONCE]
        all_ends_s = np.concatenate([all_ends_s, _ends_s(outlines, turns_s, rig.width_m, along)])
        corners_s = np.concatenate([corners_s, _corners_s(outlines, len(deepest), rig)])
        about_s = all_ends_s + corners_s.cumsum() - corners_s
        best = int(np.argmin(about_s))
    return np.asarray(about_s)


def about_holes_s(holes: Lines, n_most: int, rig: Rig, along: Array | None = None) -> Array:
    """About the time that each hole costs with 1, 2, … rounds around it, (n, n_most): the turns at their corners,
    and those of the passes that end at them.

    Parameters
    ----------
    holes
        (n,) polygons.
    """
    depths = np.arange(n_most + 1)
    grown = offset(np.repeat(holes, len(depths)), np.tile(depths * rig.width_m, len(holes)))
    outlines = _outlines(grown)
    turns_s = np.tile(_turns_s(rig)[depths], (len(holes), 1))
    each_s = _ends_s(outlines, turns_s, rig.width_m, along).reshape(len(holes), -1)
    corners_s = _corners_s(outlines, len(grown), rig).reshape(len(holes), -1)
    return np.asarray((each_s + corners_s.cumsum(axis=1) - corners_s)[:, 1:])


def corners_about_s(ground: MultiPolygon, rig: Rig) -> float:
    """About the time that the corners of one round along all edges of a ground take, and going on to the next one."""
    return float(_corners_s(_outlines(np.array([ground], dtype=object)), 1, rig)[0])


@lru_cache(maxsize=64)
def _turns_s(rig: Rig) -> Array:
    """What the turn takes that takes least time, (rounds, slants): ends that lie so obliquely on so many."""
    slants_deg = [0.0, *((k + 0.5) * _SLANT_DEG for k in range(1, _N_SLANTS))]
    depths = [replace(rig, headland_m=n * rig.width_m) for n in range(MAX_ROUNDS + 1)]
    return np.array([[min(level_turns_s(deep, slant)) for slant in slants_deg] for deep in depths])


def _outlines(grounds: Lines) -> Outlines:
    """The edges of (n,) grounds thinned to what matters here."""
    parts, ground_of = shapely.get_parts(shapely.simplify(grounds, _SEEN_M), return_index=True)
    rings, part_of = shapely.get_rings(parts, return_index=True)
    some = ~shapely.is_empty(rings)
    points, first = chains_of(rings[some])
    return Outlines(points, first, ground_of[part_of[some]].astype(np.int64))


def _ends_s(outlines: Outlines, turns_s: Array, width_m: float, along: Array | None) -> Array:
    """Time of the turns between passes over each ground, (n,), with the heading asked for or the best of some.

    ``turns_s`` (n, slants) are those on the headland about each.
    """
    heading = np.zeros((0, 2)) if along is None else numbers(along[None])
    return ends_s(outlines, numbers(turns_s), width_m, heading, _N_HEADINGS, _SLANT_DEG)


def _corners_s(outlines: Outlines, n: int, rig: Rig) -> Array:
    """Time of the turns at the corners of a round about each of n grounds, (n,)."""
    above = math.radians(_CORNER_DEG)
    corners_s = arcs_s(outlines, n, above, rig.radius_m, rig.turn_speed_m_per_s, rig.turn_extra_s)
    return np.asarray(_CORNERS_FRAC * corners_s + _RING_S * np.bincount(outlines.ground_of, minlength=n))
