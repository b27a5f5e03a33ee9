"""How long it takes to drive the passes that strips make: about, for many layings; by the whole drive, for the likeliest few."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldplan.coverage.columns import IntArray, column_of
from fieldplan.coverage.sequence import InTurn, passes_in_turn
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array
from fieldplan.plane.paths import shortest_paths
from fieldplan.plane.strips import Layings, drives_of


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What comes before and after the passes: where the drill comes from (if known), where sowing starts, and possible gates, (k, 2)."""

    comes_from: Array | None
    sowing_starts: Array
    gates: Array

    def home_m(self, last: Array) -> Array:
        """The straight way from where the passes end, (n, 2), to the gate, and from there to where sowing starts: (n,)."""
        to_gates = np.hypot(self.gates[:, 0] - last[:, :1], self.gates[:, 1] - last[:, 1:])
        return np.asarray((to_gates + np.hypot(*(self.gates - self.sowing_starts).T)).min(axis=1))


@dataclass(frozen=True, slots=True)
class Passes:
    """Passes of several layings, (n,), by laying, strip (counted from 0 in each) and start, in axes where strips run along +x.

    ``y_m`` is the middle of the strip. ``count`` and ``sown_m``, (k,), are the number and the sown length of each laying's.
    """

    laying: IntArray
    strip: IntArray
    start_m: Array
    end_m: Array
    y_m: Array
    count: IntArray
    sown_m: Array

    @classmethod
    def of(cls, laid: Layings, lift_over_m: float, width_m: float) -> Passes:
        """Runs of one strip with at most so much between them are one pass, with the drill lifted over the gap."""
        n = len(laid.base_m)
        first = np.flatnonzero(np.diff(drives_of(laid.strip, laid.start_m, laid.end_m, lift_over_m), prepend=-1))
        last = np.append(first[1:], len(laid.strip)) - 1
        laying = laid.laying[first]
        strip = laid.strip[first] - laid.first_strip[laying]
        return cls(
            laying=laying,
            strip=strip,
            start_m=laid.start_m[first],
            end_m=laid.end_m[last],
            y_m=laid.base_m[laying] + (strip + 0.5) * width_m,
            count=np.bincount(laying, minlength=n),
            sown_m=np.asarray(np.bincount(laid.laying, weights=laid.end_m - laid.start_m, minlength=n), dtype=np.float64),
        )

    def about_s(self, rig: Rig) -> Array:
        """About the time to drive the passes of each laying, (k,).

        Counted are sown length, lifted gaps, and a U turn a pass lengthened by the stagger of its ends.
        """
        driven_m = np.bincount(self.laying, weights=self.end_m - self.start_m, minlength=len(self.count))
        beside = (np.diff(self.strip) == 1) & (np.diff(self.laying) == 0)
        most_m = 4 * rig.radius_m
        apart_m = np.minimum(np.abs(np.diff(self.start_m)), most_m) + np.minimum(np.abs(np.diff(self.end_m)), most_m)
        stagger_m = np.bincount(self.laying[1:][beside], weights=apart_m[beside], minlength=len(self.count)) / 2 * rig.skip
        u_turn_m = np.pi * rig.radius_m + max(0.0, rig.skip * rig.width_m - 2 * rig.radius_m)
        turning_s = np.maximum(0, self.count - 1) * (u_turn_m / rig.turn_speed_m_per_s + rig.turn_extra_s)
        return np.asarray(driven_m / rig.field_speed_m_per_s + turning_s + stagger_m / rig.turn_speed_m_per_s)

    def only(self, which: IntArray) -> Passes:
        """The passes of these layings, which are counted anew in that order."""
        first = np.searchsorted(self.laying, which)
        count = self.count[which]
        laying = np.repeat(np.arange(len(which)), count)
        own = np.arange(len(laying)) + np.repeat(first - np.cumsum(count) + count, count)
        parts = (self.strip[own], self.start_m[own], self.end_m[own], self.y_m[own])
        return Passes(laying, *parts, count, self.sown_m[which])

    def driven_s(self, along: Array, rig: Rig, surroundings: Surroundings | None) -> tuple[Array, Array]:
        """Time to drive the passes in their order, and the part of it that the ways before and after them take, (k,) each.

        Turns are shortest paths; it is straight from column to column, to the first pass, and from the last one to the gate.
        ``along``, (k, 2), are the headings of the layings.
        """
        k = len(self.count)
        axes = np.array([[along[:, 0], along[:, 1]], [-along[:, 1], along[:, 0]]]).transpose(2, 0, 1)
        comes_from = None if surroundings is None or surroundings.comes_from is None else axes @ surroundings.comes_from
        enter, leave, column = self._in_turn(comes_from, rig)
        away_m = np.hypot(*(enter[1:, :2] - leave[:-1, :2]).T)
        of, same = self.laying[1:], np.diff(self.laying) == 0
        turn = same & ((np.diff(column) == 0) | (away_m <= rig.turn_reach_m))
        lifted_m = np.where(same, away_m, 0.0)
        lifted_m[turn] = shortest_paths(leave[:-1][turn], enter[1:][turn], rig.radius_m).length_m
        gaps_m = np.bincount(self.laying, weights=self.end_m - self.start_m, minlength=k) - self.sown_m
        unsown_m = gaps_m + np.bincount(of, weights=lifted_m, minlength=k)
        turns = np.bincount(of[turn], minlength=k)
        ways_s = self._ways_m(enter, leave, axes, comes_from, surroundings) / rig.turn_speed_m_per_s
        passes_s = self.sown_m / rig.field_speed_m_per_s + unsown_m / rig.turn_speed_m_per_s + turns * rig.turn_extra_s
        return passes_s + ways_s, ways_s

    def _in_turn(self, comes_from: Array | None, rig: Rig) -> tuple[Array, Array, IntArray]:
        """Where passes are entered and left in driving order, (n, 3) poses each, and the column of each, (n,)."""
        ends = np.empty((len(self.strip), 2, 2))
        ends[:, 0, 0], ends[:, 1, 0], ends[:, :, 1] = self.start_m, self.end_m, self.y_m[:, None]
        apart = int(self.strip.max(initial=0)) + 2
        column = column_of(self.strip + apart * self.laying, self.start_m, self.end_m)
        driven, done = [], 0
        for i, n in enumerate(self.count.tolist()):
            here = None if comes_from is None else comes_from[i]
            driven.append(passes_in_turn(ends[done : done + n], column[done : done + n], here, rig).after(done))
            done += n
        together = InTurn.joined(driven)
        return *together.poses(ends), together.column

    def _ways_m(
        self, enter: Array, leave: Array, axes: Array, comes_from: Array | None, surroundings: Surroundings | None
    ) -> Array:
        """The ways to the first and from the last pass of each laying, (k,)."""
        ways_m = np.zeros(len(self.count))
        if surroundings is not None:
            some = np.flatnonzero(self.count)
            last = np.cumsum(self.count)[some] - 1
            ways_m[some] = surroundings.home_m(np.einsum("kc,kcx->kx", leave[last, :2], axes[some]))
            if comes_from is not None:
                ways_m[some] += np.hypot(*(enter[last - self.count[some] + 1, :2] - comes_from[some]).T)
        return ways_m
