"""What the layout of passes depends on: the rig and how it is driven."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from fieldplan.model.job import WorkingTerms
from fieldplan.model.machine import Drill


Reverse = Literal["where needed", "never", "free"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rig:
    """Tractor and drill together, as far as they shape the drive."""

    width_m: float
    radius_m: float
    follows_bend_deg: float
    reverse: Reverse
    field_speed_m_per_s: float
    turn_speed_m_per_s: float
    turn_extra_s: float
    lift_over_m: float
    """Over gaps up to this, a pass goes on with the drill lifted."""
    plain_order: bool = False
    backing_speed_m_per_s: float = 0.8
    change_s: float = 4.0
    """What each change between forward and reverse takes."""
    reverse_saves_s: float = 10.0
    """Backing is chosen over driving forward only if it saves this, where it is for need."""
    front_reach_m: float = 0.0
    """How far outside the path of the drill's middle the outer front corner of the tractor runs in a turn."""

    @classmethod
    def of(cls, drill: Drill, working: WorkingTerms) -> Rig:
        """The rig of a job."""
        return cls(
            width_m=drill.effective_width_m,
            radius_m=drill.turning_radius_m,
            follows_bend_deg=drill.follows_bend_deg,
            reverse="free" if drill.reverse_turns else "where needed",
            field_speed_m_per_s=working.field_speed_m_per_s,
            turn_speed_m_per_s=working.turn_speed_m_per_s,
            turn_extra_s=working.turn_extra_s,
            lift_over_m=working.lift_over_m,
            plain_order=working.plain_order,
        )

    @property
    def front_beyond_m(self) -> float:
        """How far the front of the tractor swings out beyond the end of the drill; 0 if the drill is wider."""
        return max(0.0, self.front_reach_m - self.width_m / 2)

    @property
    def skip(self) -> int:
        """Strips to move over so that a turn is a plain U: the least s with s·w >= 2R."""
        return max(1, math.ceil(2 * self.radius_m / self.width_m - 1e-9))

    @property
    def u_turn_m(self) -> float:
        """Length of the turn over that many strips, ends level."""
        return math.pi * self.radius_m + max(0.0, self.skip * self.width_m - 2 * self.radius_m)

    @property
    def turn_reach_m(self) -> float:
        """Lines that begin within this of where the last one ends are joined by a turn rather than by a way
        across the field.
        """
        return 4 * self.radius_m + (self.skip + 1) * self.width_m

    @property
    def rounds_for_u_turns(self) -> int:
        """Headland rounds that hold a U turn: ceil((R + w/2)/w)."""
        return math.ceil((self.radius_m + self.width_m / 2) / self.width_m - 1e-9)
