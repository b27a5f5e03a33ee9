"""The cover of a job: what to book, buy, bring, pay and ask, as facts that every output begins with."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from typing import Literal

from fieldplan.facts import Fact, Money, Value, case_of, fact
from fieldplan.model.budget import CarrierLine, OrderLine
from fieldplan.model.cost import TractorCheck
from fieldplan.model.plan import Plan
from fieldplan.model.work import Booking, Odds

Question = Literal["book", "seed", "tractor", "fee", "ask"]
NEVER_SURE = 0.999
"""All years of a record are no certainty."""
_KEYS = {"power": "pto_power", "hydraulics": "remotes", "hitch": "hitch"}
FIT_CHECKS = tuple(_KEYS)
"""Checks that tell whether a tractor can pull and lift the drill; the others are about the road and the ground."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One answer of the cover.

    Parameters
    ----------
    question
        What it answers.
    says
        The answer.
    why
        What it consists of, or what it rests on.
    lacks
        What is not known, each with the key that would supply it.
    """

    question: Question
    says: Fact
    why: tuple[Fact, ...] = ()
    lacks: tuple[Fact, ...] = ()


Cover = tuple[Answer, ...]


def cover_of(plan: Plan) -> Cover:
    """The answers in the order in which they are needed: book, seed, tractor, fee, ask.

    Parameters
    ----------
    plan
        A finished plan; its notes count.
    """
    return (_book(plan), _seed(plan), _tractor(plan), _fee(plan), _ask(plan))


def _book(plan: Plan) -> Answer:
    booking, terms = plan.booking, plan.job.booking
    lacks = () if terms.start else (fact("cover-lacks/start"),)
    if not booking.odds:
        return Answer(question="book", says=fact("cover-book/nothing"))
    work: dict[str, Value] = {
        "job_s": plan.job_time.job_s,
        "n_fit_days": booking.fieldwork_days_needed,
        "least_s": booking.day_s[0],
        "most_s": booking.day_s[1],
    }
    why = [fact("cover-work", **work), *_around(booking)]
    if booking.suggested_days is None:
        says = fact("cover-book/none", asked_prob=booking.confidence_prob)
        return Answer(question="book", says=says, why=tuple(why), lacks=lacks)
    found: dict[str, Value] = {"n_days": booking.suggested_days, "done_prob": booking.prob}
    odds = booking.of_suggested
    if odds is not None and odds.range_prob is not None and booking.counted is not None:
        low, high = odds.range_prob
        found |= {
            "done_prob": min(odds.prob, NEVER_SURE),
            "n_years": len(booking.counted.used),
            "low_prob": low,
            "high_prob": min(high, NEVER_SURE),
        }
        if odds.n_met is not None:
            found["n_met"] = odds.n_met
    if booking.finish is None:
        says = fact("cover-book", **found)
    else:
        first = booking.finish - timedelta(days=booking.suggested_days - 1)
        says = fact("cover-book/dates", **found, first_weekday=first, last_weekday=booking.finish)
    if terms.finish_by is not None and booking.latest_start is not None:
        end: dict[str, Value] = {
            "asked_prob": booking.confidence_prob,
            "start_weekday": booking.latest_start,
        }
        why.append(fact("cover-finish-by", finish_weekday=terms.finish_by, **end))
    return Answer(question="book", says=says, why=tuple(why), lacks=lacks)


def _around(booking: Booking) -> Iterator[Fact]:
    """The odds of one day fewer and one more."""
    of: dict[int, Odds] = {odds.days: odds for odds in booking.odds}
    days = booking.suggested_days
    if days is None or days - 1 not in of or days + 1 not in of:
        return
    fewer, more = (min(of[n].prob, NEVER_SURE) for n in (days - 1, days + 1))
    asked = booking.confidence_prob
    just_below = fewer < asked and round(100 * fewer) == round(100 * asked)
    if just_below:  # it must not read like the odds that were asked for
        fewer = math.floor(fewer * 1000) / 1000
    code = "cover-around/just-below" if just_below else "cover-around"
    yield fact(code, n_fewer=days - 1, fewer_prob=fewer, n_more=days + 1, more_prob=more)


def _seed(plan: Plan) -> Answer:
    if not plan.order:
        return Answer(question="seed", says=fact("cover-seed/nothing"))
    sown = {(line.species, line.lot) for line in plan.order}
    lots = [
        ((part.species, part.lot), part)
        for mix in plan.job.mixes
        for part in mix.components
        if (part.species, part.lot) in sown
    ]
    treated = {lot for lot, part in lots if part.treated}
    untested = {lot for lot, part in lots if part.tested is None}
    unsaid = {lot for lot, part in lots if part.treated is None}
    n_unlabeled = sum(not line.lot for line in plan.order)
    n_priceless = sum(line.price is None for line in plan.order)
    lacking = {"lot": n_unlabeled, "tested": len(untested), "price": n_priceless, "treated": len(unsaid)}
    lacks = {name: n for name, n in lacking.items() if n}
    of_tags = tuple(case_of("cover-of-tag", name, n_lots=n) for name, n in lacks.items())
    return Answer(
        question="seed",
        says=fact("cover-seed", n_bags=plan.bags, n_lots=len(plan.order)),
        why=(
            *(_lot(line, treated=(line.species, line.lot) in treated) for line in plan.order),
            *(_carrier(line) for line in plan.carriers),
        ),
        lacks=(fact("cover-lacks/lots", keys=tuple(lacks), names=of_tags),) if lacks else (),
    )


def _lot(line: OrderLine, *, treated: bool) -> Fact:
    """What to buy of one lot."""
    bought: dict[str, Value] = {
        "n_bags": line.bags,
        "bag_kg": line.bag_kg,
        "ordered_kg": line.ordered_kg,
    }
    if treated:
        bought["treated"] = fact("step-holds-treated")
    return fact("cover-lot", species=line.species, lot=line.lot, **bought)


def _carrier(line: CarrierLine) -> Fact:
    return fact("cover-carrier", name=line.name, carrier_kg=line.kg)


def _tractor(plan: Plan) -> Answer:
    """No if a check fails; not known if one of power, hydraulics and hitch cannot be made; else yes."""
    checks = plan.tractor
    failing = [check for check in checks if check.verdict == "fail"]
    fit = [check for check in checks if check.about in FIT_CHECKS]
    unknown = [check for check in fit if check.verdict == "ask"]
    doubtful = [check for check in checks if check.verdict == "warn"]
    keys = tuple(_KEYS[check.about] for check in unknown)
    names = tuple(case_of("cover-need", key) for key in keys)
    lacks = (fact("cover-lacks/tractor", keys=keys, names=names),) if keys else ()
    if failing:
        return Answer(
            question="tractor",
            says=fact("cover-tractor/no"),
            why=_named([*failing, *doubtful]),
            lacks=lacks,
        )
    if unknown:
        said = [check for check in fit if check.verdict == "pass"]
        why = (*(check.text for check in (*unknown, *said)), *_named(doubtful))
        return Answer(question="tractor", says=fact("cover-tractor/not-known"), why=why, lacks=lacks)
    if doubtful:
        return Answer(question="tractor", says=fact("cover-tractor/care"), why=_named(doubtful))
    why = tuple(check.text for check in fit)
    return Answer(question="tractor", says=fact("cover-tractor/yes"), why=why)


def _named(checks: list[TractorCheck]) -> tuple[Fact, ...]:
    """Checks with what they are about before them."""
    return tuple(fact("cover-check", check=check.about, why=check.text) for check in checks)


def _fee(plan: Plan) -> Answer:
    terms, cost, days = plan.job.cost, plan.cost, plan.booking.suggested_days
    if terms.rate_card is None:
        return Answer(
            question="fee", says=fact("cover-fee/not-known"), lacks=(fact("cover-lacks/rate-card"),)
        )
    card = terms.rate_card.name
    if cost.fee is None:
        return Answer(question="fee", says=fact("cover-fee/no-days", card=card))
    named: dict[str, Value] = {"card": card} if days is None else {"card": card, "n_days": days}
    if cost.fee.deposits:
        named["deposit"] = Money(float(cost.fee.deposits), cost.currency)
    return Answer(
        question="fee", says=fact("cover-fee", fee=Money(float(cost.fee.total), cost.currency), **named)
    )


def _ask(plan: Plan) -> Answer:
    """What the district knows: whether the drill is free, what it charges, and what the drill needs."""
    drill, booking = plan.job.drill, plan.booking
    asked = []
    if booking.suggested_days is not None and booking.finish is not None:
        first = booking.finish - timedelta(days=booking.suggested_days - 1)
        asked.append(fact("cover-ask/free-on", first_weekday=first, last_weekday=booking.finish))
    elif booking.suggested_days is not None:
        asked.append(fact("cover-ask/free", n_days=booking.suggested_days))
    if plan.job.cost.rate_card is None:
        asked.append(fact("cover-ask/fee"))
    of_tractor = {
        "min_pto_power": drill.min_pto_power_w,
        "min_remotes": drill.min_remotes,
        "hitch": drill.hitch,
    }
    of_drill = {"weight": drill.weight_kg, "transport_width": drill.transport_width_m}
    keys = []
    for case, known in (("needs", of_tractor), ("is", of_drill)):
        lacking = [key for key, value in known.items() if value is None]
        if lacking:
            named = tuple(case_of("cover-need", key) for key in lacking)
            asked.append(case_of("cover-ask", case, named=named))
        keys += lacking
    boxes = _unmetered(plan)
    if boxes:
        asked.append(fact("cover-ask/metering", boxes=boxes))
        keys.append("metering")
    asked.append(fact("cover-ask/manual"))
    lacks = (fact("cover-lacks/drill", keys=tuple(keys)),) if keys else ()
    return Answer(question="ask", says=fact("cover-ask"), why=tuple(asked), lacks=lacks)


def _unmetered(plan: Plan) -> tuple[str, ...]:
    """Boxes that are used and of which nobody said how little and how much they can meter."""
    used = {box.box for field in plan.driven for box in field.seed.boxes}
    return tuple(
        box.name for box in plan.job.drill.boxes if box.metering_m3_per_m2 is None and box.name in used
    )
