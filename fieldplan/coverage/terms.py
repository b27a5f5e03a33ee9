"""The tractor and drill as one rig: what the route over a field depends on."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fieldplan.model.job import Job
from fieldplan.model.machine import Drill, Reverse
from fieldplan.tables import read as tables

SOWING_RADII = 2.0
"""Where nothing is said, openers in the ground are not pulled around tighter than on so many turning radii."""
PASS_RADIUS_W = 10.0
"""Where nothing is said, curved passes bend no tighter than this, in drill widths: the ends of the drill then sow 5 %
more and less than its middle, w/2R."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rig:
    """Tractor and drill together, as far as they shape the route.

    Parameters
    ----------
    width_m
        Effective width of the drill: the distance between two passes side by side.
    radius_m
        Smallest turning radius of the middle of the drill, lifted.
    sowing_radius_m
        Smallest radius of the middle of the drill with the openers in the ground.
    pass_radius_m
        Smallest radius of the middle of the drill on a pass that follows a curve.
    follows_bend_deg
        Largest change of direction in one sweep that the openers follow in the ground.
    reverse
        Whether turns may back up: where needed, never, or freely.
    field_speed_m_per_s, turn_speed_m_per_s
        Speed with the openers in the ground, and with the drill lifted.
    turn_extra_s
        Time that each turn takes besides its length, to lift, slow down and lower.
    lift_over_m
        Over gaps up to this long, a pass goes on with the drill lifted.
    plain_order
        Whether passes follow the pattern that a driver can keep to without guidance.
    backing_speed_m_per_s, change_s
        Speed in reverse, and what each change between forward and reverse takes.
    reverse_saves_s
        What backing must save over driving forward, where reverse is for need.
    front_reach_m
        How far outside the path of the drill's middle the outer front corner of the tractor runs in a turn.
    headland_m
        Depth of the headland that passes turn on.
    beyond_edge_m
        Room outside the edge that all turns at the ends of passes have; infinite where every edge is open.
    """

    width_m: float
    radius_m: float
    sowing_radius_m: float
    pass_radius_m: float
    follows_bend_deg: float
    reverse: Reverse
    field_speed_m_per_s: float
    turn_speed_m_per_s: float
    turn_extra_s: float
    lift_over_m: float
    plain_order: bool = False
    backing_speed_m_per_s: float
    change_s: float
    reverse_saves_s: float
    front_reach_m: float = 0.0
    headland_m: float = math.inf
    beyond_edge_m: float = 0.0

    @classmethod
    def of(cls, job: Job) -> Rig:
        """The rig of a job, from its drill, its tractor and its working terms."""
        drill, working, front_m = job.drill, job.working, job.tractor.front_reach_m
        return cls(
            width_m=drill.effective_width_m,
            radius_m=drill.turning_radius_m,
            sowing_radius_m=sowing_radius_m(drill),
            pass_radius_m=pass_radius_m(drill),
            follows_bend_deg=drill.follows_bend_deg,
            reverse=drill.reverse,
            field_speed_m_per_s=working.field_speed_m_per_s,
            turn_speed_m_per_s=working.turn_speed_m_per_s,
            turn_extra_s=working.turn_extra_s,
            backing_speed_m_per_s=working.backing_speed_m_per_s,
            change_s=working.direction_change_s,
            reverse_saves_s=working.backing_saves_s,
            lift_over_m=working.lift_over_m,
            plain_order=working.plain_order,
            front_reach_m=front_reach_m(drill.turning_radius_m) if front_m is None else front_m,
        )

    @property
    def front_beyond_m(self) -> float:
        """How far the front of the tractor swings out beyond the end of the drill; 0 if the drill is wider."""
        return max(0.0, self.front_reach_m - self.width_m / 2)

    @property
    def skip(self) -> int:
        """Strips to move over for a U turn without a bulb: the smallest s with s·w >= 2R."""
        return max(1, math.ceil(2 * self.radius_m / self.width_m - 1e-9))

    @property
    def u_turn_m(self) -> float:
        """Length of the turn over `skip` strips with level ends: π·R + s·w − 2R."""
        return math.pi * self.radius_m + max(0.0, self.skip * self.width_m - 2 * self.radius_m)

    @property
    def turn_reach_m(self) -> float:
        """Longest distance to the next line that a turn joins: 4R + (s + 1)·w; farther is a transfer."""
        return 4 * self.radius_m + (self.skip + 1) * self.width_m


def sowing_radius_m(drill: Drill) -> float:
    """The tightest arc that a drill is sown on: its own, or twice its turning radius."""
    own_m = drill.sowing_radius_m
    return SOWING_RADII * drill.turning_radius_m if own_m is None else own_m


def pass_radius_m(drill: Drill) -> float:
    """The tightest curve that a drill sows passes on: its own, or ten times its width, but none that is too tight for
    its openers.
    """
    if drill.pass_radius_m is not None:
        return drill.pass_radius_m
    return max(PASS_RADIUS_W * drill.effective_width_m, sowing_radius_m(drill))


def front_reach_m(radius_m: float) -> float:
    """How far outside the path of the drill's middle the outer front corner of a tractor runs in a long turn.

    The tractor's rear axle goes around at sqrt(R² + L² − e²) where the drill's middle goes around at R: L from
    the hitch to the drill's axle, e from the tractor's rear axle to the hitch. The corner lies some way ahead
    of that axle and half the tractor's width to the side; the lengths are those of `tables/machinery.csv`.

    Examples
    --------
    >>> round(6 + front_reach_m(6.0), 2)
    9.18
    """
    tongue_m, hitch_m, nose_m, half_m = (
        tables.machinery_figure(key, "m")[0]
        for key in (
            "tongue of a drawn drill",
            "hitch behind the axle",
            "nose ahead of the axle",
            "half width of a tractor",
        )
    )
    axle_m = math.sqrt(radius_m**2 + tongue_m**2 - hitch_m**2)
    return math.hypot(axle_m + half_m, nose_m) - radius_m
