"""The bill for a job by a rate card, to the cent."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal

from fieldplan.errors import InputError, Problem
from fieldplan.model.fee import Acres, Charge, Fee, FeeLine, JobFacts, RateCard, Tier

_CENT = Decimal("0.01")
_DIGITS = 6
"""Acres are counted to so many digits: 20 acres that came out of square metres are 20 acres, and in their tier."""
_WORDS = {"ac": "ac", "day": "day(s)", "hour": "h", "mile": "mi", "use": ""}
_NEEDS = {"day": "days", "hour": "hours", "mile": "miles"}


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
    held = _held(card, _said(card, facts))
    acres = _acres(card.acres, facts)
    plain = [one for one in held if one.share_frac is None and _in_time(one, facts)]
    lines = [(one, _line(one, _quantity(one, acres, facts), card.currency)) for one in plain]
    lines = _of_alternatives(lines, greater=card.greater)
    for charge in held:
        if charge.share_frac is not None and _in_time(charge, facts) and (late or charge.each_days is None):
            lines += _shared(charge, lines, acres, facts)
    shown = tuple(line for _, line in lines if line.amount != 0 or line.kind == "deposit")
    return Fee(lines=shown, acres=acres, acres_kind=card.acres)


def held_of(card: RateCard, facts: JobFacts) -> list[Charge]:
    """The lines of a card whose conditions hold.

    Raises
    ------
    InputError
        If the card asks for a fact that was not said.
    """
    return _held(card, _said(card, facts))


def share_base(charge: Charge, lines: Sequence[FeeLine], acres: float) -> Decimal:
    """What a line is a share of: the lines of the name that it says, or all of them; for no more than so many of the acres."""
    base = sum((line.amount for line in lines if line.kind == "charge" and charge.of in ("all", line.name)), Decimal(0))
    if charge.up_to is not None and acres > charge.up_to:
        base = base * _exact(charge.up_to) / _exact(acres)
    return base


def facts_asked(card: RateCard) -> dict[str, frozenset[str]]:
    """The facts that a card depends on and the values that it knows, all in small letters."""
    return {name: frozenset(values) for name, values in _asked(card).items()}


def _asked(card: RateCard) -> dict[str, dict[str, str]]:
    """Facts by name, their values by name, both in small letters; values as the card writes them."""
    asked: dict[str, dict[str, str]] = {}
    for name, value in (*card.usual.items(), *(pair for charge in card.charges for pair in charge.when.items())):
        asked.setdefault(name.casefold(), {})[value.casefold()] = value
    return asked


def _said(card: RateCard, facts: JobFacts) -> dict[str, str]:
    """The facts of a job by name in small letters; names and values that the card does not know are refused, not left out."""
    asked = _asked(card)
    said = {name.casefold(): value.casefold() for name, value in card.usual.items()}
    for name, value in facts.said.items():
        known = asked.get(name.casefold())
        if known is None:
            raise InputError.of(
                "fact-unknown",
                f'The rate card "{card.name}" does not ask for {name}.',
                f"it asks for: {', '.join(asked) or 'nothing'}",
            )
        if value.casefold() not in known:
            raise InputError.of(
                "fact-unknown", f'The rate card "{card.name}" knows no {name} "{value}".', f"one of: {', '.join(known.values())}"
            )
        said[name.casefold()] = value.casefold()
    missing = [
        Problem(code="fact-not-said", told=f'The rate card "{card.name}" depends on {name}, which was not said.',
                told_hint=f"--when {name}=… (or when in [cost]) with one of: {', '.join(values.values())}")
        for name, values in asked.items()
        if name not in said
    ]  # fmt: skip
    if missing:
        raise InputError(tuple(missing))
    return said


def _held(card: RateCard, said: Mapping[str, str]) -> list[Charge]:
    """The lines whose conditions hold."""
    return [one for one in card.charges if all(said[name.casefold()] == value.casefold() for name, value in one.when.items())]


def _acres(kind: Acres, facts: JobFacts) -> float:
    if kind not in facts.acres:
        option = {"map": "--map-acres", "meter": "--meter-acres", "to sow": "--sown-acres"}[kind]
        raise InputError.of(
            "acres-not-said", f"The rate card bills {kind} acres, which were not said.", f"{option}, or fields and a job file"
        )
    return facts.acres[kind]


def _in_time(charge: Charge, facts: JobFacts) -> bool:
    """A prompt-pay line holds only if payment comes in time; not said, it does not."""
    return charge.paid_within_days is None or (
        facts.paid_after_days is not None and facts.paid_after_days <= charge.paid_within_days
    )


def _quantity(charge: Charge, acres: float, facts: JobFacts) -> float:
    if charge.unit == "use":
        return 1.0
    if charge.unit == "ac":
        return round(acres, _DIGITS)
    value = {"day": facts.days, "hour": facts.hours, "mile": facts.miles}[charge.unit]
    if value is None:
        needs = _NEEDS[charge.unit]
        raise InputError.of(
            "quantity-not-said", f'"{charge.name}" is charged by {needs}, which were not said.', f"--{needs} with how many"
        )
    return value


def _line(charge: Charge, quantity: float, currency: str) -> FeeLine:
    billed = max(quantity, charge.least_quantity)
    how = ""
    if charge.tiers:
        amount, how = _tiered(charge, billed, currency)
    else:
        assert charge.rate is not None
        counted = max(0.0, billed - charge.free)
        amount = _exact(counted) * charge.rate
        if charge.unit != "use":
            how = f"{counted:.6g} {_WORDS[charge.unit]} × {_shown(charge.rate, currency)}"
            how += f", after {charge.free:g} free" if charge.free else ""
    if billed > quantity:
        how += f", for the least of {charge.least_quantity:g} {_WORDS[charge.unit]}"
    if charge.least is not None and amount < charge.least:
        amount, how = charge.least, f"the least charge; else {how}" if how else "the least charge"
    return FeeLine(
        name=charge.name, kind=charge.kind, amount=_cents(amount), how=how, billed_ac=billed if charge.unit == "ac" else 0.0
    )  # fmt: skip


def _tiered(charge: Charge, quantity: float, currency: str) -> tuple[Decimal, str]:
    unit = _WORDS[charge.unit]
    if charge.whole_job:
        tier = _tier_of(charge.tiers, quantity, fraction_next=charge.fraction_next)
        amount = tier.flat if tier.flat is not None else _exact(quantity) * (tier.rate or Decimal(0))
        return (
            amount,
            f"{quantity:.6g} {unit} × {currency}{tier.rate}, the tier's rate for the whole job" if tier.rate else "flat",
        )
    amount, before, parts = Decimal(0), 0.0, []
    for tier in charge.tiers:
        upper = math.inf if tier.to is None else tier.to
        within = max(0.0, min(quantity, upper) - before)
        if tier.flat is not None and (quantity > before or before == 0):
            amount += tier.flat
            parts.append(f"{currency}{tier.flat} to {upper:g} {unit}")
        elif tier.rate is not None and within > 0:
            amount += _exact(within) * tier.rate
            parts.append(f"{within:.6g} {unit} × {currency}{tier.rate}")
        before = upper
    return amount, " + ".join(parts)


def _tier_of(tiers: Sequence[Tier], quantity: float, *, fraction_next: bool) -> Tier:
    """The tier of a whole job; a fraction over a bound falls in the next tier, or stays in the lower one."""
    compared = quantity if fraction_next else math.floor(quantity)
    return next(tier for tier in tiers if tier.to is None or compared <= tier.to)


def _of_alternatives(lines: list[tuple[Charge, FeeLine]], *, greater: bool) -> list[tuple[Charge, FeeLine]]:
    """Of lines that are alternatives only the greater, or the smaller, sum of each group of names."""
    kept = [pair for pair in lines if not pair[0].one_of]
    for group in dict.fromkeys(pair[0].one_of for pair in lines if pair[0].one_of):
        own = [pair for pair in lines if pair[0].one_of == group]
        pick = max if greater else min
        kept.append(pick(own, key=lambda pair: pair[1].amount))
    return kept


def _shared(
    charge: Charge, lines: Sequence[tuple[Charge, FeeLine]], acres: float, facts: JobFacts
) -> list[tuple[Charge, FeeLine]]:
    """A share of another line, or of all: a rebate, a surcharge, what late payment adds."""
    assert charge.share_frac is not None
    base = share_base(charge, [line for _, line in lines], acres)
    how = f"{charge.share_frac * 100:+g} % of {charge.of}"
    if charge.up_to is not None and acres > charge.up_to:
        how += f", for {charge.up_to:g} of {acres:.6g} ac"
    times = 1
    if charge.each_days is not None:
        times = max(0, math.ceil((facts.paid_after_days or 0) / charge.each_days) - 1)
        how += f", {times} × {charge.each_days} days over"
    return [(charge, FeeLine(name=charge.name, kind=charge.kind, amount=_cents(base * charge.share_frac * times), how=how))]


def _shown(rate: Decimal, currency: str) -> str:
    return f"{'−' if rate < 0 else ''}{currency}{abs(rate)}"


def _exact(value: float) -> Decimal:
    return Decimal(repr(round(value, _DIGITS)))


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(_CENT, rounding=ROUND_HALF_UP)
