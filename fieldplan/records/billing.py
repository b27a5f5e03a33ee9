"""What a request owes by the rate card. Acres on the map, acres that the meter counted and acres billed are three figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from fieldplan.errors import PlanError
from fieldplan.model.fee import Acres, JobFacts, RateCard
from fieldplan.model.records import Account, Bill, Ground
from fieldplan.units import ACRE_M2, HOUR_S, MILE_M
from fieldplan.work.fee import fee_of


def bill_of(account: Account, ground: Sequence[Ground], card: RateCard, as_of: date) -> Bill:
    """The bill for all loans of a request, as it stands on a day.

    Days run from the return of the drill. Until it is paid in full, lines for prompt payment are shown as an offer while there is time
    for them, and late payment is reckoned to ``as_of``; once it is, both go by the day of the last payment.

    Raises
    ------
    PlanError
        If no drill went out, or one is still out.
    InputError
        If the card asks for a fact that nobody wrote down.
    """
    name = f"{account.request.renter} ({account.request.request_id})"
    if not account.loans:
        raise PlanError.of("bill-no-loan", f"No drill went out to {name}.", "fieldplan season record … out")
    if not account.returned:
        raise PlanError.of(
            "bill-still-out", f"{account.loans[-1].drill} is still out with {name}.", "fieldplan season record … in"
        )
    facts = _facts(account, ground, card)
    paid = sum((entry.facts["sum"] for entry in account.paid), Decimal(0))
    back = max(loan.back.day for loan in account.loans if loan.back)
    prompt_days = min((one.paid_within_days for one in card.charges if one.paid_within_days), default=None)
    settled = _settled(account, card, facts, back)
    after = ((settled or as_of) - back).days
    unprompt = replace(card, charges=tuple(one for one in card.charges if one.paid_within_days is None))
    fee = fee_of(unprompt if settled is None else card, replace(facts, paid_after_days=float(max(0, after))))
    offer = None
    if settled is None and prompt_days is not None and after <= prompt_days:
        offer = fee_of(card, replace(facts, paid_after_days=float(max(0, after)))).total
    return Bill(
        account=account, card=card, as_of=as_of, mapped_m2=sum(one.mapped_m2 for one in ground), drilled_m2=account.drilled_m2,
        billed_ac=fee.billed_ac, fee=fee, if_prompt=offer, prompt_days=prompt_days, paid=paid,
    )  # fmt: skip


def _settled(account: Account, card: RateCard, facts: JobFacts, back: date) -> date | None:
    """The day on which payments first held the whole bill as it was then, or ``None``."""
    so_far = Decimal(0)
    for entry in account.paid:
        so_far += entry.facts["sum"]
        if so_far >= fee_of(card, replace(facts, paid_after_days=float(max(0, (entry.day - back).days)))).total:
            return entry.day
    return None


def _facts(account: Account, ground: Sequence[Ground], card: RateCard) -> JobFacts:
    acres: dict[Acres, float] = {
        "map": sum(one.mapped_m2 for one in ground) / ACRE_M2, "meter": account.drilled_m2 / ACRE_M2,
        "to sow": sum(one.plantable_m2 for one in ground) / ACRE_M2,
    }  # fmt: skip
    hours = [loan.back.facts["hours"] / HOUR_S for loan in account.loans if loan.back and "hours" in loan.back.facts]
    miles = [loan.out.facts["miles"] / MILE_M for loan in account.loans if "miles" in loan.out.facts]
    asked = {name.casefold() for name in (*card.usual, *(name for one in card.charges for name in one.when))}
    row = {name: value for name, value in account.request.facts.items() if name.casefold() in asked and value}
    return JobFacts(
        acres=acres, days=float(account.days), hours=sum(hours) if hours else None, miles=sum(miles) if miles else None,
        said={**row, **account.facts},
    )  # fmt: skip
