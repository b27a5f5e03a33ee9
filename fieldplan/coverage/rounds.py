"""How many headland rounds a field is given where the job leaves it open.

More rounds make room for quick turns; they cost corners, and time where they run instead of longer passes.
Weighed are, for every number of rounds, the turns at the ends of passes by how obliquely they meet the
headland (`level_turns.level_turns_s`), and the corners of all rounds.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
import shapely
from shapely import MultiPolygon

from fieldplan.coverage.level_turns import level_turns_s
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, IntArray, Lines
from fieldplan.plane.offsets import insets, offset
from fieldplan.plane.ragged import ends, firsts, lasts

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
    outlines = _Outlines.of(deepest)
    ends_s, corners_s = outlines.ends_s(_turns_s(rig)[:1], rig.width_m, along), outlines.corners_s(rig)
    best = 0
    while best + _AT_ONCE >= len(ends_s) and len(ends_s) <= MAX_ROUNDS:
        depths = np.arange(len(ends_s), len(ends_s) + _AT_ONCE)
        # each inset from the one before: deep insets of ragged outlines take long
        deepest = insets(deepest[-1], (depths - depths[0] + 1.0) * rig.width_m)
        outlines = _Outlines.of(deepest)
        ends_s = np.concatenate([ends_s, outlines.ends_s(_turns_s(rig)[depths], rig.width_m, along)])
        corners_s = np.concatenate([corners_s, outlines.corners_s(rig)])
        about_s = ends_s + corners_s.cumsum() - corners_s
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
    outlines = _Outlines.of(grown)
    turns_s = np.tile(_turns_s(rig)[depths], (len(holes), 1))
    ends_s = outlines.ends_s(turns_s, rig.width_m, along).reshape(len(holes), -1)
    corners_s = outlines.corners_s(rig).reshape(len(holes), -1)
    return np.asarray((ends_s + corners_s.cumsum(axis=1) - corners_s)[:, 1:])


@lru_cache(maxsize=64)
def _turns_s(rig: Rig) -> Array:
    """What the turn takes that takes least time, (rounds, slants): ends that lie so obliquely on so many."""
    slants_deg = [0.0, *((k + 0.5) * _SLANT_DEG for k in range(1, _N_SLANTS))]
    depths = [replace(rig, headland_m=n * rig.width_m) for n in range(MAX_ROUNDS + 1)]
    return np.array([[min(level_turns_s(deep, slant)) for slant in slants_deg] for deep in depths])


@dataclass(frozen=True)
class _Outlines:
    """The edges of n grounds: ``step`` (k, 2) ring after ring, the ring of each, (k,), and the ground of each
    ring, (r,).
    """

    n: int
    step: Array
    ring: IntArray
    ground_of: IntArray

    @classmethod
    def of(cls, grounds: Lines) -> _Outlines:
        """The edges of grounds thinned to what matters here."""
        parts, ground_of = shapely.get_parts(shapely.simplify(grounds, _SEEN_M), return_index=True)
        rings, part_of = shapely.get_rings(parts, return_index=True)
        some = ~shapely.is_empty(rings)
        points, ring = shapely.get_coordinates(rings[some], return_index=True)
        edge = ~ends(ring)[:-1]
        return cls(len(grounds), np.diff(points, axis=0)[edge], ring[:-1][edge], ground_of[part_of[some]])

    @cached_property
    def ground(self) -> IntArray:
        """The ground of each edge, (k,)."""
        return np.asarray(self.ground_of[self.ring])

    def ends_s(self, turns_s: Array, width_m: float, along: Array | None) -> Array:
        """Time of the turns between passes over each ground, (n,), with the best of some headings.

        ``turns_s`` (n, slants) are those on the headland about each.
        """
        if len(self.step) == 0:
            return np.zeros(self.n)
        headings = self._longest() if along is None else np.broadcast_to(along, (self.n, 1, 2))
        heading, step = headings[self.ground], self.step[:, None]
        across_m = np.abs(heading[..., 0] * step[..., 1] - heading[..., 1] * step[..., 0])
        length_m = np.maximum(np.hypot(*self.step.T), 1e-9)[:, None]
        slant_deg = np.degrees(np.arccos(np.minimum(across_m / length_m, 1.0)))
        slant = (np.minimum(slant_deg, _MAX_SLANT_DEG) // _SLANT_DEG).astype(int)
        spent_s = across_m / width_m / 2 * turns_s[self.ground[:, None], slant]
        return np.asarray(self._sums(spent_s).min(axis=1))

    def _longest(self) -> Array:
        """Unit vectors along the longest edges of each ground, (n, headings, 2)."""
        length_m = np.hypot(*self.step.T)
        order = np.lexsort((length_m, self.ground))
        count = np.bincount(self.ground, minlength=self.n)
        nth = np.maximum(lasts(count)[:, None] - np.arange(_N_HEADINGS), firsts(count)[:, None])
        chosen = order[np.minimum(nth, len(order) - 1)]
        return np.asarray(self.step[chosen] / np.maximum(length_m[chosen], 1e-9)[..., None])

    def corners_s(self, rig: Rig) -> Array:
        """Time of the turns at the corners of a round about each ground, (n,)."""
        count = np.bincount(self.ring, minlength=len(self.ground_of))
        following = np.arange(1, len(self.ring) + 1)
        following[lasts(count)] = firsts(count)
        (x, y), (next_x, next_y) = self.step.T, self.step[following].T
        turn = np.abs(np.arctan2(x * next_y - y * next_x, x * next_x + y * next_y))
        arc_s = rig.radius_m * turn / rig.turn_speed_m_per_s + rig.turn_extra_s
        arcs_s = self._sums(np.where(turn > np.radians(_CORNER_DEG), arc_s, 0.0)[:, None])[:, 0]
        return np.asarray(_CORNERS_FRAC * arcs_s + _RING_S * np.bincount(self.ground_of, minlength=self.n))

    def _sums(self, values: Array) -> Array:
        """Sums over the edges of each ground, (n, c) of values (k, c)."""
        columns = [np.bincount(self.ground, column, minlength=self.n) for column in values.T]
        return np.asarray(columns, dtype=np.float64).T
