"""The gate where none is given: the corner from which the way in and out and the trips to the seed are shortest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon

from fieldplan.coverage.layout import Layout
from fieldplan.coverage.poses import poses
from fieldplan.coverage.site import Site
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.stops import quickest_stops, seed_from_s, straight_trips_s
from fieldplan.model.coverage import Array, IntArray, Leg
from fieldplan.plane.ragged import members

MAX_CORNERS = 12
"""Corners of the field's convex hull that are weighed as its gate; a hull with more is thinned."""
N_LIKELY = 2
SAVES_FRAC = 0.005
_START_M = 0.1


@dataclass(frozen=True, slots=True)
class SownLines:
    """The poses in which the sown lines of a route are entered and left, (n, 3) each, and their lengths, (n,)."""

    enter: Array
    leave: Array
    length_m: Array

    @classmethod
    def of(cls, legs: Sequence[Leg]) -> SownLines:
        """The sown lines of a route."""
        sown = [leg for leg in legs if leg.sown]
        enter, leave = poses(np.array([leg.line for leg in sown], dtype=object))
        return cls(enter, leave, np.array([leg.length_m for leg in sown]))

    def in_parts(self, longest_m: float) -> SownLines:
        """The same with each line that is longer than that cut into equal parts, as if it were straight."""
        n_parts = np.maximum(1, np.ceil(self.length_m / longest_m - 1e-9)).astype(np.int64)
        line, part = members(n_parts)
        step = (self.leave - self.enter)[line] / n_parts[line, None]
        enter = self.enter[line] + step * part[:, None]
        return SownLines(enter, enter + step, (self.length_m / n_parts)[line])

    def in_and_out_m(self, gates: Array) -> Array:
        """Straight distance from gates, (k, 2), to where sowing starts and from where it ends back to them, (k,)."""
        first, last = self.enter[0, :2], self.leave[-1, :2]
        return np.asarray(np.hypot(*(gates - first).T) + np.hypot(*(gates - last).T))


def corners_of(ground: MultiPolygon, n_most: int) -> Array:
    """The corners of the outline that stand out, (n, 2)."""
    hull, thinned_m = shapely.convex_hull(ground), _START_M
    while shapely.get_num_coordinates(hull) > n_most + 1:
        hull, thinned_m = shapely.simplify(hull, thinned_m), 2 * thinned_m
    return np.asarray(shapely.get_coordinates(hull)[:-1])


def likely_gates(layout: Layout, sown: SownLines) -> Array:
    """Corners that may stand for the gate of lines driven in this order, (k, 2), the quickest first.

    The last is the nearest, there and back, to where sowing starts and ends. Others are likely if ways in and out
    and trips to the seed save `SAVES_FRAC` of the time to sow, if all were straight.
    """
    site, ground, room = layout.site, layout.around, layout.room
    corners = layout.likely_corners
    nearest = corners[[sown.in_and_out_m(corners).argmin()]]
    if one_fill(site, sown):
        return nearest
    gates = np.concatenate([room.open_to_most(corners_of(ground, MAX_CORNERS)), nearest])
    each_s = from_gates_s(site, sown, gates)
    most_s = each_s[-1] - SAVES_FRAC * sown.length_m.sum() / site.rig.field_speed_m_per_s
    order = each_s[:-1].argsort(kind="stable")
    return np.concatenate([gates[order[each_s[order] <= most_s][:N_LIKELY]], nearest])


def from_gates_s(site: Site, sown: SownLines, gates: Array) -> Array:
    """Time of the ways in and out, of stops, and of trips to the seed with each of some gates, (k, 2): (k,).

    All ways are straight. What is driven from line to line where there is no stop counts for nothing.
    """
    return np.asarray(sown.in_and_out_m(gates) / site.rig.turn_speed_m_per_s + seed_s(site, sown, gates))


def seed_s(site: Site, sown: SownLines, gates: Array) -> Array:
    """Time of stops and straight trips to the seed, less that of ways they replace, with each of some gates: (k,)."""
    if one_fill(site, sown):
        return np.zeros(len(gates))
    gaps, rig = Gaps.of(site, sown), site.rig
    seed = gates if site.seed_at is None else np.tile([site.seed_at.x, site.seed_at.y], (len(gates), 1))
    each = numbers(seed[:, None]), numbers(gaps.leave[:, :2]), numbers(gaps.enter[:, :2])
    stop_s = site.working.refill_time_s
    return seed_from_s(*each, gaps.sown_m2, gaps.max_m2, gaps.joined_s, stop_s, rig.turn_speed_m_per_s)


@dataclass(frozen=True, slots=True)
class Gaps:
    """Where the drill may stop for seed: between sown lines, and where a fill ends in one.

    Parameters
    ----------
    leave, enter
        (n - 1, 3) poses before and after each gap.
    joined_s
        (n - 1,) straight time across each.
    sown_m2, max_m2
        (n + 1,) ground sown before the first and after each line, and the most that one fill sows.
    """

    leave: Array
    enter: Array
    joined_s: Array
    sown_m2: Array
    max_m2: Array

    @classmethod
    def of(cls, site: Site, sown: SownLines) -> Gaps:
        """Those between sown lines."""
        width_m = site.rig.width_m
        parts = sown.in_parts(site.fill_m2 / width_m)
        leave, enter = parts.leave[:-1], parts.enter[1:]
        sown_m2 = np.concatenate([[0.0], parts.length_m.cumsum()]) * width_m
        joined_s = np.hypot(*(enter - leave)[:, :2].T) / site.rig.turn_speed_m_per_s
        return cls(leave, enter, joined_s, sown_m2, np.full(len(sown_m2), site.fill_m2))

    def trips_s(self, seed: Array, site: Site) -> Array:
        """Time of a straight trip from each gap to the seed, (2,), and back, (n - 1,)."""
        leave, enter = numbers(self.leave[:, :2]), numbers(self.enter[:, :2])
        return straight_trips_s(numbers(seed[None]), leave, enter, site.rig.turn_speed_m_per_s)

    def stops(self, seed: Array, site: Site) -> IntArray:
        """In which gaps to stop, (m,), if all trips are straight."""
        stop_s = self.trips_s(seed, site) + site.working.refill_time_s - self.joined_s
        return quickest_stops(self.sown_m2, self.max_m2, np.append(stop_s, 0.0))[1]


def one_fill(site: Site, sown: SownLines) -> bool:
    """Whether the boxes need no filling on the way."""
    return bool(sown.length_m.sum() * site.rig.width_m <= site.fill_m2)
