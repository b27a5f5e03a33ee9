"""What a job costs besides the drill's time, and whether the tractor will do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from fieldplan.model.checks import require_between
from fieldplan.model.fee import Fee, RateCard


@dataclass(frozen=True, slots=True, kw_only=True)
class CostTerms:
    """Prices of a job as far as they are known, all in one currency."""

    rate_card: RateCard | None = None
    said: Mapping[str, str] = field(default_factory=dict)
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
    """One part of the cost, from the least to the most where it is a range.

    ``how`` has places for the quantities that stand in ``values`` in SI, as in a note.
    """

    name: str
    low: float
    high: float
    how: str
    values: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobCost:
    """Rental, seed, fuel and labour as far as they are known; ``unknown`` names the parts that are not."""

    currency: str
    lines: tuple[CostLine, ...]
    unknown: tuple[str, ...]
    fuel_m3: tuple[float, float]
    fee: Fee | None = None

    @property
    def total(self) -> tuple[float, float]:
        """Least and most of all known parts."""
        return sum(line.low for line in self.lines), sum(line.high for line in self.lines)


Verdict = Literal["pass", "warn", "fail", "ask"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TractorCheck:
    """One thing that tractor and drill must agree on: the verdict, the numbers and where the limit comes from.

    ``text`` has places for its quantities, which stand in ``values``, as in a `Note`. ``source`` is a key of the sources, "practice",
    or `OWN_NEED`.
    """

    about: str
    verdict: Verdict
    text: str
    source: str
    values: Mapping[str, float] = field(default_factory=dict)


OWN_NEED = "job file"
"""The source of what the drill's own requirement asks for."""
