"""Lots sown one after the other at one rate of live seed, and the rate that another tag asks for."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from fieldplan.model.seed import Component
from fieldplan.model.stock import Sequence, Turn
from fieldplan.seed.budget import bulk_kg_per_m2

_ROUNDING_KG = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Tag:
    """What of a tag sets a rate by bulk weight.

    Parameters
    ----------
    seeds_per_kg
        ``None`` where it is not known; then live seed is counted by weight.
    """

    pls_frac: float
    seeds_per_kg: float | None = None


def bulk_over_planned(planned: Component, tag: Tag) -> float:
    """Bulk of another lot, or of the same with another tag, for one of the planned lot.

    planned PLS / its PLS; where the rate is in live seeds and both sizes are known, also × planned seeds per kg / its
    seeds per kg.

    Examples
    --------
    A lot that tests at 60 % PLS where 75 % was planned takes a quarter more.
    """
    over = planned.pls_frac / tag.pls_frac
    if planned.rate.basis == "live seeds" and planned.seeds_per_kg and tag.seeds_per_kg:
        over *= planned.seeds_per_kg / tag.seeds_per_kg
    return over


def in_sequence(
    planned: Component,
    need_kg: float,
    ground_m2: float,
    shelf: Iterable[tuple[str, float, Tag]],
    passed_over: tuple[str, ...] = (),
) -> Sequence:
    """Lots in the order in which they are sown until the need is met; what is then still missing is bought.

    Every lot is sown at the same rate of live seed on its share of the ground. What is bought is counted by the tag
    of the planned lot, in whole bags.

    Parameters
    ----------
    need_kg
        Bulk seed that the job needs of the planned lot, by the tag it was planned with.
    ground_m2
        Ground that it is for.
    shelf
        Lot, what is left of it in kg, and its tag, in the order in which they are to be used.
    passed_over
        Lots of the species left aside for want of a tag.
    """
    rate = bulk_kg_per_m2(planned)
    turns = []
    rest = 1.0
    for lot, left_kg, tag in shelf:
        over = bulk_over_planned(planned, tag)
        take_kg = min(left_kg, rest * need_kg * over)
        if take_kg <= _ROUNDING_KG:
            continue
        share = take_kg / (need_kg * over)
        rest -= share
        turns.append(
            Turn(
                species=planned.species,
                lot=lot,
                ground_m2=share * ground_m2,
                bulk_kg=take_kg,
                bulk_kg_per_m2=rate * over,
                change_frac=over - 1,
                on_shelf=True,
            )
        )
    missing_kg = rest * need_kg
    if missing_kg > max(_ROUNDING_KG, 1e-9 * need_kg):
        turns.append(
            Turn(
                species=planned.species,
                lot=planned.lot,
                ground_m2=rest * ground_m2,
                bulk_kg=missing_kg,
                bulk_kg_per_m2=rate,
                change_frac=0.0,
                on_shelf=False,
                bags=math.ceil(missing_kg / planned.bag_kg - 1e-9),
                bag_kg=planned.bag_kg,
            )
        )
    return Sequence(
        species=planned.species,
        lot=planned.lot,
        need_kg=need_kg,
        turns=tuple(turns),
        passed_over=passed_over,
    )
