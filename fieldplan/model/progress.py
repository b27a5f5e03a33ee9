"""How a job goes: what was measured so far, and what that says of the rest."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.model.work import Booking


@dataclass(frozen=True, slots=True, kw_only=True)
class SoFar:
    """Read on the day: ground on the drill's meter, hours in the fields, and what is left of lots, keyed by species and lot."""

    metered_m2: float
    worked_s: float
    left_kg: dict[tuple[str, str], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class LotPace:
    """One lot: the rate it was sown at beside the planned one (the planned one if it was not begun), and whether what is left sows the rest."""

    species: str
    lot: str
    planned_kg_per_m2: float
    real_kg_per_m2: float
    begun: bool
    left_kg: float
    asked_kg: float

    @property
    def error_frac(self) -> float:
        """Real over planned rate, less one."""
        return self.real_kg_per_m2 / self.planned_kg_per_m2 - 1

    @property
    def short_kg(self) -> float:
        """What is missing at the real rate; below zero if seed remains."""
        return self.asked_kg - self.left_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """The rest of the job at the pace so far, with its own odds."""

    drilled_m2: float
    rest_m2: float
    planned_pace_m2_per_s: float
    real_pace_m2_per_s: float
    rest_s: float
    lots: tuple[LotPace, ...]
    booking: Booking
    days_left: int | None
    prob_in_days_left: float | None
