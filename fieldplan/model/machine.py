"""The drill, its boxes and the tractor in front of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fieldplan.model.checks import MASS_RATES_KG_PER_M2, require, require_between

BoxKind = Literal["grain", "native", "small"]
Reverse = Literal["where needed", "never", "free"]
"""Whether turns may back up: where nothing else fits or it saves enough time, never, or wherever it saves any."""
HitchKind = Literal["drawbar", "three-point", "ball"]
MIN_WIDTH_M = 0.5
"""Smallest effective width that can be planned."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedBox:
    """One seed box of a drill.

    Parameters
    ----------
    usable_frac
        Share of the volume that may be filled.
    min_frac
        Share of the volume that the box should not fall below.
    swept
        Whether the last seed is swept to the meters once no more of a mix is to be sown. Otherwise the
        minimum level stays in the box as residual seed.
    min_assumed
        Whether the minimum level is assumed, as the job file does not give it.
    metering_m3_per_m2
        Smallest and largest volume rate that the box can meter, if known.
    drive
        What drives its meters, if it is a drive of its own.
    lands
        Where its seed falls.
    cleaning_s, resetting_s
        Time to empty and clean it before other seed, and to set and calibrate it again for another mix.
    """

    name: str
    kind: BoxKind
    volume_m3: float
    usable_frac: float
    min_frac: float
    swept: bool = True
    min_assumed: bool = False
    metering_m3_per_m2: tuple[float, float] | None = None
    drive: str = ""
    lands: str = ""
    cleaning_s: float = 0.0
    resetting_s: float = 0.0

    def __post_init__(self) -> None:
        """Check ranges."""
        for name in ("cleaning", "resetting"):
            require_between(name, getattr(self, f"{name}_s"), 0, 86_400, "_s", example='"10 min"')
        require_between("volume", self.volume_m3, 0, 20, "_box_m3", example='"8 ft3"', above_low=True)
        require_between("usable", self.usable_frac, 0, 1, "_typed_frac", example='"90 %"', above_low=True)
        require(0 <= self.min_frac < self.usable_frac, "out-of-range/least", key="residual")
        if self.metering_m3_per_m2 is not None:
            low, high = self.metering_m3_per_m2
            require(0 <= low < high, "out-of-range/metering", key="metering")

    @property
    def working_m3(self) -> float:
        """Volume that can be sown between the fill line and the minimum level."""
        return self.volume_m3 * (self.usable_frac - self.min_frac)

    @property
    def min_m3(self) -> float:
        """Minimum level: the volume to keep in the box while more is to be sown."""
        return self.volume_m3 * self.min_frac


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartPoint:
    """One line of the maker's rate chart as typed: the bulk rate of a seed at a setting of a gear range.

    Parameters
    ----------
    seed
        The species or, for a box that holds several lots or a carrier, the mix.
    box
        The box that it is for; empty for any.
    gate
        What the chart says of the seed gate; empty if nothing.
    """

    seed: str
    gear_range: str
    setting: float
    bulk_kg_per_m2: float
    box: str = ""
    gate: str = ""

    def __post_init__(self) -> None:
        """Check ranges."""
        require_between("setting", self.setting, 0, 1e5, example="40")
        require_between(
            "rate", self.bulk_kg_per_m2, *MASS_RATES_KG_PER_M2, "_typed_kg_per_m2", example='"45 lb/ac"'
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Hitch:
    """The hitch that a drill needs or a tractor has; ``category`` of its pins and links, if given."""

    kind: HitchKind
    category: int | None = None

    def __str__(self) -> str:
        """The hitch in trade words, as a job file has it."""
        return self.kind if self.category is None else f"{self.kind} category {self.category}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tractor:
    """What is known of the tractor; ``None`` for what was not given.

    Parameters
    ----------
    front_reach_m
        How far its outer front corner runs outside the path of the drill's middle in a turn.
    weight_kg
        With its ballast.
    """

    pto_power_w: float | None = None
    remotes: int | None = None
    front_reach_m: float | None = None
    weight_kg: float | None = None
    hitch: Hitch | None = None
    drive: str = ""

    def __post_init__(self) -> None:
        """Check ranges."""
        _require_power_and_remotes("", self.pto_power_w, self.remotes)
        if self.front_reach_m is not None:
            require_between("front_reach", self.front_reach_m, 0, 20, "_m", example='"10 ft"')
        if self.weight_kg is not None:
            require_between("weight", self.weight_kg, 200, 60_000, "_kg", example='"9000 lb"')


@dataclass(frozen=True, slots=True, kw_only=True)
class Drill:
    """A grain or native-seed drill. Effective width = rows × row spacing − wanted pass overlap.

    Parameters
    ----------
    turning_radius_m
        Of tractor and drill together with the drill lifted, to the middle of the drill.
    sowing_radius_m
        Tightest arc with the openers in the ground, to the middle of the drill; ``None`` for twice the
        turning radius.
    pass_radius_m
        Tightest curve that passes follow, to the middle of the drill; ``None`` for ten drill widths.
    follows_bend_deg
        Largest change of direction in one sweep that the openers can follow in the ground.
    reverse
        Whether the rig may back up in turns: where nothing else fits or it saves time, never, or freely.
    notch_depth_m
        Depth of one notch of the depth stop.
    min_pto_power_w, min_remotes, hitch
        What its owner asks of a tractor; ``None`` if not known.
    lender
        Who lends it, with the telephone.
    letterhead
        Lines at the head of papers: who lends it.
    chart
        The maker's rate chart, as far as it was typed.
    """

    name: str
    rows: int
    row_spacing_m: float
    turning_radius_m: float
    sowing_radius_m: float | None = None
    pass_radius_m: float | None = None
    pass_overlap_m: float = 0.0
    follows_bend_deg: float
    reverse: Reverse = "where needed"
    boxes: tuple[SeedBox, ...] = ()
    wheel_circumference_m: float | None = None
    notch_depth_m: float
    transport_width_m: float | None = None
    weight_kg: float | None = None
    min_pto_power_w: float | None = None
    min_remotes: int | None = None
    hitch: Hitch | None = None
    lender: str = ""
    letterhead: tuple[str, ...] = ()
    chart: tuple[ChartPoint, ...] = ()

    def __post_init__(self) -> None:
        """Check ranges."""
        require_between("rows", self.rows, 1, 200, example="16")
        require_between("row_spacing", self.row_spacing_m, 0.02, 3.0, "_small_m", example='"7.5 in"')
        require_between(
            "turning_radius", self.turning_radius_m, 0, 60, "_m", example='"20 ft"', above_low=True
        )
        if self.sowing_radius_m is not None:
            tighter = {"radius_m": self.turning_radius_m}
            require(self.sowing_radius_m >= self.turning_radius_m, "out-of-range/sowing-radius", **tighter)
        if self.pass_radius_m is not None:
            tighter = {"radius_m": self.sowing_radius_m or self.turning_radius_m}
            require(self.pass_radius_m >= tighter["radius_m"], "out-of-range/pass-radius", **tighter)
        require_between("follows_bend", self.follows_bend_deg, 0, 90, "_deg", example='"30 deg"')
        width_m = self.rows * self.row_spacing_m
        require(0 <= self.pass_overlap_m < width_m, "out-of-range/overlap", key="pass_overlap")
        narrow = {"width_m": self.effective_width_m, "least_m": MIN_WIDTH_M}
        require(self.effective_width_m >= MIN_WIDTH_M, "out-of-range/width", **narrow)
        if self.wheel_circumference_m is not None:
            require_between(
                "wheel_circumference", self.wheel_circumference_m, 0.2, 12, "_m", example='"7.6 ft"'
            )
        require_between("notch_depth", self.notch_depth_m, 0.0005, 0.1, "_small_m", example='"0.25 in"')
        if self.transport_width_m is not None:
            require_between("transport_width", self.transport_width_m, 0.5, 15, "_m", example='"12 ft"')
        if self.weight_kg is not None:
            require_between("weight", self.weight_kg, 20, 60_000, "_kg", example='"4500 lb"')
        _require_power_and_remotes("min_", self.min_pto_power_w, self.min_remotes)
        lines = [
            (point.box, point.seed.casefold(), point.gear_range.casefold(), point.setting)
            for point in self.chart
        ]
        require(len(set(lines)) == len(lines), "chart-twice")
        names = [box.name for box in self.boxes]
        require(len(set(names)) == len(names), "box-twice")

    @property
    def effective_width_m(self) -> float:
        """Width of new ground that each pass sows beside the one before."""
        return self.rows * self.row_spacing_m - self.pass_overlap_m

    def box(self, name: str) -> SeedBox | None:
        """The box with this name; ``None`` if the drill has none."""
        return next((box for box in self.boxes if box.name == name), None)


def _require_power_and_remotes(of: str, power_w: float | None, remotes: int | None) -> None:
    if power_w is not None:
        require_between(f"{of}pto_power", power_w, 1000, 1e6, "_w", example='"75 hp"')
    if remotes is not None:
        require_between(f"{of}remotes", remotes, 0, 12, example="1")
