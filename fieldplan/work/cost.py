"""What a job costs: rental, seed, fuel and labour, each from an input or a published range."""

from __future__ import annotations

from collections.abc import Iterable

from fieldplan.model.budget import OrderLine
from fieldplan.model.cost import CostLine, CostTerms, JobCost
from fieldplan.model.fee import Acres, JobFacts
from fieldplan.model.plan import FieldPlan
from fieldplan.model.totals import Totals
from fieldplan.tables import read as tables
from fieldplan.units import ACRE_M2, GALLON_M3, HOUR_S
from fieldplan.work.fee import fee_of, held_of


def ground_of(fields: Iterable[FieldPlan]) -> dict[Acres, float]:
    """Ground of each kind that a district may bill, in m²."""
    totals = Totals.of(one.totals for one in fields)
    return {"map": totals.mapped_m2, "meter": totals.drilled_m2, "to sow": totals.plantable_m2}


def job_cost(
    terms: CostTerms, order: Iterable[OrderLine], acres_m2: dict[Acres, float], job_s: float, field_s: float, days: int | None
) -> JobCost:
    """The cost of a job as far as its parts are known.

    Fuel = drilled area × the published range of diesel for a no-till seeding pass; tractors and ground differ by a third more.

    Parameters
    ----------
    acres_m2
        Mapped, metered and plantable ground.
    job_s, field_s, days
        Hours of the whole job (paid labour), hours in the fields (what a card by the hour bills) and days booked; ``None`` if they cannot
        be booked, and then a rental by days is not known.
    """
    lines: list[CostLine] = []
    unknown: list[str] = []
    fee = None
    if terms.rate_card is None:
        unknown.append("rental (rate_card)")
    else:
        acres = {kind: value / ACRE_M2 for kind, value in acres_m2.items()}
        facts = JobFacts(acres=acres, days=days, hours=field_s / HOUR_S, miles=terms.miles, said=terms.said)
        if days is None and (job_s <= 0 or any(charge.unit == "day" for charge in held_of(terms.rate_card, facts))):
            unknown.append("rental (there are no days to book)")
        else:
            fee = fee_of(terms.rate_card, facts)
            booked = "no days to book" if days is None else f"{days} day(s) booked"
            total = float(fee.total)
            lines.append(CostLine(name="rental", low=total, high=total, how=f"{terms.rate_card.name}, {booked}"))
    order = tuple(order)
    priced = [line for line in order if line.price is not None]
    currency = terms.currency or next((line.price.currency for line in priced if line.price is not None), "$")
    known = [line for line in priced if line.price is not None and line.price.currency == currency]
    if known:
        cost = sum(line.cost or 0.0 for line in known)
        lines.append(
            CostLine(name="seed", low=cost, high=cost, how=f"{len(known)} of {len(order)} lot(s) have a price, whole bags")
        )
    if len(priced) < len(order):
        unknown.append(f"seed of {len(order) - len(priced)} lot(s) (price)")
    if len(known) < len(priced):
        unknown.append(f"seed of {len(priced) - len(known)} lot(s) priced in another currency")
    low_gal, high_gal, source = tables.machinery_range("diesel for a no-till seeding pass", "gal/ac")
    per_m2 = (low_gal * GALLON_M3 / ACRE_M2, high_gal * GALLON_M3 / ACRE_M2)
    fuel_m3 = (acres_m2["meter"] * per_m2[0], acres_m2["meter"] * per_m2[1])
    if terms.fuel_price_per_m3 is None:
        unknown.append("fuel (fuel_price)")
    else:
        how = f"{{low_fuel_m3_per_m2..high_fuel_m3_per_m2}} of diesel in the field (source: {source})"
        low, high = (volume_m3 * terms.fuel_price_per_m3 for volume_m3 in fuel_m3)
        values = {"low_fuel_m3_per_m2": per_m2[0], "high_fuel_m3_per_m2": per_m2[1]}
        lines.append(CostLine(name="fuel", low=low, high=high, how=how, values=values))
    if terms.wage_per_s is None:
        unknown.append("labour (wage)")
    else:
        pay = job_s * terms.wage_per_s
        lines.append(CostLine(name="labour", low=pay, high=pay, how="{work_s} of work, one person", values={"work_s": job_s}))
    return JobCost(currency=currency, lines=tuple(lines), unknown=tuple(unknown), fuel_m3=fuel_m3, fee=fee)
