"""The job on a clock: refill stops, timed legs, hours by part, days to book."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from shapely import Point

from fieldplan.facts import Fact, case_of
from fieldplan.model.coverage import Leg
from fieldplan.model.notes import Note


@dataclass(frozen=True, slots=True, kw_only=True)
class Refill:
    """One stop to fill boxes: which leg of the timed route it is, and where the drill stops sowing for
    it.
    """

    stop: int
    leg: int
    sowing_stops_at: Point
    load_kg: dict[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedSupply:
    """A route with its refill stops in it, what is tipped into the boxes at the start and at each stop, and
    what is left in them.
    """

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
class TimePart:
    """A part of the hours by its key, such as "turning", and how long it takes.

    ``counted`` is false where the job does not ask for it at all, as for breaks if nobody takes any.
    """

    key: str
    spent_s: float
    counted: bool = True

    @property
    def name(self) -> Fact:
        """What it is called."""
        return case_of("time-part", self.key)

    @property
    def heading(self) -> Fact:
        """What it is called where there is little room."""
        return case_of("time-part-short", self.key)


def spent_s(parts: Iterable[TimePart], *keys: str) -> float:
    """The time of the parts of those keys or, where none is named, of all."""
    return sum(part.spent_s for part in parts if not keys or part.key in keys)


def added_up(each: Iterable[Sequence[TimePart]]) -> tuple[TimePart, ...]:
    """Part by part, the sums over several fields."""
    sums: dict[str, TimePart] = {}
    for part in (part for parts in each for part in parts):
        so_far = sums.get(part.key)
        sums[part.key] = part if so_far is None else replace(part, spent_s=so_far.spent_s + part.spent_s)
    return tuple(sums.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldTime:
    """A field's clock. Its parts stand in the order in which they are told; a field where nothing is driven
    has no efficiency.
    """

    legs: tuple[TimedLeg, ...]
    parts: tuple[TimePart, ...]
    handbook_s: tuple[float, float]
    field_efficiency_frac: float | None
    field_capacity_m2_per_s: float | None
    notes: tuple[Note, ...] = ()

    @property
    def field_s(self) -> float:
        """Everything between entering and leaving the field."""
        return spent_s(self.parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobTime:
    """Hours of the whole job by part, in the order in which they are told; the part "field" is that of all
    fields.
    """

    parts: tuple[TimePart, ...]

    @property
    def job_s(self) -> float:
        """All parts together."""
        return spent_s(self.parts)

    @property
    def field_s(self) -> float:
        """The time in the fields."""
        return spent_s(self.parts, "field")

    def with_field_s(self, field_s: float) -> JobTime:
        """The same around other hours in the fields."""
        return JobTime(
            parts=tuple(
                replace(part, spent_s=field_s) if part.key == "field" else part for part in self.parts
            )
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Odds:
    """Chance that the job is done within so many days."""

    days: int
    prob: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Booking:
    """Days to book: the least number that reaches the wanted confidence, and the odds around it.

    ``finish`` is the last of them if the start is known, ``latest_start`` the last safe day to start for a
    given end; ``day_s`` the shortest and longest working day among them. Where no number of days reaches
    the confidence, ``suggested_days`` is ``None`` and the odds end with the most days that are booked at
    once; there are none if there is nothing to book for.
    """

    fieldwork_days_needed: int
    suggested_days: int | None
    confidence_prob: float
    odds: tuple[Odds, ...]
    finish: date | None
    latest_start: date | None
    day_s: tuple[float, float]

    @property
    def prob(self) -> float:
        """The odds of being done in the days to book or, where none are enough, in the most there are odds
        for.
        """
        return next(
            (odd.prob for odd in self.odds if odd.days == self.suggested_days),
            self.odds[-1].prob if self.odds else 0.0,
        )

    def held_by(self, days: int) -> bool:
        """Whether so many days are enough."""
        return self.suggested_days is not None and self.suggested_days <= days
