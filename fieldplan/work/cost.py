"""What a job costs: rental, seed, fuel and labor, each from an input or a published range."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from fieldplan.facts import Fact, fact
from fieldplan.model.budget import OrderLine
from fieldplan.model.cost import CostLine, CostTerms, JobCost
from fieldplan.model.fee import Acres, Fee, JobFacts
from fieldplan.model.plan import FieldPlan
from fieldplan.model.totals import Totals
from fieldplan.tables import read as tables
from fieldplan.units import ACRE_M2, HOUR_S
from fieldplan.work.fee import charges_that_apply, fee_of


def ground_of(fields: Iterable[FieldPlan]) -> dict[Acres, float]:
    """Ground of each kind that a rental program may bill, in m²: mapped, drilled and plantable."""
    totals = Totals.of(field.totals for field in fields)
    return {"map": totals.mapped_m2, "meter": totals.drilled_m2, "to sow": totals.plantable_m2}


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought:
    """What a job takes that has a price.

    Parameters
    ----------
    acres_m2
        Mapped, drilled and plantable ground, by the kinds of acres that rate cards bill.
    job_s
        Time of the whole job: what is paid as labor.
    field_s
        Time in the fields: what a rate card by the hour bills.
    days
        Days to book; ``None`` if nothing can be booked, and then a rental by the day is not known.
    fee
        The bill by the rate card; ``None`` without a card or without the days that it bills.
    """

    terms: CostTerms
    order: tuple[OrderLine, ...]
    acres_m2: Mapping[Acres, float]
    job_s: float
    field_s: float
    days: int | None
    fee: Fee | None = None

    @property
    def facts(self) -> JobFacts:
        """The facts that a rate card may ask for."""
        acres = {kind: value / ACRE_M2 for kind, value in self.acres_m2.items()}
        return JobFacts(
            acres=acres,
            days=self.days,
            hours=self.field_s / HOUR_S,
            miles=self.terms.miles,
            conditions=self.terms.conditions,
        )

    @property
    def currency(self) -> str:
        """The currency of the prices or, where the job file has none, of the first lot with a price."""
        of_lots = (line.price.currency for line in self.order if line.price is not None)
        return self.terms.currency or next(of_lots, "$")

    @property
    def fuel_m3(self) -> tuple[float, float]:
        """Lowest and highest fuel use: drilled area × published diesel for a no-till seeding pass.

        The range is a row of ``tables/machinery.csv`` with its source.
        """
        low, high, _ = _fuel_m3_per_m2()
        return self.acres_m2["meter"] * low, self.acres_m2["meter"] * high


def _rental(job: Bought) -> Iterator[CostLine | Fact]:
    if job.terms.rate_card is None:
        yield fact("cost-unknown/rental")
    elif job.fee is None:
        yield fact("cost-unknown/rental-days")
    else:
        card, total = job.terms.rate_card.name, float(job.fee.total)
        how = fact("cost-rental/no-days", card=card)
        if job.days is not None:
            how = fact("cost-rental", card=card, n_days=job.days)
        yield CostLine(name="rental", low=total, high=total, how=how, by_drill=True)


def _seed(job: Bought) -> Iterator[CostLine | Fact]:
    priced = [line for line in job.order if line.price is not None]
    known = [line for line in priced if line.price is not None and line.price.currency == job.currency]
    if known:
        cost = sum(line.cost or 0.0 for line in known)
        how = fact("cost-seed", n_known=len(known), n_lots=len(job.order))
        yield CostLine(name="seed", low=cost, high=cost, how=how)
    if len(priced) < len(job.order):
        yield fact("cost-unknown/seed", n_lots=len(job.order) - len(priced))
    if len(known) < len(priced):
        yield fact("cost-unknown/seed-currency", n_lots=len(priced) - len(known))


def _fuel(job: Bought) -> Iterator[CostLine | Fact]:
    price = job.terms.fuel_price_per_m3
    if price is None:
        yield fact("cost-unknown/fuel")
        return
    low, high, source = _fuel_m3_per_m2()
    how = fact("cost-fuel", low_fuel_m3_per_m2=low, high_fuel_m3_per_m2=high, source=source)
    min_m3, max_m3 = job.fuel_m3
    yield CostLine(name="fuel", low=min_m3 * price, high=max_m3 * price, how=how, sources=(source,))


def _labor(job: Bought) -> Iterator[CostLine | Fact]:
    if job.terms.wage_per_s is None:
        yield fact("cost-unknown/labour")
        return
    pay = job.job_s * job.terms.wage_per_s
    yield CostLine(name="labor", low=pay, high=pay, how=fact("cost-labour", work_s=job.job_s))


ITEMS: tuple[Callable[[Bought], Iterator[CostLine | Fact]], ...] = (_rental, _seed, _fuel, _labor)
"""The items of the cost. Each yields a line if its cost is known, and a fact for what is not."""


def job_cost(
    terms: CostTerms,
    order: Iterable[OrderLine],
    acres_m2: dict[Acres, float],
    job_s: float,
    field_s: float,
    days: int | None,
) -> JobCost:
    """The cost of a job, item by item, and the items whose cost is not known.

    Parameters
    ----------
    acres_m2
        Ground by the kinds of acres that rate cards bill, as `ground_of` gives it.
    job_s
        Time of the whole job, paid as labor.
    field_s
        Time in the fields.
    days
        Days to book; ``None`` if nothing can be booked.
    """
    job = Bought(
        terms=terms, order=tuple(order), acres_m2=acres_m2, job_s=job_s, field_s=field_s, days=days
    )
    job = replace(job, fee=_fee(job))
    found = [part for item in ITEMS for part in item(job)]
    return JobCost(
        currency=job.currency,
        fee=job.fee,
        fuel_m3=job.fuel_m3,
        fuel_sources=_fuel_m3_per_m2()[2:],
        lines=tuple(part for part in found if isinstance(part, CostLine)),
        unknown=tuple(part for part in found if isinstance(part, Fact)),
    )


def _fee(job: Bought) -> Fee | None:
    """The bill by the rate card; ``None`` without a card, or if it bills days and none can be booked."""
    card, facts = job.terms.rate_card, job.facts
    if card is None:
        return None
    no_days = job.days is None and (
        job.job_s <= 0 or any(charge.unit == "day" for charge in charges_that_apply(card, facts))
    )
    return None if no_days else fee_of(card, facts)


def _fuel_m3_per_m2() -> tuple[float, float, str]:
    return tables.machinery_range("diesel for a no-till seeding pass", "m3/m2")
