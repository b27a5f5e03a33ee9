"""What to catch from a box, and what a catch turned out to be."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.errors import Problem
from fieldplan.model.notes import Source


@dataclass(frozen=True, slots=True, kw_only=True)
class CatchTarget:
    """What one box should let fall over the ground of the catch, at the wanted rate of seed and carrier."""

    box: str
    contents: str
    rate_kg_per_m2: float
    row_kg: float
    drill_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Catch:
    """A weighed catch beside the wanted rate; ``next_setting`` where the setting was said, or in
    ``no_setting`` why the chart gives none.
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
        """Real over wanted rate, less one."""
        return self.real_kg_per_m2 / self.wanted_kg_per_m2 - 1

    @property
    def near_enough(self) -> bool:
        """Whether the error is within the pass band (a choice of this project: no source states one)."""
        return abs(self.error_frac) <= self.near_enough_frac


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """The ground of a catch, the targets on it, and the catch if there was one."""

    row_spacing_m: float
    rows: int
    distance_m: float
    turns: float | None
    slip_frac: float
    targets: tuple[CatchTarget, ...]
    sources: tuple[Source, ...]
    caught: Catch | None = None
