"""A rate card as data, the facts of a job that it asks for, and the bill."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Literal

from fieldplan.facts import Fact

Unit = Literal["ac", "day", "hour", "mile", "use"]
Acres = Literal["map", "meter", "to sow"]
FreeDays = Literal["days off", "days lost", "days down"]
"""Days that a drill does not work, lost to weather, or was out of work."""
ChargeKind = Literal["charge", "deposit"]

UNIT_WORDS: Mapping[Unit, tuple[str, ...]] = {
    "ac": ("ac", "acre", "acres"),
    "day": ("day", "days"),
    "hour": ("h", "hour", "hours", "hr"),
    "mile": ("mi", "mile", "miles"),
    "use": ("use", "job"),
}
"""Units that cards charge by, as they may be written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tier:
    """A band of acres, days or miles, at a rate per unit or for a flat sum.

    ``to`` is its upper bound; ``None`` means that it has none.
    """

    to: float | None
    rate: Decimal | None
    flat: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """A plain rate: amount = rate × (quantity − free)."""

    rate: Decimal
    free: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiers:
    """Rates by tiers.

    Parameters
    ----------
    whole_job
        Whether the tier in which the quantity falls holds for all of it. Otherwise each tier holds for the
        part of the quantity in it.
    fraction_next
        Whether a fraction over an upper bound falls in the next tier; otherwise it stays in the lower one.
    """

    tiers: tuple[Tier, ...]
    whole_job: bool = True
    fraction_next: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """A share of another line, or of "all": the lines that are no share, and the shares above this one.

    Parameters
    ----------
    share_frac
        The share; negative for a rebate.
    of
        Name of the other line, or "all".
    up_to
        Acres to which the share is limited; ``None`` for all.
    each_days
        For late payment: due once for every such period after the first one.
    """

    share_frac: Decimal
    of: str
    up_to: float | None = None
    each_days: int | None = None


Price = Rate | Tiers | Share


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """One line of a rate card.

    Parameters
    ----------
    minimum
        Least amount.
    min_quantity
        Least quantity that is billed.
    paid_within_days
        For prompt payment: applies only if payment comes within these days.
    when
        Facts of the job, by name, with the values for which the line applies.
    one_of
        Name of a group of alternatives, of which only the greater or the smaller amount counts.
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
        """The price as a share, if it is one."""
        return self.price if isinstance(self.price, Share) else None

    @property
    def each_days(self) -> int | None:
        """Days after which a charge for late payment falls due again; ``None`` for other charges."""
        return self.share.each_days if self.share else None


@dataclass(frozen=True, slots=True, kw_only=True)
class RateCard:
    """A rate card.

    Parameters
    ----------
    acres
        Which acres it bills: mapped, on the drill's meter, or plantable ("to sow").
    usual
        Facts that are assumed if the job does not give them.
    greater
        Whether the greater of alternative amounts counts; otherwise the smaller.
    due_days
        Days from the return of the drill in which invoices are due; ``None`` if it does not say.
    terms
        Terms of payment, as the lender words them.
    free_weekdays, free_dates, free_kinds
        Days that charges by the day do not count: weekdays (Monday is 0), dates, and kinds of days.
    """

    name: str
    currency: str
    acres: Acres
    charges: tuple[Charge, ...]
    usual: Mapping[str, str] = field(default_factory=dict)
    greater: bool = True
    due_days: int | None = None
    terms: tuple[str, ...] = ()
    free_weekdays: frozenset[int] = frozenset()
    free_dates: frozenset[date] = frozenset()
    free_kinds: frozenset[FreeDays] = frozenset()

    @property
    def paid_in_days(self) -> int | None:
        """Days from the return in which invoices are due: as the card says, or until it first charges for being late."""
        late = [charge.each_days for charge in self.charges if charge.each_days is not None]
        return self.due_days if self.due_days is not None else min(late, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobFacts:
    """What the bill of a job depends on, as far as it is known.

    Parameters
    ----------
    acres
        Acres by kind.
    hours
        Hours in the fields.
    conditions
        Other facts by name.
    """

    acres: Mapping[Acres, float]
    days: float | None = None
    hours: float | None = None
    miles: float | None = None
    paid_after_days: float | None = None
    conditions: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class FeeLine:
    """One line of the bill.

    Parameters
    ----------
    how
        How the amount was calculated; ``None`` for a plain sum.
    billed_ac
        Acres that it bills, if it goes by the acre.
    """

    name: str
    kind: ChargeKind
    amount: Decimal
    how: Fact | None = None
    billed_ac: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Fee:
    """The bill for a job. Deposits come back and are not part of its total."""

    lines: tuple[FeeLine, ...]
    acres: float
    acres_kind: Acres

    @property
    def total(self) -> Decimal:
        """Sum of all charges, without deposits."""
        return sum((line.amount for line in self.lines if line.kind == "charge"), Decimal(0))

    @property
    def billed_ac(self) -> float:
        """Acres billed: those of the card's kind or, if more, the least acres that a line bills."""
        return max([self.acres, *(line.billed_ac for line in self.lines)])

    @property
    def deposits(self) -> Decimal:
        """Sum of the deposits."""
        return sum((line.amount for line in self.lines if line.kind == "deposit"), Decimal(0))
