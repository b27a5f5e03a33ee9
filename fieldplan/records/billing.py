"""What a request owes by the rate card. Acres on the map, acres that the meter counted and acres billed are
three figures.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from itertools import groupby

from fieldplan.errors import InputError, PlanError
from fieldplan.facts import Money, fact
from fieldplan.model.fee import Acres, Charge, Fee, FeeLine, JobFacts, RateCard
from fieldplan.model.records import Account, Bill, Ground
from fieldplan.units import ACRE_M2, HOUR_S, MILE_M
from fieldplan.work.fee import charges_that_apply, fee_of, share_base


def bill_of(
    account: Account,
    ground: Sequence[Ground],
    card: RateCard,
    as_of: date,
    lost: Collection[tuple[str, date]] = (),
) -> Bill:
    """The bill for all loans of a request, as it stands on a day.

    Days run from the return of the drill. Lines for prompt payment hold if payments in time came to the sum
    that they leave, and stayed; while there is time they are an offer. A line for late payment counts, at
    the end of each of its periods, what was unpaid then.

    Parameters
    ----------
    account
        Of the entries up to ``as_of``.
    lost
        Drills and days that were lost to weather.

    Raises
    ------
    PlanError
        If no drill went out, or one is still out.
    InputError
        If the card asks for a fact that nobody wrote down.
    """
    renter, request = account.request.renter, account.request.request_id
    if not account.rentals:
        raise PlanError.of("bill-no-loan", renter=renter, request=request, by_typed_day=as_of)
    out = tuple(rental.drill for rental in account.rentals if rental.back is None)
    if out:
        raise PlanError.of("bill-still-out", drills=out, renter=renter, request=request, on_typed_day=as_of)
    facts = _facts(account, ground, card)
    try:
        held = charges_that_apply(card, facts)
        fee_of(card, facts, late=False)
    except InputError as error:
        raise InputError.from_other(
            error, about=f"{renter} ({request})", cure=fact("record-bill-fact")
        ) from None
    back = max(rental.back.day for rental in account.rentals if rental.back)
    fee, offer, prompt_days = fee_of(card, facts, late=False), None, None
    for days in sorted({one.paid_within_days for one in held if one.paid_within_days}):
        until = back + timedelta(days=days)
        prompt = fee_of(card, replace(facts, paid_after_days=float(days)), late=False)
        if min(_paid(account, until), _paid(account, as_of)) >= prompt.total:
            fee, offer, prompt_days = prompt, None, days
            break
        if offer is None and as_of <= until and prompt.total < fee.total:
            offer, prompt_days = prompt.total, days
    late = [
        _late(one, fee, account, back, as_of, card.currency) for one in held if one.each_days is not None
    ]
    fee = replace(fee, lines=(*fee.lines, *(line for line in late if line.amount)))
    return Bill(
        account=account,
        card=card,
        as_of=as_of,
        mapped_m2=sum(one.mapped_m2 for one in ground),
        drilled_m2=account.drilled_m2,
        billed_ac=fee.billed_ac,
        fee=fee,
        if_prompt=offer,
        prompt_days=prompt_days,
        paid=_paid(account, as_of),
        lost_days=len(
            {
                day
                for rental in account.rentals
                for drill, day in lost
                if drill == rental.drill and rental.out.day <= day <= (rental.back or rental.out).day
            }
        ),
    )


def _paid(account: Account, by: date) -> Decimal:
    return sum((entry.facts["sum"] for entry in account.paid if entry.day <= by), Decimal(0))


def _late(charge: Charge, fee: Fee, account: Account, back: date, as_of: date, currency: str) -> FeeLine:
    """A share of what was unpaid at the end of each period that is over, the first of them being the one
    without it.
    """
    share = charge.share
    assert share is not None
    assert share.each_days is not None
    base = share_base(share, fee.lines, fee.acres)
    amount, unpaid = Decimal(0), []
    end = back + timedelta(days=share.each_days)
    while end < as_of and fee.total > 0:
        left = max(Decimal(0), fee.total - _paid(account, end))
        amount += (base * left / fee.total * share.share_frac).quantize(Decimal("0.01"), ROUND_HALF_UP)
        unpaid += [left] if left else []
        end += timedelta(days=share.each_days)
    times = tuple(
        fact("fee-late/time", n_times=len(list(same)), unpaid=Money(one, currency))
        for one, same in groupby(unpaid)
    )
    how = fact("fee-late", share_signed_frac=float(share.share_frac), n_days=share.each_days, times=times)
    return FeeLine(name=charge.name, kind=charge.kind, amount=amount, how=how)


def _facts(account: Account, ground: Sequence[Ground], card: RateCard) -> JobFacts:
    acres: dict[Acres, float] = {
        "map": sum(one.mapped_m2 for one in ground) / ACRE_M2,
        "meter": account.drilled_m2 / ACRE_M2,
        "to sow": sum(one.plantable_m2 for one in ground) / ACRE_M2,
    }
    hours = [
        rental.back.facts["hours"] / HOUR_S
        for rental in account.rentals
        if rental.back and "hours" in rental.back.facts
    ]
    miles = [
        rental.out.facts["miles"] / MILE_M for rental in account.rentals if "miles" in rental.out.facts
    ]
    asked = {
        name.casefold()
        for name in (*card.usual, *(name for charge in card.charges for name in charge.when))
    }
    row = {
        name: value for name, value in account.request.facts.items() if name.casefold() in asked and value
    }
    return JobFacts(
        acres=acres,
        days=float(account.days),
        hours=sum(hours) if len(hours) == len(account.rentals) else None,
        miles=sum(miles) if len(miles) == len(account.rentals) else None,
        conditions={**row, **account.facts},
    )
