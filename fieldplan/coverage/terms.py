"""The tractor and drill as one rig: what the route over a field depends on."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fieldplan.model.job import WorkingTerms
from fieldplan.model.machine import Drill


@dataclass(frozen=True, slots=True, kw_only=True)
class Rig:
    """Tractor and drill together, as far as they shape the route.

    Parameters
    ----------
    width_m
        Effective width of the drill: the distance between two passes side by side.
    radius_m
        Smallest turning radius of the middle of the drill.
    follows_bend_deg
        Largest change of direction at a corner that the openers follow in the ground.
    reverse_turns
        Whether the rig may back up while it turns.
    field_speed_m_per_s, turn_speed_m_per_s
        Speed with the openers in the ground, and with the drill lifted.
    turn_extra_s
        Time that each turn takes besides its length, to lift, slow down and lower.
    lift_over_m
        Over gaps up to this long, a pass goes on with the drill lifted.
    plain_order
        Whether passes follow the pattern that a driver can keep to without guidance.
    """

    width_m: float
    radius_m: float
    follows_bend_deg: float
    reverse_turns: bool
    field_speed_m_per_s: float
    turn_speed_m_per_s: float
    turn_extra_s: float
    lift_over_m: float
    plain_order: bool = False

    @classmethod
    def of(cls, drill: Drill, working: WorkingTerms) -> Rig:
        """The rig of a job, from its drill and its working terms."""
        return cls(
            width_m=drill.effective_width_m,
            radius_m=drill.turning_radius_m,
            follows_bend_deg=drill.follows_bend_deg,
            reverse_turns=drill.reverse_turns,
            field_speed_m_per_s=working.field_speed_m_per_s,
            turn_speed_m_per_s=working.turn_speed_m_per_s,
            turn_extra_s=working.turn_extra_s,
            lift_over_m=working.lift_over_m,
            plain_order=working.plain_order,
        )

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

    @property
    def rounds_for_u_turns(self) -> int:
        """Headland rounds that are wide enough for a U turn: ceil((R + w/2)/w)."""
        return math.ceil((self.radius_m + self.width_m / 2) / self.width_m - 1e-9)
