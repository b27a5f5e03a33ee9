"""A district's rate card as data, the facts of a job that it asks for, and the bill."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from fieldplan.facts import Fact

Unit = Literal["ac", "day", "hour", "mile", "use"]
Acres = Literal["map", "meter", "to sow"]
ChargeKind = Literal["charge", "deposit"]

UNIT_WORDS: Mapping[Unit, tuple[str, ...]] = {
    "ac": ("ac", "acre", "acres"),
    "day": ("day", "days"),
    "hour": ("h", "hour", "hours", "hr"),
    "mile": ("mi", "mile", "miles"),
    "use": ("use", "job"),
}
"""What cards charge by, as they write it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tier:
    """A band of acres, days or miles: up to ``to`` (``None``: all beyond), at a rate for each or for one
    flat sum.
    """

    to: float | None
    rate: Decimal | None
    flat: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """Money = rate × (quantity − free)."""

    rate: Decimal
    free: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiers:
    """Money by bands: each for what falls in it or, for the ``whole_job``, by the one in which all of it
    falls.

    With ``fraction_next`` a fraction over a bound falls in the next band, else it stays in the lower one.
    """

    tiers: tuple[Tier, ...]
    whole_job: bool = True
    fraction_next: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """A share of another line, or of "all" lines that are no share and the shares above it, for no more
    than ``up_to`` of the acres.

    With ``each_days`` it is due once for every such period that payment comes later than the first.
    """

    share_frac: Decimal
    of: str
    up_to: float | None = None
    each_days: int | None = None


Price = Rate | Tiers | Share


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """One line of a rate card: what it comes to, at least ``minimum`` and for at least ``min_quantity``.

    It holds only where the facts in ``when`` do. Of lines with the same ``one_of`` only the greater or the
    smaller counts.
    """

    name: str
    price: Price
    unit: Unit = "use"
    kind: ChargeKind = "charge"
    minimum: Decimal | None = None
    min_quantity: float = 0.0
    paid_within_days: int | None = None
    when: Mapping[str, str] = field(default_factory=dict)
    one_of: str = ""

    @property
    def share(self) -> Share | None:
        """What it is a share of, if it is one."""
        return self.price if isinstance(self.price, Share) else None

    @property
    def each_days(self) -> int | None:
        """The days after which it falls due again if nothing is paid; ``None`` if it is no charge for late
        payment.
        """
        return self.share.each_days if self.share else None


@dataclass(frozen=True, slots=True, kw_only=True)
class RateCard:
    """All lines of a card; which acres it bills; what holds if nothing is said; whether alternatives go by
    the greater sum.
    """

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
    conditions: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class FeeLine:
    """One line of the bill and how it came about, if there is more to it than a sum; ``billed_ac`` is how
    many acres it counts, if it goes by the acre.
    """

    name: str
    kind: ChargeKind
    amount: Decimal
    how: Fact | None = None
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
