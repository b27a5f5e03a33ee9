"""What a job costs besides the drill's time, and whether the tractor will do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from fieldplan.facts import Fact
from fieldplan.model.checks import require_between
from fieldplan.model.fee import Fee, RateCard

OWN_NEED = "job file"
"""The source of what the drill's own requirement asks for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CostTerms:
    """Prices of a job as far as they are known, all in one currency."""

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
    """One part of the cost, from the least to the most where it is a range, and how it came about.

    A line ``by_drill`` is owed again for every drill that is at work at the same time.
    """

    name: str
    low: float
    high: float
    how: Fact
    sources: tuple[str, ...] = ()
    by_drill: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class JobCost:
    """The items of a job as far as they are known; ``unknown`` names the parts that are not, and what would
    make them known.
    """

    currency: str
    lines: tuple[CostLine, ...]
    unknown: tuple[Fact, ...]
    fuel_m3: tuple[float, float]
    fuel_sources: tuple[str, ...]
    fee: Fee | None = None

    @property
    def total(self) -> tuple[float, float]:
        """Least and most of all known parts."""
        return sum(line.low for line in self.lines), sum(line.high for line in self.lines)


Verdict = Literal["pass", "warn", "fail", "ask"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TractorCheck:
    """One thing that tractor and drill must agree on: the verdict, the numbers and where the limits come
    from.

    ``sources`` are keys of the sources, the first that of the limit: "practice" or `OWN_NEED` among them.
    What the text names as a source itself stands among its values.
    """

    about: str
    verdict: Verdict
    text: Fact
    sources: tuple[str, ...]

    @property
    def source(self) -> str:
        """Where the limit comes from."""
        return self.sources[0]

    @property
    def unnamed_sources(self) -> tuple[str, ...]:
        """The sources that the text does not name itself."""
        return tuple(key for key in self.sources if key not in self.text.values.values())
