"""What seed sown twice and ground missed are worth in time, wherever choices weigh them."""

from __future__ import annotations

SEED_AS_TIME_FRAC = 0.5
"""Sowing 1 % more, on the same ground, is worth so many percent of the time."""
MISSED_AS_SOWN = 30.0
"""Ground that is missed is worth the time in which so much is sown elsewhere: that is what coming back for it takes."""
