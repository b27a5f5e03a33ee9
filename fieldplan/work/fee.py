"""The bill for a job by a rate card, to the cent."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from decimal import ROUND_HALF_UP, Decimal
from typing import assert_never

from fieldplan.errors import InputError, problem
from fieldplan.facts import Fact, Measure, Money, Value, fact
from fieldplan.model.fee import Acres, Charge, Fee, FeeLine, JobFacts, Rate, RateCard, Share, Tiers, Unit

_CENT = Decimal("0.01")
_DIGITS = 6
"""Acres are counted to so many digits: 20 acres that came out of square metres are 20 acres, and in their tier."""


def fee_of(card: RateCard, facts: JobFacts, *, late: bool = True) -> Fee:
    """What a job costs by a card.

    Parameters
    ----------
    late
        Whether lines for late payment count, all of the sum being unpaid until it is paid.

    Raises
    ------
    InputError
        If the card asks for a fact that was not said, or bills acres that are not known.
    """
    held = [one for one in held_of(card, facts) if _in_time(one, facts)]
    acres = _acres(card.acres, facts)
    plain = [
        (one, _line(one, one.price, _quantity(one, acres, facts), card.currency))
        for one in held
        if not isinstance(one.price, Share)
    ]
    lines = [line for _, line in _of_alternatives(plain, greater=card.greater)]
    for one in held:
        if isinstance(one.price, Share) and (late or one.price.each_days is None):
            lines.append(_share_line(one, one.price, lines, acres, facts))
    shown = tuple(line for line in lines if line.amount != 0 or line.kind == "deposit")
    return Fee(lines=shown, acres=acres, acres_kind=card.acres)


def held_of(card: RateCard, facts: JobFacts) -> list[Charge]:
    """The lines of a card whose conditions hold.

    Raises
    ------
    InputError
        If the card asks for a fact that was not said.
    """
    return _held(card, _conditions(card, facts))


def share_base(share: Share, lines: Iterable[FeeLine], acres: float) -> Decimal:
    """What a line is a share of: the lines of the name that it says, or all of them; for no more than so
    many of the acres.
    """
    base = sum(
        (line.amount for line in lines if line.kind == "charge" and share.of in ("all", line.name)),
        Decimal(0),
    )
    if share.up_to is not None and acres > share.up_to:
        base = base * _exact(share.up_to) / _exact(acres)
    return base


def facts_asked(card: RateCard) -> dict[str, frozenset[str]]:
    """The facts that a card depends on and the values that it knows, all in small letters."""
    return {name: frozenset(values) for name, values in _asked(card).items()}


def _asked(card: RateCard) -> dict[str, dict[str, str]]:
    """Facts by name, their values by name, both in small letters; values as the card writes them."""
    asked: dict[str, dict[str, str]] = {}
    for name, value in (
        *card.usual.items(),
        *(pair for charge in card.charges for pair in charge.when.items()),
    ):
        asked.setdefault(name.casefold(), {})[value.casefold()] = value
    return asked


def _conditions(card: RateCard, facts: JobFacts) -> dict[str, str]:
    """The facts of a job by name in small letters; names and values that the card does not know are
    refused, not left out.
    """
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


def _held(card: RateCard, conditions: Mapping[str, str]) -> list[Charge]:
    """The lines whose conditions hold."""
    return [
        charge
        for charge in card.charges
        if all(conditions[name.casefold()] == value.casefold() for name, value in charge.when.items())
    ]


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
    """A prompt-pay line holds only if payment comes in time; not said, it does not."""
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
    """What so much comes to, and how; nothing need be told of a plain sum."""
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
    """The tier of a whole job; a fraction over a bound falls in the next tier, or stays in the lower
    one.
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
    """Of lines that are alternatives only the greater, or the smaller, sum of each group of names."""
    kept = [pair for pair in lines if not pair[0].one_of]
    for group in dict.fromkeys(pair[0].one_of for pair in lines if pair[0].one_of):
        own = [pair for pair in lines if pair[0].one_of == group]
        pick = max if greater else min
        kept.append(pick(own, key=lambda pair: pair[1].amount))
    return kept


def _share_line(
    charge: Charge, share: Share, lines: Iterable[FeeLine], acres: float, facts: JobFacts
) -> FeeLine:
    """A share of another line, or of all: a rebate, a surcharge, what late payment adds."""
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
    """A quantity as cards count it: acres are acres for every reader."""
    return Measure(quantity, f"_billed_{unit}")


def _exact(value: float) -> Decimal:
    return Decimal(repr(round(value, _DIGITS)))


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(_CENT, rounding=ROUND_HALF_UP)
