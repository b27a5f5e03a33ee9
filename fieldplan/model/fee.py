"""A district's rate card as data, the facts of a job that it asks for, and the bill."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

Unit = Literal["ac", "day", "hour", "mile", "use"]
Acres = Literal["map", "meter", "to sow"]
ChargeKind = Literal["charge", "deposit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tier:
    """A band of acres, days or miles: up to ``to`` (``None``: all beyond), at a rate for each or for one flat sum."""

    to: float | None
    rate: Decimal | None
    flat: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """One line of a rate card.

    Money = rate × (quantity − free), at least ``least`` and for at least ``least_quantity``; or by ``tiers``; or a ``share`` of
    another line (or of "all" lines that are no share, and the shares above it), for no more than ``up_to`` of the acres; with ``each_days`` once for every such
    period that payment comes later than the first.
    A line holds only where the facts in ``when`` do. Of lines with the same ``one_of`` only the greater or the smaller counts.
    """

    name: str
    unit: Unit = "use"
    kind: ChargeKind = "charge"
    rate: Decimal | None = None
    tiers: tuple[Tier, ...] = ()
    whole_job: bool = True
    fraction_next: bool = True
    least: Decimal | None = None
    least_quantity: float = 0.0
    free: float = 0.0
    up_to: float | None = None
    share_frac: Decimal | None = None
    of: str = ""
    each_days: int | None = None
    paid_within_days: int | None = None
    when: Mapping[str, str] = field(default_factory=dict)
    one_of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RateCard:
    """All lines of a card; which acres it bills; what holds if nothing is said; whether alternatives go by the greater sum."""

    name: str
    currency: str
    acres: Acres
    charges: tuple[Charge, ...]
    usual: Mapping[str, str] = field(default_factory=dict)
    greater: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class JobFacts:
    """What the bill depends on; acres of each kind as far as they are known."""

    acres: Mapping[Acres, float]
    days: float | None = None
    hours: float | None = None
    miles: float | None = None
    paid_after_days: float | None = None
    said: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class FeeLine:
    """One line of the bill and how it came about; ``billed_ac`` is how many acres it counts, if it goes by the acre."""

    name: str
    kind: ChargeKind
    amount: Decimal
    how: str
    billed_ac: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Fee:
    """The bill. A deposit comes back and is no revenue."""

    lines: tuple[FeeLine, ...]
    acres: float
    acres_kind: Acres

    @property
    def total(self) -> Decimal:
        """All charges, without deposits."""
        return sum((line.amount for line in self.lines if line.kind == "charge"), Decimal(0))

    @property
    def billed_ac(self) -> float:
        """Acres billed: those of the card's kind, or the least that a line counts if that is more."""
        return max([self.acres, *(line.billed_ac for line in self.lines)])

    @property
    def deposits(self) -> Decimal:
        """What is held and comes back."""
        return sum((line.amount for line in self.lines if line.kind == "deposit"), Decimal(0))
