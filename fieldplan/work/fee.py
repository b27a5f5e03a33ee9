"""The bill for a job by a rate card, to the cent."""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from typing import assert_never

from fieldplan.errors import InputError, problem
from fieldplan.facts import Fact, Measure, Money, Value, fact
from fieldplan.model.fee import Acres, Charge, Fee, FeeLine, JobFacts, Rate, RateCard, Share, Tiers, Unit

_CENT = Decimal("0.01")
_DIGITS = 6
"""Decimals of billed quantities: 20 acres calculated from square meters stay 20 acres, and in their tier."""


def fee_of(card: RateCard, facts: JobFacts, *, late: bool = True) -> Fee:
    """The bill for a job by a rate card.

    Sums first, then shares of them in the order of the card. Lines that come to nothing are left out,
    except deposits.

    Parameters
    ----------
    late
        Whether lines for late payment count. They assume that nothing is paid before ``paid_after_days``.

    Raises
    ------
    InputError
        If a fact or quantity that the card depends on is not given, or a given fact is unknown to it.
    """
    charges = [charge for charge in charges_that_apply(card, facts) if _in_time(charge, facts)]
    acres = _acres(card.acres, facts)
    sums = [
        (charge, _line(charge, charge.price, _quantity(charge, acres, facts), card.currency))
        for charge in charges
        if not isinstance(charge.price, Share)
    ]
    lines = [line for _, line in _of_alternatives(sums, greater=card.greater)]
    for charge in charges:
        if isinstance(charge.price, Share) and (late or charge.price.each_days is None):
            lines.append(_share_line(charge, charge.price, lines, acres, facts))
    billed = tuple(line for line in lines if line.amount != 0 or line.kind == "deposit")
    return Fee(lines=billed, acres=acres, acres_kind=card.acres)


def charges_that_apply(card: RateCard, facts: JobFacts) -> list[Charge]:
    """The lines of a card whose conditions the facts of a job meet.

    Raises
    ------
    InputError
        If a fact that the card depends on is not given, or a given fact is unknown to it.
    """
    conditions = _conditions(card, facts)
    return [
        charge
        for charge in card.charges
        if all(conditions[name.casefold()] == value.casefold() for name, value in charge.when.items())
    ]


def share_base(share: Share, lines: Iterable[FeeLine], acres: float) -> Decimal:
    """The amount that a share is taken of.

    It is the sum of the charges it names, or of "all". If only ``up_to`` acres count, that sum is
    multiplied by up_to / acres.

    Parameters
    ----------
    lines
        The lines of the bill so far; deposits do not count.
    acres
        Acres billed.
    """
    base = sum(
        (line.amount for line in lines if line.kind == "charge" and share.of in ("all", line.name)),
        Decimal(0),
    )
    if share.up_to is not None and acres > share.up_to:
        base = base * _exact(share.up_to) / _exact(acres)
    return base


def facts_asked(card: RateCard) -> dict[str, frozenset[str]]:
    """The facts that a card depends on, each with the values that it knows, all in lower case."""
    return {name: frozenset(values) for name, values in _asked(card).items()}


def _asked(card: RateCard) -> dict[str, dict[str, str]]:
    """By fact and value, both in lower case: the value as the card writes it."""
    asked: dict[str, dict[str, str]] = {}
    conditions = [card.usual, *(charge.when for charge in card.charges)]
    for name, value in (pair for condition in conditions for pair in condition.items()):
        asked.setdefault(name.casefold(), {})[value.casefold()] = value
    return asked


def _conditions(card: RateCard, facts: JobFacts) -> dict[str, str]:
    """The facts of a job, in lower case, on top of the card's usual ones; unknown names are refused."""
    asked = _asked(card)
    conditions = {name.casefold(): value.casefold() for name, value in card.usual.items()}
    for name, value in facts.conditions.items():
        known = asked.get(name.casefold())
        if known is None and not asked:
            raise InputError.of("fact-unknown/none-asked", card=card.name, name=name)
        if known is None:
            raise InputError.of("fact-unknown", card=card.name, name=name, asked=tuple(asked))
        if value.casefold() not in known:
            raise InputError.of(
                "fact-unknown/value", card=card.name, name=name, value=value, known=tuple(known.values())
            )
        conditions[name.casefold()] = value.casefold()
    missing = [
        problem("fact-not-said", card=card.name, name=name, known=tuple(values.values()))
        for name, values in asked.items()
        if name not in conditions
    ]
    if missing:
        raise InputError(tuple(missing))
    return conditions


def _acres(kind: Acres, facts: JobFacts) -> float:
    if kind in facts.acres:
        return facts.acres[kind]
    match kind:
        case "map":
            raise InputError.of("acres-not-said/map")
        case "meter":
            raise InputError.of("acres-not-said/meter")
        case "to sow":
            raise InputError.of("acres-not-said/to-sow")
        case _:
            assert_never(kind)


def _in_time(charge: Charge, facts: JobFacts) -> bool:
    """A line for prompt payment applies only if the day of payment is known and in time."""
    return charge.paid_within_days is None or (
        facts.paid_after_days is not None and facts.paid_after_days <= charge.paid_within_days
    )


def _quantity(charge: Charge, acres: float, facts: JobFacts) -> float:
    match charge.unit:
        case "use":
            return 1.0
        case "ac":
            return round(acres, _DIGITS)
        case "day":
            return _known(facts.days, charge, "days")
        case "hour":
            return _known(facts.hours, charge, "hours")
        case "mile":
            return _known(facts.miles, charge, "miles")
        case _:
            assert_never(charge.unit)


