"""How long it takes to drive the passes of swath layouts: estimated for many, driven through for a few."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldplan.coverage.columns import column_of
from fieldplan.coverage.level_turns import slanting_turns_s
from fieldplan.coverage.sequence import one_column_each, passes_in_turn
from fieldplan.coverage.terms import Rig
from fieldplan.kernels.strips import Driving, passes_about_s
from fieldplan.model.coverage import Array, BoolArray, IntArray
from fieldplan.plane.paths import shortest_paths
from fieldplan.plane.ragged import begins, firsts, lasts, members
from fieldplan.plane.strips import SwathLayouts, passes_of

_ROUNDING_M = 1e-6


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What comes before and after the passes of a route.

    Parameters
    ----------
    comes_from
        (3,) the pose in which the drill arrives at the passes, if known.
    sowing_starts
        (2,) the place where the route starts to sow.
    gates
        (k, 2) places that may be the gate.
    """

    comes_from: Array | None
    sowing_starts: Array
    gates: Array

    def comes_from_in(self, axes: Array) -> Array | None:
        """The pose in which the drill arrives, (k, 3), in each of these axes, (k, 2, 2)."""
        if self.comes_from is None:
            return None
        place = axes @ self.comes_from[:2]
        return np.column_stack([place, self.comes_from[2] - np.arctan2(axes[:, 0, 1], axes[:, 0, 0])])

    def home_m(self, last: Array) -> Array:
        """Straight distance from where the passes end to the gate, and from there to where sowing starts.

        The gate is the one of `gates` for which the sum is smallest.

        Parameters
        ----------
        last
            (n, 2) ends of the passes.

        Returns
        -------
        Array
            (n,) distances in meters.
        """
        to_gates_m = np.hypot(self.gates[:, 0] - last[:, :1], self.gates[:, 1] - last[:, 1:])
        return np.asarray((to_gates_m + np.hypot(*(self.gates - self.sowing_starts).T)).min(axis=1))


def about_s(swath_layouts: SwathLayouts, rig: Rig) -> Array:
    """Estimated time to drive the passes of each swath layout, (k,).

    It counts the length of the passes at field speed, and one U turn per pass, longer where the ends of neighbors are
    staggered.
    """
    runs = swath_layouts
    driving = Driving(
        lift_over_m=float(rig.lift_over_m),
        sowing_s_per_m=1 / rig.field_speed_m_per_s,
        turning_s_per_m=1 / rig.turn_speed_m_per_s,
        turn_s=rig.u_turn_m / rig.turn_speed_m_per_s + rig.turn_extra_s,
        skip=rig.skip,
        most_m=4.0 * rig.radius_m,
    )
    return passes_about_s(len(runs.base_m), runs.layout_of, runs.strip, runs.start_m, runs.end_m, driving)


