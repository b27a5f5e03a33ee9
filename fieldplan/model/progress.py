"""How a job goes: what was measured so far, and what that says of the rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fieldplan.model.work import Booking


@dataclass(frozen=True, slots=True, kw_only=True)
class SoFar:
    """Read on the day: ground on the drill's meter, hours in the fields, and what is left of lots, keyed by
    species and lot.

    ``done`` are fields that are done, where they were not sown in the order of the plan.
    """

    metered_m2: float
    worked_s: float
    left_kg: dict[tuple[str, str], float]
    done: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldAhead:
    """What the plan says of a field: ground under the drill, hours, and seed of each lot, by species and
    lot.
    """

    field_id: str
    drilled_m2: float
    field_s: float
    sown_kg: Mapping[tuple[str, str], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldDone:
    """How far a field is done, and whether that was ``reported`` or follows from the meter."""

    field_id: str
    share: float
    reported: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LotPace:
    """One lot: what should have been sown of it by now, what is gone, the rates that makes (of ground that
    gets it, sown so far or, if it was not begun, in all), and whether what is left sows the rest.

    It is ``begun`` once so much ground that gets it is done that what is gone of it says something.
    """

    species: str
    lot: str
    planned_kg_per_m2: float
    real_kg_per_m2: float
    begun: bool
    left_kg: float
    expected_kg: float
    gone_kg: float
    asked_kg: float

    @property
    def error_frac(self) -> float:
        """What is gone over what should have been sown, less one; 0 if it was not begun."""
        return self.gone_kg / self.expected_kg - 1 if self.begun else 0.0

    @property
    def short_kg(self) -> float:
        """What is missing at the real rate; below zero if seed remains."""
        return self.asked_kg - self.left_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """The rest of the job at the pace so far, with its own odds. ``planned_s`` are the hours that the plan
    has for what is done.
    """

    drilled_m2: float
    rest_m2: float
    planned_pace_m2_per_s: float
    real_pace_m2_per_s: float
    planned_s: float
    worked_s: float
    rest_s: float
    fields: tuple[FieldDone, ...]
    lots: tuple[LotPace, ...]
    booking: Booking
    days_left: int | None
    prob_in_days_left: float | None
