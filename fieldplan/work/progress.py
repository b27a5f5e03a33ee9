"""The rest of a job, estimated from the meter reading, the hours worked and the seed left."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date

from fieldplan.errors import InputError
from fieldplan.model.budget import BoxBudget
from fieldplan.model.job import BookingTerms
from fieldplan.model.progress import (
    BoxNow,
    FieldAhead,
    FieldDone,
    LotPace,
    Now,
    Ordered,
    Outlook,
    Since,
    SoFar,
)
from fieldplan.model.work import Odds
from fieldplan.tables import read as tables
from fieldplan.weather.settle import settled
from fieldplan.weather.years import seasons_of
from fieldplan.work.booking import booking_for, prob_within
from fieldplan.work.working_days import working_days_s

EVEN_PROB, NEARLY_SURE_PROB = 0.5, 0.95


def _max_ratio() -> float:
    """Largest ratio of metered to planned ground; a meter that reads more has counted something else."""
    return 1 + tables.machinery_figure("a meter reads beyond the plan by", "%")[0] / 100


def outlook(
    so_far: SoFar,
    fields: Sequence[FieldAhead],
    around_s: Callable[[Sequence[FieldDone]], float],
    order: Sequence[Ordered],
    terms: BookingTerms,
    place_lonlat: tuple[float, float],
    days_left: int | None,
) -> Outlook:
    """The rest of a job at the pace and seeding rates so far.

    The metered ground is assigned to the fields reported as done, then to the others in the order of the
    plan. A field under way counts by its share of drilled ground, in seed and in hours.

    Rest of the field time = planned time of the rest × hours worked / planned hours of the ground that is
    done. Real rate of a lot = planned rate × seed gone / seed planned on that ground, with
    seed gone = ordered − left; the rest of the job takes that much more or less. A lot is not begun if its
    only ground so far is a piece of a field under way, smaller than the error of the meter: what is gone of
    it says nothing yet.

    Parameters
    ----------
    fields
        The fields of the plan, in its order.
    around_s
        Time of the moves still to make and the clean-out, in s, by how far each field is done.
    order
        What was ordered of each lot and carrier; only those with a weight in ``so_far.left_kg`` are looked at.
    place_lonlat
        Longitude and latitude of the fields, for daylight.
    days_left
        Days left of the booking; ``None`` if not given.

    Raises
    ------
    InputError
        If nothing was done yet, the meter shows over a tenth more than the plan drills or over a tenth
        less than the fields reported as done, or more is left of a lot than was ordered.
    """
    drilled_m2 = sum(field.drilled_m2 for field in fields)
    if so_far.metered_m2 <= 0 or so_far.worked_s <= 0:
        raise InputError.of("nothing-done")
    if so_far.metered_m2 > _max_ratio() * drilled_m2:
        raise InputError.of("metered-too-much")
    done = _done(so_far, fields)
    planned_s = sum(part.share * field.field_s for part, field in zip(done, fields, strict=True))
    field_s = sum(field.field_s for field in fields)
    pace = so_far.metered_m2 / so_far.worked_s
    rest_m2 = sum((1 - part.share) * field.drilled_m2 for part, field in zip(done, fields, strict=True))
    rest_s = max(0.0, field_s - planned_s) * so_far.worked_s / planned_s + around_s(done)
    booking = booking_for(rest_s, terms, place_lonlat)
    prob = None if days_left is None else prob_within(rest_s, terms, place_lonlat, days_left)
    lots = tuple(
        _lot(line, so_far, fields, done) for line in order if (line.species, line.lot) in so_far.left_kg
    )
    return Outlook(
        drilled_m2=drilled_m2,
        rest_m2=rest_m2,
        planned_pace_m2_per_s=(drilled_m2 - rest_m2) / planned_s,
        real_pace_m2_per_s=pace,
        planned_s=planned_s,
        worked_s=so_far.worked_s,
        rest_s=rest_s,
        fields=done,
        lots=lots,
        terms=terms,
        booking=booking,
        now=_now(fields, done, lots),
        days_left=days_left,
        prob_in_days_left=prob,
        finishes=tuple(_finishes(rest_s, terms, place_lonlat)),
    )


def _finishes(
    rest_s: float, terms: BookingTerms, place_lonlat: tuple[float, float]
) -> Iterator[tuple[float, Odds]]:
    """The fewest days that give even odds, the odds asked for, and nearly sure ones; each with its odds."""
    for asked in sorted({EVEN_PROB, terms.confidence_prob, NEARLY_SURE_PROB}):
        found = booking_for(rest_s, replace(terms, confidence_prob=asked), place_lonlat).of_suggested
        if found is not None:
            yield asked, found


def days_since(
    start: date, today: date, terms: BookingTerms, place_lonlat: tuple[float, float]
) -> Since | None:
    """The days from the start to yesterday, and the fieldwork days that are usual in them.

    Parameters
    ----------
    terms
        The booking as it was made.

    Returns
    -------
    Since or None
        ``None`` if the job did not begin before today.
    """
    n_days = (today - start).days
    if n_days <= 0:
        return None
    hours = working_days_s(replace(terms, start=start), place_lonlat)[:n_days]
    works = [seconds > 0 for seconds in hours]
    if terms.weather is None:
        usual = terms.chance_prob * sum(works)
        return Since(start=start, n_days=n_days, n_working_days=sum(works), usual_days=usual)
    sky = settled(terms.weather, place_lonlat[1]).sky
    fit = seasons_of(sky, start, n_days, terms.weather.years).fit
    each = (fit & works).sum(axis=1)
    if not len(each):
        return Since(start=start, n_days=n_days, n_working_days=sum(works), usual_days=None)
    return Since(
        start=start,
        n_days=n_days,
        n_working_days=sum(works),
        usual_days=float(each.mean()),
        range_days=(int(each.min()), int(each.max())),
    )


def _done(so_far: SoFar, fields: Sequence[FieldAhead]) -> tuple[FieldDone, ...]:
    """How far each field is done: reported fields in full, then the others in the order of the plan."""
    reported_m2 = sum(field.drilled_m2 for field in fields if field.field_id in so_far.done)
    if reported_m2 > _max_ratio() * so_far.metered_m2:
        raise InputError.of("metered-too-little")
    left_m2 = max(0.0, so_far.metered_m2 - reported_m2)
    done = []
    for field in fields:
        if field.field_id in so_far.done:
            done.append(FieldDone(field_id=field.field_id, share=1.0, reported=True))
            continue
        here_m2 = min(field.drilled_m2, left_m2)
        left_m2 -= here_m2
        share = here_m2 / field.drilled_m2 if field.drilled_m2 > 0 else 1.0
        done.append(FieldDone(field_id=field.field_id, share=share))
    return tuple(done)


def _lot(line: Ordered, so_far: SoFar, fields: Sequence[FieldAhead], done: Sequence[FieldDone]) -> LotPace:
    lot = (line.species, line.lot)
    left_kg = so_far.left_kg[lot]
    if left_kg > line.ordered_kg * (1 + 1e-9):
        raise InputError.of("left-too-much", species=line.species)
    takes = [
        (field.sown_kg[lot], field.drilled_m2, part.share)
        for field, part in zip(fields, done, strict=True)
        if lot in field.sown_kg
    ]
    whole_kg, whole_m2 = sum(kg for kg, _, _ in takes), sum(m2 for _, m2, _ in takes)
    expected_kg = sum(kg * share for kg, _, share in takes)
    done_m2 = sum(m2 * share for _, m2, share in takes)
    sure_m2 = tables.machinery_figure("meter of the drill may be off by", "%")[0] / 100 * so_far.metered_m2
    begun = expected_kg > 0 and (any(share >= 1 for kg, _, share in takes if kg > 0) or done_m2 > sure_m2)
    gone_kg = line.ordered_kg - left_kg
    ratio = gone_kg / expected_kg if begun else 1.0
    planned = expected_kg / done_m2 if begun else whole_kg / whole_m2 if whole_m2 > 0 else 0.0
    return LotPace(
        species=line.species,
        lot=line.lot,
        planned_kg_per_m2=planned,
        real_kg_per_m2=ratio * planned,
        begun=begun,
        left_kg=left_kg,
        expected_kg=expected_kg,
        gone_kg=gone_kg,
        asked_kg=ratio * (whole_kg - expected_kg) if begun else whole_kg - min(expected_kg, gone_kg),
    )


def _now(fields: Sequence[FieldAhead], done: Sequence[FieldDone], lots: Sequence[LotPace]) -> Now | None:
    """The field under way or, if none is, the first not begun, with what each of its boxes does."""
    ahead = [field for field, part in zip(fields, done, strict=True) if part.share < 1]
    begun = [field for field, part in zip(fields, done, strict=True) if 0 < part.share < 1]
    if not ahead:
        return None
    here = (begun or ahead)[0]
    rest = [field for field in ahead if field is not here]
    sown = [field for field, part in zip(fields, done, strict=True) if part.share > 0]
    return Now(
        field_id=here.field_id,
        mix=here.mix,
        begun=bool(begun),
        changes=() if begun else here.changes,
        boxes=tuple(_box_now(box, sown, lots) for box in here.boxes),
        following=rest[0] if rest else None,
    )


def _box_now(box: BoxBudget, sown: Sequence[FieldAhead], lots: Sequence[LotPace]) -> BoxNow:
    """How far a box is off, by all its lots and its carrier that were weighed: gone / expected − 1."""
    inside = {(part.species, part.lot) for part in box.components} | {(box.carrier, "")}
    weighed = [lot for lot in lots if lot.begun and (lot.species, lot.lot) in inside]
    expected_kg = sum(lot.expected_kg for lot in weighed)
    mixes = dict.fromkeys(
        field.mix for field in sown for lot in weighed if field.sown_kg.get((lot.species, lot.lot))
    )
    return BoxNow(
        box=box.box,
        wanted_kg_per_m2=box.load_kg_per_m2,
        off_frac=sum(lot.gone_kg for lot in weighed) / expected_kg - 1 if expected_kg else None,
        mixes=tuple(mixes),
    )
