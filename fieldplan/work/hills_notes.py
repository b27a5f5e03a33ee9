"""What slope means for a field: how steep it is, what its passes ask of the tractor, and how they rise and fall."""

from __future__ import annotations

from collections.abc import Iterator

from fieldplan.facts import Value
from fieldplan.model.job import Job
from fieldplan.model.notes import Note
from fieldplan.model.plan import FieldPlan
from fieldplan.model.relief import SLOPE_CLASSES_FRAC, Hills, RowGrades, StraightAcross

GRAVITY_M_PER_S2 = 9.80665
PER_KG = 1000.0
"""Without weights, power is told for so much weight."""
MOST_LISTED = 12
"""Passes whose numbers are said; plan.json has all."""
SIDE_SLOPE_FRAC = SLOPE_CLASSES_FRAC[1]
"""Where passes run across ground steeper than this, cautions are given."""


def grade_power_w(weight_kg: float, grade_frac: float, speed_m_per_s: float) -> float:
    """The power that lifting a weight up a grade asks at a speed: W·g·V.

    The grade stands for the sine of its angle, as is usual on such grades: 20 lb for each ton and percent (King Saud
    University, CE 417 ch. 4, eq. 4-4A and 4-4B). It is that of tractor, drill and seed together.

    Examples
    --------
    >>> round(grade_power_w(453.59237, 0.01, 37.5 * 0.44704) / 745.69987, 3)  # 1,000 lb, 1 %, 37.5 mph: 1 hp
    1.0
    """
    return weight_kg * GRAVITY_M_PER_S2 * grade_frac * speed_m_per_s


def hills_notes(field: FieldPlan, job: Job) -> Iterator[Note]:
    """The notes on the slope of a field; of heights none if the job names none."""
    yield from _on_speed(field, job)
    if job.working.elevation is None:
        return
    file = job.working.elevation.name
    field_id = field.field.field_id
    if field.hills is None:
        yield Note(code="heights-elsewhere", warning=True, field_id=field_id, values={"file": file})
        return
    yield _on_slope(field, field.hills)
    if field.hills.grades is not None:
        yield from _on_passes(field, field.hills, job)


def _on_speed(field: FieldPlan, job: Job) -> Iterator[Note]:
    """How much longer steep ground takes at the speed for hills."""
    working = job.working
    if working.hill_speed_m_per_s is None:
        return
    sown = [timed.leg for timed in field.time.legs if timed.leg.sown and timed.leg.drive_s]
    if not sown:
        return
    extra_s = sum(leg.drive_s - leg.length_m / working.field_speed_m_per_s for leg in sown)
    values: dict[str, Value] = {
        "slope_frac": working.hill_slope_frac,
        "speed_m_per_s": working.hill_speed_m_per_s,
        "extra_s": extra_s,
    }
    yield Note(code="hill-speed", field_id=field.field.field_id, values=values)


def _on_slope(field: FieldPlan, hills: Hills) -> Note:
    relief = hills.relief
    shares = dict(
        zip(("over_first_frac", "over_second_frac", "over_third_frac"), relief.over_frac, strict=True)
    )
    classes = dict(zip(("first_frac", "second_frac", "third_frac"), SLOPE_CLASSES_FRAC, strict=True))
    values: dict[str, Value] = {
        "median_frac": relief.median_frac,
        "p90_frac": relief.p90_frac,
        "surface_frac": relief.surface_frac,
        "more_m2": relief.surface_frac * field.field.plantable_m2,
        "known_frac": relief.known_frac,
        "file": relief.file,
        **shares,
        **classes,
    }
    part = "part" if relief.known_frac < 0.995 else ""
    return Note(code="slope", case=part, field_id=field.field.field_id, values=values)


def _on_passes(field: FieldPlan, hills: Hills, job: Job) -> Iterator[Note]:
    """Grades along passes and across them, the power that they ask, and where water would stand or run."""
    grades, field_id = hills.grades, field.field.field_id
    assert grades is not None
    drill_kg, tractor_kg = job.drill.weight_kg, job.tractor.weight_kg
    weight_kg = drill_kg + tractor_kg if drill_kg and tractor_kg else PER_KG
    power_w = grade_power_w(weight_kg, grades.steepest_frac, job.working.field_speed_m_per_s)
    values: dict[str, Value] = {
        "grade_frac": grades.steepest_frac,
        "across_frac": grades.steepest_across_frac,
        "weight_kg": weight_kg,
        "power_w": power_w,
    }
    case = "weighed" if weight_kg != PER_KG else ""
    yield Note(
        code="grade-power", case=case, field_id=field_id, values=values, sources=("grade-resistance",)
    )
    if grades.steepest_across_frac > SIDE_SLOPE_FRAC:
        across: dict[str, Value] = {"across_frac": grades.steepest_across_frac}
        yield Note(code="side-slope", field_id=field_id, warning=True, values=across)
    over: dict[str, Value] = {
        "over_m": grades.over_m,
        "over_frac": grades.over_m / max(grades.length_m, 1e-9),
        "chord_m": grades.chord_m,
    }
    if hills.straight is not None:
        yield _on_straight(field, hills.straight)
    asked = field.coverage.pattern == "contour"
    if grades.over_m > 0:
        yield Note(
            code="row-grade",
            field_id=field_id,
            warning=asked,
            values=over,
            sources=("standard-330",),
        )
    else:
        yield Note(code="row-grade", case="kept", field_id=field_id, values=over, sources=("standard-330",))
    if asked and grades.pools:
        yield Note(code="row-pools", field_id=field_id, values=_on_pools(grades))


def _on_straight(field: FieldPlan, straight: StraightAcross) -> Note:
    """Straight passes that keep to the limit, and what they cost beside the quickest and those on the contour."""
    values: dict[str, Value] = {
        "heading_deg": straight.heading_deg,
        "field_s": straight.field_s,
        "extra_s": max(0.0, straight.field_s - straight.quickest_s),
    }
    case = "" if straight.contour_s is None else "beside"
    if straight.contour_s is not None:
        values["contour_s"] = straight.contour_s
    return Note(code="straight-across", case=case, field_id=field.field.field_id, values=values)


def _on_pools(grades: RowGrades) -> dict[str, Value]:
    shown = tuple(str(number) for number in grades.pool_passes[:MOST_LISTED])
    more = len(grades.pool_passes) - len(shown)
    return {"n_passes": grades.pools, "passes": shown, **({"n_more": more} if more else {})}
