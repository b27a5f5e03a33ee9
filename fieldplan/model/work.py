"""The job on a clock: refill stops, timed legs, hours by part, days to book."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from shapely import Point

from fieldplan.facts import Fact, case_of
from fieldplan.model.coverage import Leg
from fieldplan.model.notes import Note
from fieldplan.model.weather_odds import YearsCounted


@dataclass(frozen=True, slots=True, kw_only=True)
class Refill:
    """One stop to fill boxes.

    Parameters
    ----------
    stop
        Its number on the field, from 1.
    leg
        Its place among the legs of the supplied route, from 1.
    sowing_stops_at
        Where the drill stops sowing for it, in the plane of the route.
    load_kg
        By box: seed and carrier poured in.
    """

    stop: int
    leg: int
    sowing_stops_at: Point
    load_kg: dict[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondStand:
    """A place where more seed would save driving, the time that saves, and how many stops would be there."""

    at: Point
    saved_s: float
    n_stops: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedSupply:
    """A route with its refill stops.

    Parameters
    ----------
    first_load_kg
        By box: seed and carrier poured in before the field.
    left_kg
        By box: seed and carrier left in it after the field.
    stands
        Where seed stands in the plane of the route: one place, and another for each further part of the field
        that the drill cannot reach without leaving it; none if seed follows the drill.
    second
        Where one more stand of seed saves most, if that is worth a word.
    """

    legs: tuple[Leg, ...]
    first_load_kg: dict[str, float]
    refills: tuple[Refill, ...]
    left_kg: dict[str, float] = field(default_factory=dict)
    stands: tuple[Point, ...] = ()
    second: SecondStand | None = None
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedLeg:
    """A leg with its start and duration on the clock of its field."""

    leg: Leg
    start_s: float
    duration_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TimePart:
    """A part of the hours by its key, such as "turning", and its time.

    ``counted`` is false if the job does not count it at all, such as breaks that nobody takes.
    """

    key: str
    spent_s: float
    counted: bool = True

    @property
    def name(self) -> Fact:
        """Its name."""
        return case_of("time-part", self.key)

    @property
    def heading(self) -> Fact:
        """Its name where there is little room, as in the head of a column."""
        return case_of("time-part-short", self.key)


def spent_s(parts: Iterable[TimePart], *keys: str) -> float:
    """The time, in s, of the parts with these keys or, without keys, of all parts."""
    return sum(part.spent_s for part in parts if not keys or part.key in keys)


def added_up(each: Iterable[Sequence[TimePart]]) -> tuple[TimePart, ...]:
    """The parts of several fields, added up by key."""
    sums: dict[str, TimePart] = {}
    for part in (part for parts in each for part in parts):
        so_far = sums.get(part.key)
        sums[part.key] = part if so_far is None else replace(part, spent_s=so_far.spent_s + part.spent_s)
    return tuple(sums.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldTime:
    """The clock of a field, with its parts in the order of the outputs.

    Parameters
    ----------
    handbook_s
        Shortest and longest time by the handbook.
    field_efficiency_frac, field_capacity_m2_per_s
        ``None`` where nothing is driven.
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
    """Time of the whole job by part, in the order of the outputs; the part "field" is all fields together."""

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
        """The same job with another time in the fields."""
        return JobTime(
            parts=tuple(
                replace(part, spent_s=field_s) if part.key == "field" else part for part in self.parts
            )
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Odds:
    """Probability that the job is done within a number of days.

    Parameters
    ----------
    n_met
        Years of the record in which it is, where the odds are a count of years.
    range_prob
        Their 95 % range, where the odds come from the years of a record.
    """

    days: int
    prob: float
    n_met: int | None = None
    range_prob: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Booking:
    """Days to book: the fewest that reach the wanted confidence, and the odds around them.

    Parameters
    ----------
    suggested_days
        ``None`` if no number of days reaches the confidence, or if there is no work.
    odds
        By number of days, rising; without ``suggested_days`` they end with the most days that can be
        booked. Empty if there is no work.
    finish
        The last day of the booking, if the start is known.
    latest_start
        The last safe day to start for a given end.
    day_s
        The shortest and the longest working day of the booking.
    counted
        The years that the odds are counted over, where they come from a record.
    """

    fieldwork_days_needed: int
    suggested_days: int | None
    confidence_prob: float
    odds: tuple[Odds, ...]
    finish: date | None
    latest_start: date | None
    day_s: tuple[float, float]
    counted: YearsCounted | None = None

    @property
    def prob(self) -> float:
        """The odds for the suggested days or, if there are none, for the most days that can be booked."""
        best_prob = self.odds[-1].prob if self.odds else 0.0
        return next((odds.prob for odds in self.odds if odds.days == self.suggested_days), best_prob)

    @property
    def of_suggested(self) -> Odds | None:
        """The odds of the suggested days, if there are such."""
        return next((odds for odds in self.odds if odds.days == self.suggested_days), None)

    def fits_within(self, days: int) -> bool:
        """Whether the suggested days are no more than ``days``."""
        return self.suggested_days is not None and self.suggested_days <= days
