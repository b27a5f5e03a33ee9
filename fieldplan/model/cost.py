"""The cost of a job, and the checks of the tractor."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from fieldplan.facts import Fact
from fieldplan.model.checks import require_between
from fieldplan.model.fee import Fee, RateCard

OWN_NEED = "job file"
"""Source of a limit that the drill's owner sets: the job file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CostTerms:
    """Prices of a job as far as they are known, all in one currency.

    Parameters
    ----------
    conditions
        Facts of the job that the rate card asks for, by name.
    miles
        Miles that a rate card may bill.
    """

    rate_card: RateCard | None = None
    conditions: Mapping[str, str] = field(default_factory=dict)
    miles: float | None = None
    fuel_price_per_m3: float | None = None
    wage_per_s: float | None = None
    currency: str = ""

    def __post_init__(self) -> None:
        """Check ranges."""
        if self.fuel_price_per_m3 is not None:
            require_between("fuel_price", self.fuel_price_per_m3, 0, 1e5, "", example='"$4.10/gal"')
        if self.wage_per_s is not None:
            require_between("wage", self.wage_per_s, 0, 1, "", example='"$25/h"')


@dataclass(frozen=True, slots=True, kw_only=True)
class CostLine:
    """One part of the cost, as a range from ``low`` to ``high``, and how it was calculated.

    A line ``by_drill`` counts once for each drill that works at the same time.
    """

    name: str
    low: float
    high: float
    how: Fact
    sources: tuple[str, ...] = ()
    by_drill: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class JobCost:
    """The known parts of the cost of a job.

    ``unknown`` names the other parts, each with the key that would make it known.
    """

    currency: str
    lines: tuple[CostLine, ...]
    unknown: tuple[Fact, ...]
    fuel_m3: tuple[float, float]
    fuel_sources: tuple[str, ...]
    fee: Fee | None = None

    @property
    def total(self) -> tuple[float, float]:
        """Lowest and highest sum of the known parts."""
        return sum(line.low for line in self.lines), sum(line.high for line in self.lines)


Verdict = Literal["pass", "warn", "fail", "ask"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TractorCheck:
    """One check of a tractor for a drill: the verdict, the figures and the sources of the limits.

    Parameters
    ----------
    sources
        Keys of sources, that of the limit first. "practice" and `OWN_NEED` may be among them.
    """

    about: str
    verdict: Verdict
    text: Fact
    sources: tuple[str, ...]

    @property
    def source(self) -> str:
        """Key of the source of the limit."""
        return self.sources[0]

    @property
    def unnamed_sources(self) -> tuple[str, ...]:
        """Keys of sources that the text does not already name."""
        return tuple(key for key in self.sources if key not in self.text.values.values())
