"""How long it takes to drive the passes that strips make: about, for many layings; by the whole drive, for
the likeliest few.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldplan.coverage.columns import column_of
from fieldplan.coverage.sequence import one_column_each, passes_in_turn
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, BoolArray, IntArray
from fieldplan.plane.paths import shortest_paths
from fieldplan.plane.ragged import begins, firsts, lasts, members
from fieldplan.plane.strips import SwathLayouts, routes_of

_ROUNDING_M = 1e-6


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What comes before and after the passes: where the drill comes from (if known), where sowing starts,
    and possible gates, (k, 2).
    """

    comes_from: Array | None
    sowing_starts: Array
    gates: Array

    def comes_from_in(self, axes: Array) -> Array | None:
        """The pose that the drill comes from, (k, 3), in axes turned so, (k, 2, 2)."""
        if self.comes_from is None:
            return None
        at = axes @ self.comes_from[:2]
        return np.column_stack([at, self.comes_from[2] - np.arctan2(axes[:, 0, 1], axes[:, 0, 0])])

    def home_m(self, last: Array) -> Array:
        """The straight way from where the passes end, (n, 2), to the gate, and from there to where sowing
        starts: (n,).
        """
        to_gates = np.hypot(self.gates[:, 0] - last[:, :1], self.gates[:, 1] - last[:, 1:])
        return np.asarray((to_gates + np.hypot(*(self.gates - self.sowing_starts).T)).min(axis=1))


