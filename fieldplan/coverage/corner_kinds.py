"""What can be done at a corner of the headland, and which of it is done.

A corner is sown around on an arc, where the openers follow; or the drill is lifted, turned in one arc and lowered
after it, or backed in behind the arc and sown on from there, or sown on as far as it comes, backed out, turned and
backed in; or sown on as far as it comes and lowered again beside what is sown, with whatever turn between is quickest: a
loop where there is room, or backing. Each costs time, seed or ground. Corners start with what takes the least time;
then the ground that they leave is bought back where that costs least, until no more than a share of the field is left.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldplan.coverage.terms import Rig
from fieldplan.coverage.worth import SEED_AS_TIME_FRAC
from fieldplan.kernels.bought import bought_back
from fieldplan.model.coverage import Array, BoolArray, IntArray

MAX_LEFT_FRAC = 0.002
"""So much of a field corners may leave, if nothing else was said: half a percent with what stubs leave and what is
missed elsewhere."""
CURVED, LIFTED, BACKED_IN, BACKED_BOTH, RUN_OUT = range(5)
"""Sown around; lift, turn, lower; lift, turn, back in; back out, turn, back in; sown on as far as the drill comes, then
turned as is quickest, and lowered at the edge of what is sown."""
_GAIN_M2 = 1e-6
"""Less ground than this is not bought."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Corners:
    """The corner after each of n segments: n each.

    Parameters
    ----------
    turn_rad
        How far it turns, to either side.
    cut_end_m, cut_begin_m
        What lifting before and lowering after one arc leaves of the arriving and the leaving segment.
    short_m
        How far short of its end the arriving segment stops, because the drill stands at a fence.
    reach_m
        How far behind its start the leaving segment could be backed in.
    fits
        Whether the arc of the lifted drill fits inside the fence.
    full_s
        Driving time of the quickest turn from the full end of the one to the full start of the other; infinite where
        none fits.
    curve_end_m, curve_begin_m
        What of the two segments an arc with the openers in the ground takes the place of.
    curve_left_m2
        Ground that this arc leaves toward the corner; infinite where the openers cannot follow.
    """

    turn_rad: Array
    cut_end_m: Array
    cut_begin_m: Array
    short_m: Array
    reach_m: Array
    fits: BoolArray
    full_s: Array
    curve_end_m: Array
    curve_begin_m: Array
    curve_left_m2: Array

    def chosen(self, rig: Rig, ground_m2: float) -> IntArray:
        """What is done at each, of the five."""
        cost_s, left_m2 = self.costs_s(rig), self.left_m2(rig.width_m)
        possible = np.isfinite(cost_s).any(axis=0)
        choice = np.asarray(np.where(possible, cost_s.argmin(axis=0), RUN_OUT))
        to_buy_m2 = left_m2[choice, np.arange(len(choice))][possible].sum() - MAX_LEFT_FRAC * ground_m2
        return bought_back(cost_s, left_m2, choice, to_buy_m2, _GAIN_M2) if to_buy_m2 > 0 else choice

    def costs_s(self, rig: Rig) -> Array:
        """Time of each kind, and what seed sown twice is worth, (5, n); infinite where it is not possible.

        All count from where the lifted drill would begin its one arc to where it would end it.
        """
        sow_s, back_s = 1 / rig.field_speed_m_per_s, 1 / rig.backing_speed_m_per_s
        in_m = self.cut_begin_m + self.reach_m
        curve_m = rig.sowing_radius_m * self.turn_rad
        straight_m = self.curve_end_m - self.cut_end_m + self.curve_begin_m - self.cut_begin_m
        lifted_s = rig.radius_m * self.turn_rad / rig.turn_speed_m_per_s + rig.turn_extra_s
        in_s = lifted_s + in_m * (back_s + sow_s) + 2 * rig.change_s
        both_s = in_s + self.cut_end_m * (back_s + sow_s) + 2 * rig.change_s
        full_s = self.full_s + rig.turn_extra_s + (self.cut_end_m + self.cut_begin_m) * sow_s
        kinds_s = np.stack([(curve_m - straight_m) * sow_s, lifted_s, in_s, both_s, full_s])
        seed_s = SEED_AS_TIME_FRAC * self.twice_m2(rig.width_m) / rig.width_m * sow_s
        return np.asarray(np.where(self._possible(rig), kinds_s + seed_s, np.inf))

    def _possible(self, rig: Rig) -> BoolArray:
        backs = self.fits & (rig.reverse != "never")
        return np.stack(
            [np.isfinite(self.curve_left_m2), self.fits, backs, backs, np.isfinite(self.full_s)]
        )

    def left_m2(self, width_m: float) -> Array:
        """About the ground that each kind leaves, (5, n).

        Backed in, the leaving segment covers so much of the arriving one's length, but for a strip behind the
        drill that it cannot back over.
        """
        end_m, covers_m = self.cut_end_m + self.short_m, self._covers_m(width_m)
        behind_m = np.maximum(width_m - self.reach_m, 0.0)
        lifted = width_m * (end_m + self.cut_begin_m)
        backed_in = width_m * np.maximum(end_m - covers_m, 0.0) + behind_m * np.minimum(end_m, covers_m)
        backed_both = behind_m * np.minimum(self.short_m, covers_m)
        return np.stack([self.curve_left_m2, lifted, backed_in, backed_both, width_m * self.short_m])

    def twice_m2(self, width_m: float) -> Array:
        """About the ground that each kind sows twice, (5, n).

        Two bands that cross at θ share w²/sin θ; where the leaving one begins at the edge of the other, a
        triangle of w²/2·|cot θ| at most.
        """
        nothing, covers_m = np.zeros(len(self.turn_rad)), self._covers_m(width_m)
        both = np.minimum(self.reach_m, width_m) * np.maximum(covers_m - self.short_m, 0.0)
        beside = width_m / 2 * np.sqrt(np.maximum(covers_m**2 - width_m**2, 0.0))
        return np.stack([nothing, nothing, nothing, both, beside])

    def _covers_m(self, width_m: float) -> Array:
        """What the leaving segment, backed in, covers of the length of the arriving one: w/sin θ."""
        return np.asarray(width_m / np.maximum(np.abs(np.sin(self.turn_rad)), 0.5))


def curve_wedge_m2(turn_rad: Array, radius_m: float, width_m: float) -> tuple[Array, Array]:
    """Ground that a band on an arc leaves toward the corner: along the fence, and beside another band on such an arc.

    ρ²·f and 2Rw·f with ρ = R + w/2 and f = tan(θ/2) − θ/2, for a turn of θ.

    Examples
    --------
    >>> [round(float(left_m2), 3) for left_m2 in curve_wedge_m2(np.array(np.pi / 2), 6.0, 3.05)]
    [12.152, 7.854]
    """
    pointed = np.tan(turn_rad / 2) - turn_rad / 2
    return (radius_m + width_m / 2) ** 2 * pointed, 2 * radius_m * width_m * pointed