def _known(value: float | None, charge: Charge, called: str) -> float:
    if value is None:
        raise InputError.of("quantity-not-said", name=charge.name, called=called)
    return value


def _line(charge: Charge, price: Rate | Tiers, quantity: float, currency: str) -> FeeLine:
    billed = max(quantity, charge.min_quantity)
    amount, how = _priced(price, charge.unit, billed, currency)
    if how and billed > quantity:
        how = fact("fee-least-quantity", how=how, least=_billed(charge.min_quantity, charge.unit))
    if charge.minimum is not None and amount < charge.minimum:
        amount, how = charge.minimum, fact("fee-least-charge", how=how) if how else fact("fee-least-charge")
    return FeeLine(
        name=charge.name,
        kind=charge.kind,
        amount=_cents(amount),
        how=how,
        billed_ac=billed if charge.unit == "ac" else 0.0,
    )


def _priced(price: Rate | Tiers, unit: Unit, quantity: float, currency: str) -> tuple[Decimal, Fact | None]:
    """The amount for a quantity and how it was calculated; ``None`` for a plain sum."""
    match price:
        case Rate():
            return _by_rate(price, unit, quantity, currency)
        case Tiers(whole_job=True):
            return _by_one_tier(price, unit, quantity, currency)
        case Tiers():
            return _by_each_tier(price, unit, quantity, currency)
        case _:
            assert_never(price)


def _by_rate(price: Rate, unit: Unit, quantity: float, currency: str) -> tuple[Decimal, Fact | None]:
    counted = max(0.0, quantity - price.free)
    amount = _exact(counted) * price.rate
    if unit == "use":
        return amount, None
    free = {"free": Measure(price.free, "_billed")} if price.free else {}
    return amount, fact(
        "fee-rate", billed=_billed(counted, unit), rate=Money(price.rate, currency, exact=True), **free
    )


def _by_one_tier(price: Tiers, unit: Unit, quantity: float, currency: str) -> tuple[Decimal, Fact]:
    """The whole quantity at the rate of its tier.

    A fraction over an upper bound falls in the next tier or, without ``fraction_next``, stays below it.
    """
    compared = quantity if price.fraction_next else math.floor(quantity)
    tier = next(tier for tier in price.tiers if tier.to is None or compared <= tier.to)
    if tier.rate is None:
        return tier.flat or Decimal(0), fact("fee-flat")
    how = fact(
        "fee-rate/whole-job", billed=_billed(quantity, unit), rate=Money(tier.rate, currency, exact=True)
    )
    return _exact(quantity) * tier.rate, how


def _by_each_tier(price: Tiers, unit: Unit, quantity: float, currency: str) -> tuple[Decimal, Fact]:
    """Each part of the quantity at the rate of the tier in which it falls."""
    amount, before, parts = Decimal(0), 0.0, list[Fact]()
    for tier in price.tiers:
        upper = math.inf if tier.to is None else tier.to
        within = max(0.0, min(quantity, upper) - before)
        if tier.flat is not None and (quantity > before or before == 0):
            amount += tier.flat
            to = {} if tier.to is None else {"to": _billed(tier.to, unit)}
            parts.append(fact("fee-flat/tier", flat=Money(tier.flat, currency, exact=True), **to))
        elif tier.rate is not None and within > 0:
            amount += _exact(within) * tier.rate
            parts.append(
                fact("fee-rate", billed=_billed(within, unit), rate=Money(tier.rate, currency, exact=True))
            )
        before = upper
    return amount, fact("fee-tiers", parts=tuple(parts))


def _of_alternatives(lines: list[tuple[Charge, FeeLine]], *, greater: bool) -> list[tuple[Charge, FeeLine]]:
    """Of each group of alternatives only the line with the greater, or the smaller, amount."""
    kept = [pair for pair in lines if not pair[0].one_of]
    for group in dict.fromkeys(pair[0].one_of for pair in lines if pair[0].one_of):
        alternatives = [pair for pair in lines if pair[0].one_of == group]
        pick = max if greater else min
        kept.append(pick(alternatives, key=lambda pair: pair[1].amount))
    return kept


def _share_line(
    charge: Charge, share: Share, lines: Iterable[FeeLine], acres: float, facts: JobFacts
) -> FeeLine:
    """A share of another line, or of all: a rebate, a surcharge, or a charge for late payment."""
    values: dict[str, Value] = {"share_signed_frac": float(share.share_frac), "of": share.of}
    if share.up_to is not None and acres > share.up_to:
        values |= {"up_to": Measure(share.up_to, "_billed"), "acres": _billed(acres, "ac")}
    times = 1
    if share.each_days is not None:
        times = max(0, math.ceil((facts.paid_after_days or 0) / share.each_days) - 1)
        values |= {"n_times": times, "n_days": share.each_days}
    amount = share_base(share, lines, acres) * share.share_frac * times
    return FeeLine(
        name=charge.name, kind=charge.kind, amount=_cents(amount), how=fact("fee-share", **values)
    )


def _billed(quantity: float, unit: Unit) -> Measure:
    """A quantity in the card's own unit: acres stay acres, also for readers of metric units."""
    return Measure(quantity, f"_billed_{unit}")


def _exact(value: float) -> Decimal:
    return Decimal(repr(round(value, _DIGITS)))


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(_CENT, rounding=ROUND_HALF_UP)