@dataclass(frozen=True, slots=True)
class Passes:
    """Passes of several layings, (n,), by laying, strip (counted from 0 in each) and start, in axes where
    strips run along +x.

    ``y_m`` is the middle of the strip. ``count`` and ``sown_m``, (k,), are the number and the sown length
    of each laying's.
    """

    swath_layout: IntArray
    strip: IntArray
    start_m: Array
    end_m: Array
    y_m: Array
    count: IntArray
    sown_m: Array

    @classmethod
    def of(cls, swath_layouts: SwathLayouts, rig: Rig) -> Passes:
        """Runs of one strip with at most so much between them are one pass, with the drill lifted over the
        gap.
        """
        n = len(swath_layouts.base_m)
        first = begins(
            routes_of(swath_layouts.strip, swath_layouts.start_m, swath_layouts.end_m, rig.lift_over_m)
        ).nonzero()[0]
        last = (
            np.concatenate([first[1:], [len(swath_layouts.strip)]])[: len(first)] - 1
        )  # ground too thin for any strip has none
        swath_layout = swath_layouts.swath_layout[first]
        strip = swath_layouts.strip[first] - swath_layouts.first_strip[swath_layout]
        return cls(
            swath_layout=swath_layout,
            strip=strip,
            start_m=swath_layouts.start_m[first],
            end_m=swath_layouts.end_m[last],
            y_m=swath_layouts.base_m[swath_layout] + (strip + 0.5) * rig.width_m,
            count=np.bincount(swath_layout, minlength=n),
            sown_m=np.asarray(
                np.bincount(
                    swath_layouts.swath_layout,
                    weights=swath_layouts.end_m - swath_layouts.start_m,
                    minlength=n,
                ),
                dtype=np.float64,
            ),
        )

    def about_s(self, rig: Rig) -> Array:
        """About the time to drive the passes of each laying, (k,).

        Counted are sown length, lifted gaps, and a U turn a pass lengthened by the stagger of its ends.
        """
        driven_m = np.bincount(
            self.swath_layout, weights=self.end_m - self.start_m, minlength=len(self.count)
        )
        beside = (self.strip[1:] == self.strip[:-1] + 1) & (self.swath_layout[1:] == self.swath_layout[:-1])
        max_m = 4 * rig.radius_m
        apart_m = np.minimum(np.abs(self.start_m[1:] - self.start_m[:-1]), max_m)
        apart_m += np.minimum(np.abs(self.end_m[1:] - self.end_m[:-1]), max_m)
        stagger_m = (
            np.bincount(self.swath_layout[1:][beside], weights=apart_m[beside], minlength=len(self.count))
            / 2
            * rig.skip
        )
        turning_s = np.maximum(0, self.count - 1) * (
            rig.u_turn_m / rig.turn_speed_m_per_s + rig.turn_extra_s
        )
        return np.asarray(
            driven_m / rig.field_speed_m_per_s + turning_s + stagger_m / rig.turn_speed_m_per_s
        )

    def only(self, which: IntArray) -> Passes:
        """The passes of these layings, which are counted anew in that order."""
        first = self.swath_layout.searchsorted(which)
        count = self.count[which]
        swath_layout, nth = members(count)
        own = first[swath_layout] + nth
        parts = (self.strip[own], self.start_m[own], self.end_m[own], self.y_m[own])
        return Passes(swath_layout, *parts, count, self.sown_m[which])

    def driven_s(self, along: Array, rig: Rig, surroundings: Surroundings | None) -> Array:
        """Time to drive the passes in their order, with the ways before and after them, (k,).

        Turns are shortest paths; it is straight from column to column, to the first pass if no turn reaches
        it, and from the last one to the gate. ``along``, (k, 2), are the headings of the layings.
        """
        k = len(self.count)
        axes = np.array([[along[:, 0], along[:, 1]], [-along[:, 1], along[:, 0]]]).transpose(2, 0, 1)
        comes_from = None if surroundings is None else surroundings.comes_from_in(axes)
        enter, leave, column = self._in_turn(comes_from, rig)
        some = self.count.nonzero()[0]
        first, last = firsts(self.count)[some], lasts(self.count)[some]
        before = np.concatenate([leave[-1:], leave[:-1]])
        before[first] = enter[first] if comes_from is None else comes_from[some]
        ahead_m, across_m = np.abs(enter[:, :2] - before[:, :2]).T
        path_m = np.hypot(ahead_m, across_m)
        beside = ~begins(column)
        beside[first] = False
        turn = beside | (path_m <= rig.turn_reach_m)
        turn[first] &= comes_from is not None
        u_turn = beside & (across_m >= 2 * rig.radius_m - _ROUNDING_M)
        path_m[u_turn] = np.pi * rig.radius_m + np.hypot(
            ahead_m[u_turn], across_m[u_turn] - 2 * rig.radius_m
        )
        bulb = turn & ~u_turn
        path_m[bulb] = shortest_paths(before[bulb], enter[bulb], rig.radius_m).length_m
        turn_s = path_m / rig.turn_speed_m_per_s + turn * rig.turn_extra_s
        gaps_m = (
            np.bincount(self.swath_layout, weights=self.end_m - self.start_m, minlength=k) - self.sown_m
        )
        driven_s = (
            np.bincount(self.swath_layout, weights=turn_s, minlength=k) + gaps_m / rig.turn_speed_m_per_s
        )
        driven_s += self.sown_m / rig.field_speed_m_per_s
        if surroundings is not None:
            home_m = surroundings.home_m(np.einsum("kc,kcx->kx", leave[last, :2], axes[some]))
            driven_s[some] += home_m / rig.turn_speed_m_per_s
        return driven_s

    def _in_turn(self, comes_from: Array | None, rig: Rig) -> tuple[Array, Array, IntArray]:
        """Where passes are entered and left in driving order, (n, 3) poses each, and the column of each,
        (n,).
        """
        ends = np.empty((len(self.strip), 2, 2))
        ends[:, 0, 0], ends[:, 1, 0], ends[:, :, 1] = self.start_m, self.end_m, self.y_m[:, None]
        here = None if comes_from is None else comes_from[:, :2]
        together = one_column_each(ends, self.swath_layout, self.count, here, rig)
        since = firsts(self.count)
        for i in (~self.side_by_side).nonzero()[0]:
            own = slice(since[i], since[i] + self.count[i])
            column = column_of(self.strip[own], self.start_m[own], self.end_m[own])
            driven = passes_in_turn(ends[own], column, None if here is None else here[i], rig).after(
                own.start
            )
            together.order[own], together.backward[own], together.column[own] = (
                driven.order,
                driven.backward,
                driven.column,
            )
        return *together.poses(ends), together.column

    @property
    def side_by_side(self) -> BoolArray:
        """Whether the passes of each laying are one column, (k,): one pass a strip, each beside the one
        before.
        """
        apart = (
            (self.strip[1:] != self.strip[:-1] + 1)
            | (self.start_m[1:] >= self.end_m[:-1])
            | (self.start_m[:-1] >= self.end_m[1:])
        )
        same = self.swath_layout[1:] == self.swath_layout[:-1]
        return np.asarray(np.bincount(self.swath_layout[1:][apart & same], minlength=len(self.count)) == 0)
