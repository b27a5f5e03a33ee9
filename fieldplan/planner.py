"""The way of a job: fields and job in, plan out."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date

import shapely
from pyproj import Geod
from shapely import MultiPolygon, Point

from fieldplan.coverage.cover import cover
from fieldplan.coverage.nothing import nothing_driven, parts_missed, why_nothing
from fieldplan.coverage.terms import Rig
from fieldplan.errors import FieldplanError, InputError, Problem
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.budget import SeedBudget
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import Field
from fieldplan.model.job import FieldTerms, Job
from fieldplan.model.notes import Note
from fieldplan.model.plan import FieldPlan, Plan, loads_kg
from fieldplan.model.seed import Mix
from fieldplan.model.work import SeedSupply
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.plane.travel import Ways
from fieldplan.seed.batches import batches
from fieldplan.seed.budget import seed_budget
from fieldplan.seed.depth import depths_of
from fieldplan.seed.held import Held
from fieldplan.seed.order import carrier_lines, deliveries, order_lines, overage_notes
from fieldplan.seed.run_out import run_outs
from fieldplan.seed.tags import tag_notes
from fieldplan.tables import read as tables
from fieldplan.units import shown_place
from fieldplan.work.booking import booking_for, with_latest_start
from fieldplan.work.clock import field_time
from fieldplan.work.cost import ground_of, job_cost
from fieldplan.work.findings import Work, booking_findings, tractor_findings
from fieldplan.work.job import job_time, no_time
from fieldplan.work.refills import supply
from fieldplan.work.tractor import tractor_checks

_WGS84 = Geod(ellps="WGS84")
FARTHEST_M = 5_000.0
"""A gate or a stand of seed farther than this from its field is a slip."""
GATE_ASTRAY, SEED_ASTRAY = "gate-astray", "seed-astray"
_CITED = re.compile(r"source: ([^;)]+)")
Progress = Callable[[Iterable[Field]], Iterable[Field]]


def plan_field(field: Field, mix: Mix, job: Job, held: Held | None = None) -> FieldPlan:
    """The plan of one field: coverage, then seed for what is drilled, then refills along the route, then the clock.

    A field that cannot be planned for a reason of its own is planned as what it is: nothing is drilled there, all of its plantable
    ground is missed, and a note says why.

    Parameters
    ----------
    held
        What earlier fields left in the boxes or was emptied from them.
    """
    frame = frame_near(field.ground)
    ground = frame.to_plane(field.plantable)
    if ground.is_empty:  # where it was cut out it was said
        return _undrilled(field, mix, job, frame, ground, ())
    try:
        return _drilled(field, mix, job, frame, ground, held or Held())
    except FieldplanError as error:
        notes = tuple(why_nothing(field.field_id, problem, ground, job.drill.effective_width_m) for problem in error.problems)
        return _undrilled(field, mix, job, frame, ground, notes)


def _drilled(field: Field, mix: Mix, job: Job, frame: Frame, ground: MultiPolygon, held: Held) -> FieldPlan:
    """The plan of a field that the drill can work on."""
    drill, working = job.drill, job.working
    terms, astray = _near(field, job.terms_for(field.field_id))
    gate = terms.gate or field.gate_lonlat
    centre = ground.centroid
    coverage = cover(
        field.field_id, ground, Rig.of(drill, working), working,
        gate=frame.to_plane(Point(gate)) if gate else None,
        convergence_deg=frame.convergence_deg(centre.x, centre.y),
        excluded=[frame.to_plane(one.ground) for one in field.excluded],
    )  # fmt: skip
    notes = [*astray, *parts_missed(field.field_id, coverage), *(_placed(note, coverage, frame) for note in coverage.notes)]
    coverage = replace(coverage, notes=tuple(notes))
    seed = seed_budget(field.field_id, mix, drill, coverage.audit.drilled_m2, working.sowings)
    box_changes = held.changes(seed)
    seed_at = coverage.gate if terms.seed_at is None else frame.to_plane(Point(terms.seed_at))
    at_hand = {change.box for change in box_changes if change.kind != "empty first"}
    supplied = supply(
        field.field_id, coverage.legs, seed.boxes, drill.effective_width_m,
        seed_at=None if working.seed_follows and terms.seed_at is None else seed_at,
        way=Ways(coverage.ground).between,
        refill_s=working.refill_time_s, speed_m_per_s=working.turn_speed_m_per_s,
        in_boxes_m3={box.box: box.least_m3 for box in seed.boxes if box.box in at_hand},
    )  # fmt: skip
    time = field_time(
        field.field_id, supplied.legs, field.plantable_m2, drill.effective_width_m, working,
        handbook_efficiency_frac=_share_range("seeding field efficiency"),
        expected_efficiency_frac=_share_range("expected field efficiency"),
    )  # fmt: skip
    loads = loads_kg(seed, supplied)
    delivered = deliveries(field.field_id, mix, seed, loads)
    return FieldPlan(
        field=field, gate_lonlat=frame.point_to_lonlat(coverage.gate.x, coverage.gate.y), coverage=coverage, seed=seed,
        supply=supplied, time=time, deliveries=delivered,
        batches=batches(field.field_id, mix, seed.boxes, loads, delivered), box_changes=box_changes,
        depths=depths_of(mix)[0],
    )  # fmt: skip


def _undrilled(field: Field, mix: Mix, job: Job, frame: Frame, ground: MultiPolygon, notes: tuple[Note, ...]) -> FieldPlan:
    """The plan of a field on which nothing is drilled: no drive, no seed and no time; for a gate, a corner."""
    working = job.working
    gate = field.ground.geoms[0].exterior.coords[0][:2]
    seed, supplied = SeedBudget(mix=mix.name, boxes=()), SeedSupply(legs=(), first_load_kg={}, refills=())
    return FieldPlan(
        field=field, gate_lonlat=(gate[0], gate[1]), seed=seed, supply=supplied, deliveries=(), batches=(), box_changes=(),
        coverage=nothing_driven(ground, job.drill.effective_width_m, working.sowings, frame.to_plane(Point(gate)), notes),
        time=field_time(field.field_id, (), 0.0, job.drill.effective_width_m, working, (1.0, 1.0), (0.0, 1.0)),
    )  # fmt: skip


def _near(field: Field, terms: FieldTerms) -> tuple[FieldTerms, tuple[Note, ...]]:
    """What the job file says of a field; places that are nowhere near it are left aside, each with a warning."""
    kept, notes = terms, []
    for key, code in (("gate", GATE_ASTRAY), ("seed_at", SEED_ASTRAY)):
        place = getattr(terms, key)
        away_m = 0.0 if place is None else _away_m(field, place)
        if away_m > FARTHEST_M:
            kept = replace(kept, **{key: None})
            notes.append(Note(code=code, field_id=field.field_id, warning=True, values={"away_m": away_m}, text=(
                f"its {key} in the job file lies {{away_m}} from the field and is left aside: planned as if none were given. "
                "Give latitude and longitude of a place beside the field.")))  # fmt: skip
    return kept, tuple(notes)


def _away_m(field: Field, lonlat: tuple[float, float]) -> float:
    """How far a place lies from the nearest corner of a field."""
    corners = shapely.get_coordinates(field.ground)
    n = len(corners)
    return float(min(_WGS84.inv(corners[:, 0], corners[:, 1], [lonlat[0]] * n, [lonlat[1]] * n)[2]))


def _placed(note: Note, coverage: Coverage, frame: Frame) -> Note:
    """The note about missed ground, with where the largest piece of it lies; any other as it is."""
    pieces = coverage.audit.missed_ground.geoms
    if note.code != "ground-missed" or not pieces:
        return note
    at = max(pieces, key=lambda piece: piece.area).representative_point()
    return replace(note, text=f"{note.text} The largest piece lies at {shown_place(frame.point_to_lonlat(at.x, at.y))}.")


def plan_job(boundary: BoundaryFile, job: Job, progress: Progress = iter, *, today: date) -> Plan:
    """The plan of a whole job, its fields in the order of the file.

    Parameters
    ----------
    progress
        Wraps the fields as they are planned, to show how far the work is.
    today
        The day on which the plan is made: old seed tests are judged on the day the booking starts or, if it names none, on this
        day.

    Raises
    ------
    InputError
        If a field names no mix of the job, or several mixes leave the choice open.
    """
    mixes = _mixes(boundary, job)
    fields = tuple(_in_turn(progress(boundary.fields), mixes, job))
    order = order_lines((one for plan in fields for one in plan.deliveries), job.mixes)
    driven = [one for one in fields if one.is_drilled]
    hours = job_time(sum(one.time.field_s for one in driven), [one.gate_lonlat for one in driven], job.working,
                     [job.terms_for(one.field.field_id).move_s for one in driven]) if driven else no_time()  # fmt: skip
    here = (driven or fields)[0].gate_lonlat
    booking = with_latest_start(booking_for(hours.job_s, job.booking, here), hours.job_s, job.booking, here)
    work = Work(fields_s=tuple(one.time.field_s for one in driven), time=hours, place_lonlat=here, today=today)
    cost = job_cost(job.cost, order, ground_of(fields), hours.job_s, hours.field_s, booking.suggested_days)
    slopes = [
        (one.field.field_id, slope) for one in driven if (slope := job.terms_for(one.field.field_id).slope_frac) is not None
    ]
    widths = [
        (one.field.field_id, width) for one in driven if (width := job.terms_for(one.field.field_id).gate_width_m) is not None
    ]
    tractor = tractor_checks(job.drill, job.tractor, job.working.towing_speed_m_per_s, slopes, widths)
    notes = [
        *booking_findings(booking, job.booking, work),
        *tractor_findings(tractor),
        *boundary.notes,
        *job.notes,
        *overage_notes(
            (one for plan in fields for one in plan.deliveries),
            {mix.name: mix for mix in job.mixes},
            {one.field.field_id: one.seed.mix for one in fields},
        ),
    ]
    sown = {mixes[one.field.field_id].name: mixes[one.field.field_id] for one in driven}
    notes += [
        note
        for mix in sown.values()
        for note in tag_notes(mix, job.drill, job.working.field_speed_m_per_s, job.booking.start or today)
    ]
    for one in fields:
        notes += [*one.coverage.notes, *one.seed.notes, *one.supply.notes, *one.time.notes]
    notes += _standing_notes(job)
    return Plan(
        job=job,
        today=today,
        fields=fields,
        order=order,
        carriers=carrier_lines((batch for one in fields for batch in one.batches), job.mixes),
        run_outs=run_outs(
            ((one.seed.mix, box, one.coverage.audit.drilled_m2) for one in fields for box in one.seed.boxes), order
        ),
        job_time=hours,
        booking=booking,
        cost=cost,
        tractor=tractor,
        notes=tuple(notes),
        sources=tuple(
            tables.source(key)
            for key in _sources(
                [
                    *(note.text for note in notes),
                    *(line.how for line in cost.lines),
                    *(f"{one.text} (source: {one.source})" for one in tractor),
                ]
            )
        ),
    )


def _mixes(boundary: BoundaryFile, job: Job) -> dict[str, Mix]:
    """The mix of each field: what the job file says, else the field's own attribute, else the job's only mix."""
    by_name = {mix.name: mix for mix in job.mixes}
    known = ", ".join(f'"{name}"' for name in by_name)
    mixes: dict[str, Mix] = {}
    problems: list[Problem] = []
    for field in boundary.fields:
        named = job.terms_for(field.field_id).mix or field.mix
        if named in by_name:
            mixes[field.field_id] = by_name[named]
        elif named is None and len(job.mixes) == 1:
            mixes[field.field_id] = job.mixes[0]
        else:
            text = f'asks for mix "{named}"' if named else "does not say which mix it gets"
            problems.append(Problem(
                code="mix-unknown", text=f'{boundary.path}: field "{field.field_id}" {text}; {job.path} has {known}.',
                hint=f'add [field.{field.field_id}] mix = "…" to the job file, or an attribute mix to the field'))  # fmt: skip
    known_ids = {field.field_id for field in boundary.fields}
    hint = "fields there: " + ", ".join(field.field_id for field in boundary.fields[:10])
    problems += [
        Problem(code="field-unknown", text=f"{job.path}: [field.{field_id}] names no field of {boundary.path}.", hint=hint)
        for field_id in job.fields
        if field_id not in known_ids
    ]
    if problems:
        raise InputError(tuple(problems))
    return mixes


def _share_range(key: str) -> tuple[float, float]:
    low, high, _ = tables.machinery_range(key)
    return low / 100, high / 100


def _in_turn(fields: Iterable[Field], mixes: Mapping[str, Mix], job: Job) -> Iterator[FieldPlan]:
    """The plans of the fields one after the other, each going on with what earlier ones left in the boxes."""
    held = Held()
    for field in fields:
        plan = plan_field(field, mixes[field.field_id], job, held)
        held = held.after(plan.seed)
        yield plan


def _standing_notes(job: Job) -> list[Note]:
    low, high, source = tables.machinery_range("seeding field efficiency")
    return [
        Note(code="acres-flat", text="Acres are measured on the ellipsoid, flat: slope and height add nothing (5 % slope is 0.125 % more ground)."),
*([] if job.booking.persistence_frac else [Note(code="fit-days-independent", text="The odds take each day as fit or not by itself; wet days come in spells, so real odds are somewhat lower (persistence in [booking] takes them into account).")]),
        Note(code="handbook-efficiency", text=f"Handbook hours use a field efficiency of {low:.0f} to {high:.0f} % for seeding (source: {source})."),
        Note(code="clock-leaves-out", text=(
            "The clock holds driving, turns, refills" + (", tube checks" if job.working.tube_check_s else "")
            + (", breaks" if job.working.break_s else "") + "; plugged tubes" + ("" if job.working.break_s else ", breaks") + " and breakdowns come on top.")),
    ]  # fmt: skip


def _sources(texts: Iterable[str]) -> list[str]:
    """Keys of the sources that sentences name, and those that every plan rests on."""
    named = {key for text in texts for cited in _CITED.findall(text) for key in cited.split(", ")}
    known = {row["key"] for row in tables.rows("sources")}
    return sorted(named & known | {"karney2013", "fsa-201", "h1-manual", "p3112"})
