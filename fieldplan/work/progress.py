"""What a meter reading, the hours and the seed left say of the rest of a job."""

from __future__ import annotations

from collections.abc import Sequence

from fieldplan.errors import InputError
from fieldplan.model.budget import OrderLine
from fieldplan.model.job import BookingTerms
from fieldplan.model.progress import LotPace, Outlook, SoFar
from fieldplan.work.booking import booking_for


def outlook(
    so_far: SoFar, drilled_m2: float, field_s: float, clean_out_s: float, order: Sequence[OrderLine], sown_m2: dict[tuple[str, str], float],
    terms: BookingTerms, place_lonlat: tuple[float, float], days_left: int | None,
) -> Outlook:  # fmt: skip
    """The rest of a job at the pace and the rates so far.

    Real pace = metered ground / hours so far; rest = (drilled − metered) / real pace, and the clean-out. A lot's real rate =
    (ordered − left) / its share of the metered ground; what the rest asks for is that rate × its share of the ground that is left.

    Parameters
    ----------
    drilled_m2, field_s
        What the plan drills and how long it takes in the fields.
    sown_m2
        Ground that each lot is sown on, over the whole plan.

    Raises
    ------
    InputError
        If nothing was done yet, more was metered than the plan drills by over a tenth, or more is left of a lot than was ordered.
    """
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
    done_frac = min(1.0, so_far.metered_m2 / drilled_m2)
    pace = so_far.metered_m2 / so_far.worked_s
    rest_m2 = max(0.0, drilled_m2 - so_far.metered_m2)
    rest_s = rest_m2 / pace + clean_out_s
    booking = booking_for(rest_s, terms, place_lonlat)
    prob = None
    if days_left is not None:
        known = {one.days: one.prob for one in booking.odds}
        prob = known.get(days_left, 0.0 if days_left < min(known) else 1.0)
    return Outlook(
        drilled_m2=drilled_m2, rest_m2=rest_m2, planned_pace_m2_per_s=drilled_m2 / field_s, real_pace_m2_per_s=pace, rest_s=rest_s,
        lots=tuple(_lot(line, so_far, sown_m2, done_frac) for line in order if (line.species, line.lot) in so_far.left_kg),
        booking=booking, days_left=days_left, prob_in_days_left=prob,
    )  # fmt: skip


def _lot(line: OrderLine, so_far: SoFar, sown_m2: dict[tuple[str, str], float], done_frac: float) -> LotPace:
    lot = (line.species, line.lot)
    left_kg = so_far.left_kg[lot]
    if left_kg > line.ordered_kg * (1 + 1e-9):
        raise InputError.of(
            "left-too-much", f"More is left of {line.species} than was ordered.", "what is left in bags and boxes together"
        )
    real = (line.ordered_kg - left_kg) / (sown_m2[lot] * done_frac)
    return LotPace(
        species=line.species, lot=line.lot, planned_kg_per_m2=line.sown_kg / sown_m2[lot], real_kg_per_m2=real, left_kg=left_kg,
        asked_kg=real * sown_m2[lot] * (1 - done_frac),
    )  # fmt: skip
