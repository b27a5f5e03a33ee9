"""What a meter reading, the hours and the seed left say of the rest of a job."""

from __future__ import annotations

from collections.abc import Sequence

from fieldplan.errors import InputError
from fieldplan.model.budget import OrderLine
from fieldplan.model.job import BookingTerms
from fieldplan.model.progress import LotPace, Outlook, SoFar
from fieldplan.work.booking import booking_for, prob_within

_Lot = tuple[str, str]


def outlook(
    so_far: SoFar, fields: Sequence[tuple[float, frozenset[_Lot]]], field_s: float, around_s: float, order: Sequence[OrderLine],
    terms: BookingTerms, place_lonlat: tuple[float, float], days_left: int | None,
) -> Outlook:  # fmt: skip
    """The rest of a job at the pace and the rates so far.

    Real pace = metered ground / hours so far; rest = (drilled − metered) / real pace, and what comes around it. Fields are taken to be
    sown in the order of the plan, so the meter tells which lots were sown on how much ground. A lot's real rate = (ordered − left) /
    that ground; what the rest asks for is that rate × the ground it is still to be sown on.

    Parameters
    ----------
    fields
        Ground that the plan drills on each field, in order, and the lots sown there.
    field_s, around_s
        How long the plan takes in the fields, and the moves still to make and the clean-out.

    Raises
    ------
    InputError
        If nothing was done yet, more was metered than the plan drills by over a tenth, or more is left of a lot than was ordered.
    """
    drilled_m2 = sum(ground for ground, _ in fields)
    if so_far.metered_m2 <= 0 or so_far.worked_s <= 0:
        raise InputError.of(
            "nothing-done", "Nothing was metered or worked yet: there is no pace to go by.", "the plan itself says what to expect"
        )
    if so_far.metered_m2 > 1.1 * drilled_m2:
        raise InputError.of(
            "metered-too-much",
            "The meter shows over a tenth more than the plan drills in all.",
            "check the reading, and the fields",
        )
    pace = so_far.metered_m2 / so_far.worked_s
    rest_m2 = max(0.0, drilled_m2 - so_far.metered_m2)
    rest_s = rest_m2 / pace + around_s
    booking = booking_for(rest_s, terms, place_lonlat)
    prob = None if days_left is None else prob_within(rest_s, terms, place_lonlat, days_left)
    return Outlook(
        drilled_m2=drilled_m2, rest_m2=rest_m2, planned_pace_m2_per_s=drilled_m2 / field_s, real_pace_m2_per_s=pace, rest_s=rest_s,
        lots=tuple(_lot(line, so_far, fields) for line in order if (line.species, line.lot) in so_far.left_kg),
        booking=booking, days_left=days_left, prob_in_days_left=prob,
    )  # fmt: skip


def _lot(line: OrderLine, so_far: SoFar, fields: Sequence[tuple[float, frozenset[_Lot]]]) -> LotPace:
    lot = (line.species, line.lot)
    left_kg = so_far.left_kg[lot]
    if left_kg > line.ordered_kg * (1 + 1e-9):
        raise InputError.of(
            "left-too-much", f"More is left of {line.species} than was ordered.", "what is left in bags and boxes together"
        )
    done = whole = 0.0
    metered = so_far.metered_m2
    for ground, lots in fields:
        if lot in lots:
            done += min(ground, metered)
            whole += ground
        metered = max(0.0, metered - ground)
    planned = line.sown_kg / whole
    real = (line.ordered_kg - left_kg) / done if done > 0 else planned
    return LotPace(
        species=line.species, lot=line.lot, planned_kg_per_m2=planned, real_kg_per_m2=real, begun=done > 0, left_kg=left_kg,
        asked_kg=real * (whole - done),
    )  # fmt: skip
