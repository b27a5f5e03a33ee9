"""What a request owes by the rate card. Acres on the map, acres on the meter and acres billed are three figures."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
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
    down: Collection[tuple[str, date]] = (),
    works: Callable[[str, date], bool] = lambda *_: True,
) -> Bill:
    """The bill for all rentals of a request, as of a day.

    Payment days count from the return of the drill. A discount for prompt payment counts if payments in
    time reached the reduced sum and were not paid back; until the time is over it is an offer. A charge for
    late payment counts what was unpaid at the end of each of its periods.

    Parameters
    ----------
    account
        Account of the entries up to ``as_of``.
    ground
        Fields of the request on the map.
    lost, down
        Drill and day of each day lost to weather, and to a breakdown.
    works
        Whether a drill, by its name, works on a day.

    Raises
    ------
    PlanError
        If no drill went out, or one is still out.
    InputError
        If the card asks for a fact that was not recorded.
    """
    renter, request = account.request.renter, account.request.request_id
    if not account.rentals:
        raise PlanError.of("bill-no-loan", renter=renter, request=request, by_typed_day=as_of)
    drills_out = tuple(rental.drill for rental in account.rentals if rental.back is None)
    if drills_out:
        raise PlanError.of(
            "bill-still-out", drills=drills_out, renter=renter, request=request, on_typed_day=as_of
        )
    free = free_days(account, card, lost, down, works)
    facts = _facts(account, ground, card, len(free))
    try:
        charges = charges_that_apply(card, facts)
        fee_of(card, facts, late=False)
    except InputError as error:
        raise InputError.from_other(
            error, about=f"{renter} ({request})", cure=fact("record-bill-fact")
        ) from None
    back = max(rental.back.day for rental in account.rentals if rental.back)
    fee, offer, prompt_days = _prompt(account, card, charges, facts, as_of)
    late = [
        _late(charge, fee, account, back, as_of, card.currency)
        for charge in charges
        if charge.each_days is not None
    ]
    fee = replace(fee, lines=(*fee.lines, *(line for line in late if line.amount)))
    return Bill(
        account=account,
        card=card,
        as_of=as_of,
        mapped_m2=sum(field.mapped_m2 for field in ground),
        drilled_m2=account.drilled_m2,
        billed_ac=fee.billed_ac,
        fee=fee,
        if_prompt=offer,
        prompt_days=prompt_days,
        paid=_paid(account, as_of),
        lost_days=len(_within(account, lost)),
        down_days=len(_within(account, down)),
        free_days=free,
    )


def _prompt(
    account: Account, card: RateCard, charges: Sequence[Charge], facts: JobFacts, as_of: date
) -> tuple[Fee, Decimal | None, int | None]:
    """The fee, less if it was paid promptly; else what it would be, if that is less and can still be had; and the days of it."""
    back = max(rental.back.day for rental in account.rentals if rental.back)
    fee, offer, offer_days = fee_of(card, facts, late=False), None, None
    for days in sorted({charge.paid_within_days for charge in charges if charge.paid_within_days}):
        until = back + timedelta(days=days)
        prompt = fee_of(card, replace(facts, paid_after_days=float(days)), late=False)
        if min(_paid(account, until), _paid(account, as_of)) >= prompt.total:
            return prompt, None, days
        if offer is None and as_of <= until and prompt.total < fee.total:
            offer, offer_days = prompt.total, days
    return fee, offer, offer_days


def free_days(
    account: Account,
    card: RateCard,
    lost: Collection[tuple[str, date]],
    down: Collection[tuple[str, date]],
    works: Callable[[str, date], bool],
) -> tuple[date, ...]:
    """The days out that charges by the day leave out, by the words of the rate card: weekdays, dates, days off, days lost,
    days down. A day that a renter has two drills out counts unless both leave it out.
    """
    without = {"days lost": lost, "days down": down}

    def is_free(drill: str, day: date) -> bool:
        return (
            day.weekday() in card.free_weekdays
            or day in card.free_dates
            or ("days off" in card.free_kinds and not works(drill, day))
            or any(kind in card.free_kinds and (drill, day) in days for kind, days in without.items())
        )

    return tuple(
        day
        for day in account.days_out
        if all(
            is_free(rental.drill, day)
            for rental in account.rentals
            if rental.back and rental.out.day <= day <= rental.back.day
        )
    )


def _within(account: Account, days: Collection[tuple[str, date]]) -> set[date]:
    """Those of the days that fall into a rental of their drill."""
    return {
        day
        for rental in account.rentals
        for drill, day in days
        if drill == rental.drill and rental.out.day <= day <= (rental.back or rental.out).day
    }


def _paid(account: Account, by: date) -> Decimal:
    return sum((entry.facts["sum"] for entry in account.paid if entry.day <= by), Decimal(0))


def _late(charge: Charge, fee: Fee, account: Account, back: date, as_of: date, currency: str) -> FeeLine:
    """A share of what was unpaid at the end of each period that is over; the first period is free."""
    share = charge.share
    assert share is not None
    assert share.each_days is not None
    base = share_base(share, fee.lines, fee.acres)
    amount, unpaid = Decimal(0), []
    due = back + timedelta(days=share.each_days)
    while due < as_of and fee.total > 0:
        left = max(Decimal(0), fee.total - _paid(account, due))
        amount += (base * left / fee.total * share.share_frac).quantize(Decimal("0.01"), ROUND_HALF_UP)
        unpaid += [left] if left else []
        due += timedelta(days=share.each_days)
    times = tuple(
        fact("fee-late/time", n_times=len(list(same)), unpaid=Money(sum_unpaid, currency))
        for sum_unpaid, same in groupby(unpaid)
    )
    how = fact("fee-late", share_signed_frac=float(share.share_frac), n_days=share.each_days, times=times)
    return FeeLine(name=charge.name, kind=charge.kind, amount=amount, how=how)


def _facts(account: Account, ground: Sequence[Ground], card: RateCard, n_free: int) -> JobFacts:
    acres: dict[Acres, float] = {
        "map": sum(field.mapped_m2 for field in ground) / ACRE_M2,
        "meter": account.drilled_m2 / ACRE_M2,
        "to sow": sum(field.plantable_m2 for field in ground) / ACRE_M2,
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
        days=float(account.days - n_free),
        hours=sum(hours) if len(hours) == len(account.rentals) else None,
        miles=sum(miles) if len(miles) == len(account.rentals) else None,
        conditions={**row, **account.facts},
    )
