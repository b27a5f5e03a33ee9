"""The catch to aim for from each box, and a catch that was weighed."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.errors import Problem
from fieldplan.model.notes import Source


@dataclass(frozen=True, slots=True, kw_only=True)
class CatchTarget:
    """What one box should drop over the distance of the catch, at the wanted rate of seed and carrier.

    Parameters
    ----------
    contents
        What the box holds, in words.
    row_kg, drill_kg
        Catch from one row and from all rows.
    """

    box: str
    contents: str
    rate_kg_per_m2: float
    row_kg: float
    drill_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Catch:
    """A weighed catch beside the wanted rate.

    Parameters
    ----------
    tubes
        Rows that were caught.
    next_setting
        The setting to try next, if the setting of this catch is known.
    no_setting
        Why the rate chart gives no next setting, if it gives none.
    near_enough_frac
        Largest error that needs no other setting.
    """

    kg: float
    tubes: int
    wanted_kg_per_m2: float
    real_kg_per_m2: float
    setting: float | None
    next_setting: float | None
    near_enough_frac: float
    no_setting: Problem | None = None

    @property
    def error_frac(self) -> float:
        """Relative error of the rate: real / wanted − 1."""
        return self.real_kg_per_m2 / self.wanted_kg_per_m2 - 1

    @property
    def near_enough(self) -> bool:
        """Whether the error is within ``near_enough_frac`` (this project's choice: no source states one)."""
        return abs(self.error_frac) <= self.near_enough_frac


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """The distance of a catch, its target for each box, and the catch if there was one.

    Parameters
    ----------
    turns
        Turns of the drive wheel over the distance; ``None`` if it was measured on the ground.
    slip_frac
        Slip of the drive wheel.
    """

    row_spacing_m: float
    rows: int
    distance_m: float
    turns: float | None
    slip_frac: float
    targets: tuple[CatchTarget, ...]
    sources: tuple[Source, ...]
    caught: Catch | None = None
