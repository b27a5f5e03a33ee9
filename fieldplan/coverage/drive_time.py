"""How long it takes to drive the passes of swath layouts: estimated for many, driven through for a few."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fieldplan.coverage.level_turns import slants_of
from fieldplan.coverage.sequence import level_order
from fieldplan.coverage.terms import Rig
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.swaths import (
    Driving,
    LevelOrders,
    SwathPasses,
    Ways,
    layouts_driven_s,
    passes_along,
)
from fieldplan.model.coverage import Array, BoolArray, IntArray
from fieldplan.plane.ragged import firsts
from fieldplan.plane.strips import SwathLayouts


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

    @property
    def ways(self) -> Ways:
        """The same as kernels take it: the gate is the one for which the way to it and from there to where sowing starts
        is shortest.
        """
        comes_from = np.zeros(0) if self.comes_from is None else self.comes_from
        return Ways(numbers(comes_from), numbers(self.sowing_starts), numbers(self.gates))


@dataclass(frozen=True, slots=True)
class Passes:
    """Passes of several swath layouts over the same ground.

    Parameters
    ----------
    each
        The passes, in axes where the strips of each layout run along +x.
    """

    each: SwathPasses
    rig: Rig

    @classmethod
    def of(cls, swath_layouts: SwathLayouts, rig: Rig) -> Passes:
        """The passes of swath layouts: runs of one strip with short gaps between them are one pass.

        The drill is lifted over a gap of at most `Rig.lift_over_m`.
        """
        runs = swath_layouts
        each = passes_along(
            runs.layout_of,
            runs.strip,
            runs.start_m,
            runs.end_m,
            runs.base_m,
            runs.first_strip,
            _driving(rig),
        )
        return cls(each, rig)

    @property
    def count(self) -> IntArray:
        """Number of passes of each layout, (k,)."""
        return self.each.n_passes

    @property
    def sown_m(self) -> Array:
        """Sown length of each layout, (k,)."""
        return self.each.sown_m

    @property
    def about_s(self) -> Array:
        """Estimated time to drive the passes of each layout, (k,).

        It counts the length of the passes at field speed, and one U turn per pass, longer where the ends of neighbors
        are staggered.
        """
        return self.each.about_s

    @property
    def side_by_side(self) -> BoolArray:
        """Whether the passes of each layout are one column, (k,): one per strip, side by side."""
        return self.each.n_columns <= 1

    def driven_s(self, which: IntArray, along: Array, surroundings: Surroundings | None) -> Array:
        """Time to drive the passes of some layouts in their order, and the paths before and after them.

        The nearest column is driven next, begun at its nearest corner. Turns are those on a straight headland through
        both ends. Transfers are straight: from column to column, to the first pass if no turn reaches it, and from the
        last pass to the gate.

        Parameters
        ----------
        which
            (m,) the layouts, rising.
        along
            (m, 2) their headings as unit vectors.
        surroundings
            If given, the path to the first pass and the path to the gate count too.

        Returns
        -------
        Array
            (m,) seconds.
        """
        ways = _NO_WAYS if surroundings is None else surroundings.ways
        orders = self._orders(which)
        return layouts_driven_s(self.each, which, numbers(along), orders, ways, _driving(self.rig))

    def _orders(self, which: IntArray) -> LevelOrders:
        """The orders in which columns of these layouts are driven."""
        judged = np.zeros(len(self.count), dtype=bool)
        judged[which] = True
        sizes = np.bincount(self.each.size[judged.repeat(self.each.n_columns)])
        needed = sizes.nonzero()[0]
        since = np.zeros(len(sizes), dtype=np.int64)
        since[needed] = firsts(needed)
        orders = [level_order(n, self.rig) for n in needed.tolist()]
        return LevelOrders(since, np.concatenate([_NO_ORDER, *orders]))


_NO_ORDER = np.zeros(0, dtype=np.int64)
_NO_WAYS = Ways(np.zeros(0), np.zeros(2), np.zeros((0, 2)))


@lru_cache(maxsize=256)
def _driving(rig: Rig) -> Driving:
    """What kernels are told of a rig."""
    return Driving(
        width_m=float(rig.width_m),
        lift_over_m=float(rig.lift_over_m),
        field_m_per_s=float(rig.field_speed_m_per_s),
        turn_m_per_s=float(rig.turn_speed_m_per_s),
        u_turn_s=float(rig.u_turn_m / rig.turn_speed_m_per_s + rig.turn_extra_s),
        turn_extra_s=float(rig.turn_extra_s),
        skip=rig.skip,
        most_m=4.0 * rig.radius_m,
        radius_m=float(rig.radius_m),
        reach_m=float(rig.turn_reach_m),
        beside=slants_of(rig),
    )
