"""The drill, its boxes and the tractor in front of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fieldplan.model.checks import require, require_between
from fieldplan.units import shown_distance

BoxKind = Literal["grain", "native", "small"]
HitchKind = Literal["drawbar", "three-point", "ball"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedBox:
    """One seed box. ``usable_frac`` of its volume may be filled; it should not fall under ``least_frac`` of it.

    ``swept``: when no more of a mix is to be sown, the last bit is run and swept out to the meters; else the least level stays in the box.
    ``least_assumed``: nobody gave the least level.
    """

    name: str
    kind: BoxKind
    volume_m3: float
    usable_frac: float
    least_frac: float
    swept: bool = True
    least_assumed: bool = False
    metering_m3_per_m2: tuple[float, float] | None = None
    drive: str = ""
    lands: str = ""

    def __post_init__(self) -> None:
        """Check ranges."""
        require_between("volume", self.volume_m3, 0, 20, shown='above 0 and up to 20 m3, such as "8 ft3"', above_low=True)
        require_between(
            "usable",
            self.usable_frac,
            0,
            1,
            shown='above 0 % and up to 100 %, such as "90 %"',
            above_low=True,
        )
        require(
            0 <= self.least_frac < self.usable_frac,
            "out-of-range",
            "least is not less than usable",
            'such as least = "10 %", usable = "90 %"',
        )
        if self.metering_m3_per_m2 is not None:
            low, high = self.metering_m3_per_m2
            require(
                0 <= low < high,
                "out-of-range",
                "metering does not run from low to high",
                '["0.2 bu/ac", "4 bu/ac"]',
            )

    @property
    def working_m3(self) -> float:
        """Volume that can be sown between a fill and the least level."""
        return self.volume_m3 * (self.usable_frac - self.least_frac)

    @property
    def least_m3(self) -> float:
        """Volume under which it should not fall while more is to be sown."""
        return self.volume_m3 * self.least_frac


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartPoint:
    """One line of the maker's rate chart as the user typed it: what a setting of a gear range sows of a seed, in bulk."""

    seed: str
    gear_range: str
    setting: float
    bulk_kg_per_m2: float

    def __post_init__(self) -> None:
        """Check ranges."""
        require_between("setting", self.setting, 0, 1e5, shown="from 0 to 100,000, such as 40")
        require_between("rate", self.bulk_kg_per_m2, 1e-8, 0.3, shown='from 0.0001 to 2,600 lb/ac, such as "45 lb/ac"')


@dataclass(frozen=True, slots=True, kw_only=True)
class Hitch:
    """How a drill is hitched, or what a tractor offers for it; the category is that of its pins and links, ``None`` if not said."""

    kind: HitchKind
    category: int | None = None

    def __str__(self) -> str:
        """The hitch in trade words, as a job file has it."""
        return self.kind if self.category is None else f"{self.kind} category {self.category}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tractor:
    """What is known of the tractor; ``None`` where it was not said."""

    pto_power_w: float | None = None
    remotes: int | None = None
    hitch: Hitch | None = None
    drive: str = ""

    def __post_init__(self) -> None:
        """Check ranges."""
        _require_power_and_remotes("", self.pto_power_w, self.remotes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drill:
    """A grain or native-seed drill. Effective width = rows × row spacing − wanted pass overlap.

    ``min_pto_power_w``, ``min_remotes`` and ``hitch`` are what it asks of a tractor, as its owner posts it; ``None`` if that is not known.
    """

    name: str
    rows: int
    row_spacing_m: float
    turning_radius_m: float
    pass_overlap_m: float = 0.0
    follows_bend_deg: float = 30.0
    reverse_turns: bool = False
    boxes: tuple[SeedBox, ...] = ()
    wheel_circumference_m: float | None = None
    notch_depth_m: float = 0.00635
    transport_width_m: float | None = None
    weight_kg: float | None = None
    min_pto_power_w: float | None = None
    min_remotes: int | None = None
    hitch: Hitch | None = None
    chart: tuple[ChartPoint, ...] = ()

    def __post_init__(self) -> None:
        """Check ranges."""
        require_between("rows", self.rows, 1, 200, shown="a whole number from 1 to 200")
        require_between("row_spacing", self.row_spacing_m, 0.02, 3.0, shown='from 0.02 to 3 m, such as "7.5 in"')
        require_between("turning_radius", self.turning_radius_m, 0, 60, shown='above 0 and up to 60 m, such as "20 ft"',
                        above_low=True)  # fmt: skip
        require_between("follows_bend", self.follows_bend_deg, 0, 90, shown='from 0 to 90 degrees, such as "30 deg"')
        require(
            0 <= self.pass_overlap_m < self.rows * self.row_spacing_m,
            "out-of-range",
            "pass_overlap is not between nothing and the width of the drill",
            'such as "4 in"',
        )
        require(
            self.effective_width_m >= 0.5,
            "out-of-range",
            f"rows × row_spacing − pass_overlap gives a drill {shown_distance(self.effective_width_m)} wide",
            "fieldplan plans drills of 0.5 m (1.7 ft) and wider",
        )
        if self.wheel_circumference_m is not None:
            require_between(
                "wheel_circumference", self.wheel_circumference_m, 0.2, 12, shown='from 0.2 to 12 m, such as "7.6 ft"'
            )
        require_between("notch_depth", self.notch_depth_m, 0.0005, 0.1, shown='from 0.5 to 100 mm, such as "0.25 in"')
        if self.transport_width_m is not None:
            require_between("transport_width", self.transport_width_m, 0.5, 15, shown='from 0.5 to 15 m, such as "12 ft"')
        if self.weight_kg is not None:
            require_between("weight", self.weight_kg, 20, 60_000, shown='from 20 kg to 60 t, such as "4500 lb"')
        _require_power_and_remotes("min_", self.min_pto_power_w, self.min_remotes)
        lines = [(one.seed.casefold(), one.gear_range.casefold(), one.setting) for one in self.chart]
        require(
            len(set(lines)) == len(lines),
            "chart-twice",
            "the rate chart has the same setting of a seed and range twice",
            "keep the line that the chart shows",
        )
        names = [box.name for box in self.boxes]
        require(
            len(set(names)) == len(names),
            "box-twice",
            "two boxes have the same name",
            "give each box its own name",
        )

    @property
    def effective_width_m(self) -> float:
        """Ground newly sown by one pass beside another."""
        return self.rows * self.row_spacing_m - self.pass_overlap_m

    def box(self, name: str) -> SeedBox | None:
        """The box of that name, if the drill has one."""
        return next((box for box in self.boxes if box.name == name), None)


def _require_power_and_remotes(of: str, power_w: float | None, remotes: int | None) -> None:
    if power_w is not None:
        require_between(f"{of}pto_power", power_w, 1000, 1e6, shown='from 1 kW to 1 MW, such as "75 hp"')
    if remotes is not None:
        require_between(f"{of}remotes", remotes, 0, 12, shown="a whole number from 0 to 12, such as 1")
