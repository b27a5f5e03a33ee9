"""Targets of mixes for tests, made of few words."""

from __future__ import annotations

from collections.abc import Mapping

from fieldplan.model.mix_design import Measured, Offer, Target
from fieldplan.model.seed import Component, Price, Rate
from fieldplan.units import ACRE_M2, POUND_KG, SQUARE_FOOT_M2

Span = tuple[float | None, float | None]


def offer(
    species: str,
    seeds_per_lb: float,
    *,
    price: float | None = None,
    group: str = "",
    lot: str = "1",
    pls: float = 1.0,
    at_hand_lb: float | None = None,
) -> Offer:
    """A lot by its seeds per pound, its share of live seed and its price in dollars a pound of bulk."""
    component = Component(
        species=species,
        lot=lot,
        box="native",
        rate=Rate(value=1 / SQUARE_FOOT_M2, basis="live seeds"),
        purity_frac=pls,
        germination_frac=1.0,
        hard_frac=0.0,
        dormant_frac=0.0,
        bulk_kg_per_m3=100.0,
        bag_kg=50 * POUND_KG,
        seeds_per_kg=seeds_per_lb / POUND_KG,
        price=None if price is None else Price(per_kg=price / POUND_KG, currency="$"),
    )
    return Offer(
        component=component,
        group=group,
        at_hand_kg=None if at_hand_lb is None else at_hand_lb * POUND_KG,
    )


def target(
    *offers: Offer,
    seeds: Span | None = None,
    spans: Mapping[tuple[Measured, str], Span] | None = None,
    budget: float | None = None,
    aim: str = "cheapest",
    acres: float | None = None,
    overage: float = 0.0,
) -> Target:
    """A target with seeds in all and of parts in seeds/ft², shares as fractions, money in dollars an acre."""
    whole: dict[tuple[Measured, str], Span] = {} if seeds is None else {("seeds", ""): seeds}

    def si(measured: str, span: Span) -> Span:
        factor = {"seeds": 1 / SQUARE_FOOT_M2, "pls": POUND_KG / ACRE_M2}.get(measured, 1.0)
        low, high = (None if end is None else end * factor for end in span)
        return low, high

    given = whole | dict(spans or {})
    return Target(
        name="m",
        offers=offers,
        spans={key: si(key[0], span) for key, span in given.items()},
        overage_frac=overage,
        aim="most seeds" if aim == "most seeds" else "cheapest",
        ground_m2=None if acres is None else acres * ACRE_M2,
        budget_per_m2=None if budget is None else budget / ACRE_M2,
        currency="$",
    )
