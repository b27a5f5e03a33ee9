"""Time, seed and missed ground weighed as one: what each is worth as time."""

from __future__ import annotations

from fieldplan.coverage.terms import Rig

SEED_AS_TIME_FRAC = 0.5
"""Sowing 1 % more, on the same ground, is worth so many percent of the time."""
MISSED_AS_SOWN = 30.0
"""Ground that is missed is worth the time in which so much is sown elsewhere: that is what coming back for it takes."""
THIN_W = 0.05
"""Ground thinner than this, in drill widths, is not worth a pass along it even if the drill is there."""


def missed_s(missed_m2: float, rig: Rig) -> float:
    """The time that missed ground is worth."""
    return MISSED_AS_SOWN * missed_m2 / rig.width_m / rig.field_speed_m_per_s
