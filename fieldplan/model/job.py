"""What a job file says: drill, mixes, working terms and booking terms."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Literal

from fieldplan.model.checks import require, require_between
from fieldplan.model.cost import CostTerms
from fieldplan.model.field import EdgeWord, PatternWord, SearchWord
from fieldplan.model.machine import Drill, Tractor
from fieldplan.model.notes import Note
from fieldplan.model.relief import GradeLimit
from fieldplan.model.seed import Component, Mix
from fieldplan.model.seed_law import SeedLaw
from fieldplan.model.weather_odds import WeatherTerms
from fieldplan.units import POUND_KG


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingTerms:
    """How the ground is driven and how long each stop takes. ``None`` leaves the choice to fieldplan.

    Parameters
    ----------
    turn_extra_s
        Time of a turn on top of its path: lifting, slowing down and lining up.
    backing_speed_m_per_s, direction_change_s
        Speed in reverse with the drill lifted, and what each change between forward and reverse takes.
    backing_saves_s
        What a turn with backing must save, where reverse is for need.
    smallest_obstacle_m2
        Smaller obstacles are drilled over.
    lift_over_m
        Gaps in a pass up to this length are crossed with the drill lifted.
    refill_time_s, tube_check_s, break_s
        Time of one refill, check of the seed tubes, or break.
    break_every_s
        Time from one break to the next.
    pick_up_s, set_up_s, calibration_s, clean_out_s
        Times of the whole job; ``clean_out_s`` holds the return of the drill.
    road_factor
        Road distance / straight distance between fields.
    heading_deg
        True azimuth of the passes.
    sowings
        Times each field is sown, each at its share of the rate.
    seed_follows
        Whether a vehicle with the seed meets the drill wherever it stops.
    pattern
        How passes run: straight, along an edge of the field, along guides, in rounds only, or as is best.
    search
        How many routes are compared: next to none, those that estimates call likely, or whole plans at all headings.
    edge
        Whether the outer edges of fields are fenced or open, where nothing else says.
    elevation
        A GeoTIFF of heights.
    elevation_unit_m
        Meters of the unit of its heights; ``None`` to go by the file.
    grade_limit
        How far passes across the slope may rise or fall; ``None`` if that is not judged.
    hill_speed_m_per_s, hill_slope_frac
        Speed with the openers in the ground where it is at least so steep; ``None`` if it is the same there.
    keeps_order
        Whether fields are sown in the order of the file even if another has fewer box changes.
    """

    field_speed_m_per_s: float
    turn_speed_m_per_s: float
    turn_extra_s: float
    backing_speed_m_per_s: float
    direction_change_s: float
    backing_saves_s: float
    smallest_obstacle_m2: float
    lift_over_m: float
    refill_time_s: float
    tube_check_s: float
    pick_up_s: float
    set_up_s: float
    calibration_s: float
    clean_out_s: float
    towing_speed_m_per_s: float
    road_factor: float
    headland_rounds: int | None = None
    headland_first: bool = True
    heading_deg: float | None = None
    max_blocks: int | None = None
    plain_order: bool = False
    sowings: int = 1
    seed_follows: bool = False
    break_s: float = 0.0
    break_every_s: float
    pattern: PatternWord = "best"
    search: SearchWord = "usual"
    edge: EdgeWord = "fenced"
    keeps_order: bool = False
    elevation: Path | None = None
    elevation_unit_m: float | None = None
    hill_speed_m_per_s: float | None = None
    hill_slope_frac: float = 0.0
    grade_limit: GradeLimit | None = None

    def __post_init__(self) -> None:
        """Check ranges."""
        for name in ("field_speed", "turn_speed", "backing_speed", "towing_speed"):
            value = getattr(self, f"{name}_m_per_s")
            require_between(name, value, 0.1, 20, "_m_per_s", example='"4.5 mph"')
        if self.hill_speed_m_per_s is not None:
            require_between(
                "hill_speed",
                self.hill_speed_m_per_s,
                0.1,
                self.field_speed_m_per_s,
                "_m_per_s",
                example='"3 mph"',
            )
        require_between("hill_slope", self.hill_slope_frac, 0, 2, "_typed_frac", example='"15 %"')
        for name in (
            "turn_extra",
            "direction_change",
            "backing_saves",
            "refill_time",
            "tube_check",
            "pick_up",
            "set_up",
            "calibration",
            "clean_out",
            "break",
        ):
            require_between(name, getattr(self, f"{name}_s"), 0, 86_400, "_s", example='"15 min"')
        require_between("break_every", self.break_every_s, 600, 86_400, "_s", example='"4 h"')
        require_between(
            "smallest_obstacle", self.smallest_obstacle_m2, 0, 1e5, "_small_m2", example='"100 ft2"'
        )
        require_between("lift_over", self.lift_over_m, 0, 500, "_m", example='"30 ft"')
        require_between("road_factor", self.road_factor, 1, 10, example="1.3")
        require_between("sowings", self.sowings, 1, 4, example="2")
        if self.headland_rounds is not None:
            require_between("headland_rounds", self.headland_rounds, 0, 12, word="auto", example="2")
        if self.max_blocks is not None:
            require_between("blocks", self.max_blocks, 1, 24, word="best", example="2")
        if self.heading_deg is not None:
            require_between("heading", self.heading_deg, 0, 360, "_deg", word="best", example='"90 deg"')


Grounds = Literal["record", "typed", "table"]
"""What odds stand on: a daily record, a chance that was typed, or a published one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """Days that a forecast tells, to the last one, whether they are fieldwork days."""

    until: date
    fit: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """The share of fieldwork days that a survey reports for a place and a part of the year.

    Parameters
    ----------
    stands
        Whether the odds stand on it, since nothing else is known.
    """

    place: str
    prob: float
    source: str
    stands: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BookingTerms:
    """Length of a working day, odds of a fieldwork day, and when to start and end.

    Parameters
    ----------
    day_s
        Working time of a day.
    fieldwork_day_prob
        Long-run share of days on which the ground can be worked.
    confidence_prob
        Wanted probability of being done within the booking.
    weekdays_off
        Days of the week without work, Monday being 0.
    persistence_frac
        How much likelier than by chance a day is like the day before.
    uncertainty_frac
        Uncertainty of the hours, as a share: half the width of a triangular distribution.
    meant
        Keys of unlikely days that the job file confirms.
    weather
        A daily record; odds are then counted from its years, and ``fieldwork_day_prob`` may be ``None``.
    published
        What a survey reports for the state and the time of the start, if there is such a figure.
    state
        The state of the fields, if it is given.
    forecast
        What the first days from the start on will be, if somebody says so.
    """

    day_s: float
    fieldwork_day_prob: float | None
    confidence_prob: float
    start: date | None = None
    finish_by: date | None = None
    weekdays_off: frozenset[int] = frozenset()
    dates_off: frozenset[date] = frozenset()
    persistence_frac: float = 0.0
    uncertainty_frac: float = 0.0
    meant: frozenset[str] = frozenset()
    weather: WeatherTerms | None = None
    published: Published | None = None
    state: str = ""
    forecast: tuple[Spell, ...] = ()

    def __post_init__(self) -> None:
        """Check ranges."""
        require_between("hours_per_day", self.day_s, 600, 86_400, "_s", example='"8 h"')
        if self.fieldwork_day_prob is not None:
            require_between(
                "fieldwork_day_chance", self.fieldwork_day_prob, 0.01, 1, "_typed_frac", example='"55 %"'
            )
        require_between("confidence", self.confidence_prob, 0.01, 0.999, "_typed_frac", example='"80 %"')
        require_between("persistence", self.persistence_frac, 0, 0.95, "_typed_frac", example='"30 %"')
        require_between("uncertainty", self.uncertainty_frac, 0, 0.9, "_typed_frac", example='"20 %"')
        if self.finish_by is not None:
            require(self.start is not None, "finish-before-start/no-start", key="finish_by")
            if self.start is not None:
                days = {"finish": self.finish_by.isoformat(), "start": self.start.isoformat()}
                require(self.finish_by >= self.start, "finish-before-start", key="finish_by", **days)
        require(len(self.weekdays_off) < 7, "out-of-range/every-day", key="days_off")
        require(
            self.start is not None or not (self.weekdays_off or self.dates_off),
            "start-missing",
            key="days_off",
        )

    @property
    def foretold(self) -> tuple[bool, ...]:
        """Whether the first days from the start on are fieldwork days, as far as the forecast goes."""
        if self.start is None:
            return ()
        told: list[bool] = []
        for spell in self.forecast:
            told += [spell.fit] * ((spell.until - self.start).days + 1 - len(told))
        return tuple(told)

    @property
    def grounds(self) -> Grounds:
        """What the odds stand on."""
        if self.weather is not None:
            return "record"
        return "table" if self.published is not None and self.published.stands else "typed"

    @property
    def chance_prob(self) -> float:
        """The chance of a fieldwork day that was typed or is from a table; only where no record stands."""
        assert self.fieldwork_day_prob is not None
        return self.fieldwork_day_prob


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadingTerms:
    """What the truck may carry, and how seed is weighed at the seed house.

    Parameters
    ----------
    payload_kg
        From the sticker on the door; ``None`` if not given, as trucks differ too much to assume one.
    people_kg, gear_kg, tongue_kg
        What of the payload people, gear and the tongue of a trailer take up.
    empty_bag_kg
        Weight of an empty bag.
    bale_kg
        Weight of a bale of carrier.
    scale_kg
        Smallest step of the scale.
    """

    payload_kg: float | None = None
    people_kg: float = 0.0
    gear_kg: float = 0.0
    tongue_kg: float = 0.0
    empty_bag_kg: float
    bale_kg: float
    scale_kg: float

    def __post_init__(self) -> None:
        """Check ranges."""
        for name in ("people", "gear", "tongue"):
            require_between(name, getattr(self, f"{name}_kg"), 0, 20_000, "_typed_kg", example='"380 lb"')
        require_between("empty_bag", self.empty_bag_kg, 0, 50, "_typed_kg", example='"0.3 lb"')
        require_between("bale", self.bale_kg, 0.5, 1000, "_typed_kg", example='"50 lb"')
        require_between("scale", self.scale_kg, 1e-5, 50, "_typed_kg", example='"1 g"')
        if self.payload_kg is not None:
            require_between("payload", self.payload_kg, 10, 40_000, "_typed_kg", example='"1400 lb"')
            taken_kg = self.people_kg + self.gear_kg + self.tongue_kg
            require(taken_kg < self.payload_kg, "payload-used-up", key="payload", taken_kg=taken_kg)

    @property
    def limit_kg(self) -> float | None:
        """What is left of the payload for seed, carrier and bags; ``None`` without a payload."""
        if self.payload_kg is None:
            return None
        return self.payload_kg - self.people_kg - self.gear_kg - self.tongue_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldTerms:
    """What the job file says about one field.

    Parameters
    ----------
    gate, seed_at
        Longitude and latitude of the gate, and of the place where the seed stands.
    slope_frac
        Slope, rise over run.
    move_s
        Time to get here from the field before.
    pattern
        How passes run there, if not as on other fields.
    edge, open_sides
        Whether the outer edge is fenced or open, and compass sides on which it is open. If either is given,
        what the boundary file says about the edge does not count.
    neighbor
        Whom beside the field to call, with the telephone.
    """

    gate: tuple[float, float] | None = None
    mix: str | None = None
    exclusions: Path | None = None
    slope_frac: float | None = None
    seed_at: tuple[float, float] | None = None
    move_s: float | None = None
    gate_width_m: float | None = None
    pattern: PatternWord | None = None
    edge: EdgeWord | None = None
    open_sides: tuple[str, ...] = ()
    neighbor: str = ""

    def __post_init__(self) -> None:
        """Check ranges."""
        if self.slope_frac is not None:
            require_between("slope", self.slope_frac, 0, 2, "_typed_frac", example='"8 %"')
        if self.gate_width_m is not None:
            require_between("gate_width", self.gate_width_m, 0.5, 100, "_m", example='"14 ft"')
        if self.move_s is not None:
            require_between("move", self.move_s, 0, 86_400, "_s", example='"25 min"')


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Everything that a plan needs besides the fields."""

    path: Path
    drill: Drill
    mixes: tuple[Mix, ...]
    working: WorkingTerms
    booking: BookingTerms
    loading: LoadingTerms = field(
        default_factory=lambda: LoadingTerms(empty_bag_kg=0.0, bale_kg=50 * POUND_KG, scale_kg=0.001)
    )
    tractor: Tractor = field(default_factory=Tractor)
    cost: CostTerms = field(default_factory=CostTerms)
    seed_law: SeedLaw = field(default_factory=SeedLaw)
    fields: Mapping[str, FieldTerms] = field(default_factory=dict)
    notes: tuple[Note, ...] = ()

    def __post_init__(self) -> None:
        """Check that the parts fit each other."""
        names = [mix.name for mix in self.mixes]
        require(len(set(names)) == len(names), "mix-twice")

        lots: dict[tuple[str, str], Component] = {}
        for component in (component for mix in self.mixes for component in mix.components):
            lot = (component.species, component.lot)
            known = lots.setdefault(lot, component)
            require(known.same_tag(component), "lot-twice", species=lot[0], lot=lot[1])

        weights: dict[str, float] = {}
        for carrier in (
            component.carrier for mix in self.mixes for component in mix.components if component.carrier
        ):
            weight = weights.setdefault(carrier.name, carrier.bulk_kg_per_m3)
            require(weight == carrier.bulk_kg_per_m3, "carrier-twice", carrier=carrier.name)

    def terms_for(self, field_id: str) -> FieldTerms:
        """The terms of a field; empty if the job file does not name it."""
        return self.fields.get(field_id, FieldTerms())