@dataclass(frozen=True, slots=True)
class Passes:
    """Passes of several swath layouts, in axes where the strips of each run along +x.

    Parameters
    ----------
    layout_of
        (n,) the swath layout of each pass; passes are sorted by it, then by strip and start.
    strip
        (n,) the strip of each pass, counted from 0 in each layout.
    start_m, end_m, y_m
        (n,) where each pass starts and ends, and the middle of its strip.
    count, sown_m
        (k,) number of passes and sown length of each layout.
    """

    layout_of: IntArray
    strip: IntArray
    start_m: Array
    end_m: Array
    y_m: Array
    count: IntArray
    sown_m: Array

    @classmethod
    def of(cls, swath_layouts: SwathLayouts, rig: Rig) -> Passes:
        """The passes of swath layouts: runs of one strip with short gaps between them are one pass.

        The drill is lifted over a gap of at most `Rig.lift_over_m`.
        """
        runs = swath_layouts
        n = len(runs.base_m)
        first = begins(passes_of(runs.strip, runs.start_m, runs.end_m, rig.lift_over_m)).nonzero()[0]
        # cut to the length of first: ground too thin for any strip has no runs at all
        last = np.concatenate([first[1:], [len(runs.strip)]])[: len(first)] - 1
        layout_of = runs.layout_of[first]
        strip = runs.strip[first] - runs.first_strip[layout_of]
        sown_m = np.bincount(runs.layout_of, weights=runs.end_m - runs.start_m, minlength=n)
        return cls(
            layout_of=layout_of,
            strip=strip,
            start_m=runs.start_m[first],
            end_m=runs.end_m[last],
            y_m=runs.base_m[layout_of] + (strip + 0.5) * rig.width_m,
            count=np.bincount(layout_of, minlength=n),
            sown_m=np.asarray(sown_m, dtype=np.float64),
        )

    def only(self, which: IntArray) -> Passes:
        """The passes of some swath layouts, given by index, (m,); they are counted from 0 in that order."""
        first = self.layout_of.searchsorted(which)
        count = self.count[which]
        layout_of, nth = members(count)
        kept = first[layout_of] + nth
        parts = (self.strip[kept], self.start_m[kept], self.end_m[kept], self.y_m[kept])
        return Passes(layout_of, *parts, count, self.sown_m[which])

    def driven_s(self, along: Array, rig: Rig, surroundings: Surroundings | None) -> Array:
        """Time to drive the passes in their order, and the paths before and after them.

        Turns are those on a straight headland through both ends. Transfers are straight: from column to column, to the first pass if no
        turn reaches it, and from the last pass to the gate.

        Parameters
        ----------
        along
            (k, 2) headings of the swath layouts as unit vectors.
        surroundings
            If given, the path to the first pass and the path to the gate count too.

        Returns
        -------
        Array
            (k,) seconds.
        """
        k = len(self.count)
        axes = np.array([[along[:, 0], along[:, 1]], [-along[:, 1], along[:, 0]]]).transpose(2, 0, 1)
        comes_from = None if surroundings is None else surroundings.comes_from_in(axes)
        enter, leave, column = self._in_turn(comes_from, rig)
        some = self.count.nonzero()[0]
        first, last = firsts(self.count)[some], lasts(self.count)[some]
        # the pose before each pass; before the first one of a layout, where the drill comes from
        before = np.concatenate([leave[-1:], leave[:-1]])
        before[first] = enter[first] if comes_from is None else comes_from[some]
        ahead_m, across_m = np.abs(enter[:, :2] - before[:, :2]).T
        path_m = np.hypot(ahead_m, across_m)
        beside = ~begins(column)
        beside[first] = False
        turn = beside | (path_m <= rig.turn_reach_m)
        turn[first] &= comes_from is not None
        far = turn & ~beside
        path_m[far] = shortest_paths(before[far], enter[far], rig.radius_m).length_m
        turn_s = path_m / rig.turn_speed_m_per_s + turn * rig.turn_extra_s
        turn_s[beside] = slanting_turns_s(rig, across_m[beside], ahead_m[beside])
        passes_m = np.bincount(self.layout_of, weights=self.end_m - self.start_m, minlength=k)
        gaps_s = (passes_m - self.sown_m) / rig.turn_speed_m_per_s
        driven_s = np.bincount(self.layout_of, weights=turn_s, minlength=k) + gaps_s
        driven_s += self.sown_m / rig.field_speed_m_per_s
        if surroundings is not None:
            # the transposed axes turn the last places back to the plane
            home_m = surroundings.home_m(np.einsum("kc,kcx->kx", leave[last, :2], axes[some]))
            driven_s[some] += home_m / rig.turn_speed_m_per_s
        return driven_s

    def _in_turn(self, comes_from: Array | None, rig: Rig) -> tuple[Array, Array, IntArray]:
        """The poses at which passes are entered and left in driving order, (n, 3) each, and columns, (n,)."""
        ends = np.empty((len(self.strip), 2, 2))
        ends[:, 0, 0], ends[:, 1, 0], ends[:, :, 1] = self.start_m, self.end_m, self.y_m[:, None]
        here = None if comes_from is None else comes_from[:, :2]
        every = one_column_each(ends, self.layout_of, self.count, here, rig)
        since = firsts(self.count)
        # layouts whose passes are not one column are driven again, column by column
        for i in (~self.side_by_side).nonzero()[0]:
            of_layout = slice(since[i], since[i] + self.count[i])
            column = column_of(self.strip[of_layout], self.start_m[of_layout], self.end_m[of_layout])
            driven = passes_in_turn(ends[of_layout], column, None if here is None else here[i], rig)
            driven = driven.after(of_layout.start)
            every.order[of_layout] = driven.order
            every.backward[of_layout] = driven.backward
            every.column[of_layout] = driven.column
        return *every.poses(ends), every.column

    @property
    def side_by_side(self) -> BoolArray:
        """Whether the passes of each swath layout are one column, (k,): one per strip, side by side."""
        apart = (
            (self.strip[1:] != self.strip[:-1] + 1)
            | (self.start_m[1:] >= self.end_m[:-1])
            | (self.start_m[:-1] >= self.end_m[1:])
        )
        same = self.layout_of[1:] == self.layout_of[:-1]
        return np.asarray(np.bincount(self.layout_of[1:][apart & same], minlength=len(self.count)) == 0)
