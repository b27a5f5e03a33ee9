"""The job on a clock: refill stops, timed legs, hours by part, days to book."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from shapely import Point

from fieldplan.model.coverage import Leg
from fieldplan.model.notes import Note


@dataclass(frozen=True, slots=True, kw_only=True)
class Refill:
    """One stop to fill boxes: which leg of the timed route it is, and where the drill stops sowing for it."""

    stop: int
    leg: int
    sowing_stops_at: Point
    load_kg: dict[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedSupply:
    """A route with its refill stops in it, what is tipped into the boxes at the start and at each stop, and what is left in them."""

    legs: tuple[Leg, ...]
    first_load_kg: dict[str, float]
    refills: tuple[Refill, ...]
    left_kg: dict[str, float] = field(default_factory=dict)
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedLeg:
    """A leg with its place on the clock of its field."""

    leg: Leg
    start_s: float
    duration_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldTime:
    """A field's clock. Travelling is everything driven lifted that is no turn; a field where nothing is driven has no efficiency."""

    legs: tuple[TimedLeg, ...]
    drilling_s: float
    turning_s: float
    travelling_s: float
    refilling_s: float
    checking_s: float
    breaks_s: float
    handbook_s: tuple[float, float]
    field_efficiency_frac: float | None
    field_capacity_m2_per_s: float | None
    notes: tuple[Note, ...] = ()

    @property
    def field_s(self) -> float:
        """Everything between entering and leaving the field."""
        return self.drilling_s + self.turning_s + self.travelling_s + self.refilling_s + self.checking_s + self.breaks_s


@dataclass(frozen=True, slots=True, kw_only=True)
class JobTime:
    """Hours of the whole job by part."""

    pick_up_s: float
    set_up_s: float
    calibration_s: float
    moving_s: float
    field_s: float
    clean_out_s: float

    @property
    def job_s(self) -> float:
        """All parts together."""
        return self.pick_up_s + self.set_up_s + self.calibration_s + self.moving_s + self.field_s + self.clean_out_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Odds:
    """Chance that the job is done within so many days."""

    days: int
    prob: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Booking:
    """Days to book: the least number that reaches the wanted confidence, and the odds around it.

    ``finish`` is the last of them if the start is known, ``latest_start`` the last safe day to start for a given end; ``day_s`` the shortest and longest working day among them.
    Where no number of days reaches the confidence, ``suggested_days`` is ``None`` and the odds end with the most days that are booked
    at once; there are none if there is nothing to book for.
    """

    fit_days_needed: int
    suggested_days: int | None
    confidence_prob: float
    odds: tuple[Odds, ...]
    finish: date | None
    latest_start: date | None
    day_s: tuple[float, float]

    @property
    def prob(self) -> float:
        """The odds of being done in the days to book or, where none are enough, in the most there are odds for."""
        return next((one.prob for one in self.odds if one.days == self.suggested_days), self.odds[-1].prob if self.odds else 0.0)

    def held_by(self, days: int) -> bool:
        """Whether so many days are enough."""
        return self.suggested_days is not None and self.suggested_days <= days
