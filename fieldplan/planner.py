"""The way of a job: fields and job in, plan out."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from pyproj import Geod
from shapely import Point

from fieldplan.coverage.cover import cover
from fieldplan.coverage.terms import Rig
from fieldplan.errors import InputError, Problem
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.budget import SeedBudget
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import Field
from fieldplan.model.job import FieldTerms, Job, WorkingTerms
from fieldplan.model.notes import Note
from fieldplan.model.plan import FieldPlan, Plan, loads_kg
from fieldplan.model.seed import Mix
from fieldplan.model.spelling import did_you_mean
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.plane.travel import Ways
from fieldplan.seed.batches import batches
from fieldplan.seed.budget import seed_budget
from fieldplan.seed.depth import depths_of
from fieldplan.seed.held import Held, later_m3
from fieldplan.seed.order import carrier_lines, deliveries, order_lines, overage_notes
from fieldplan.seed.run_out import run_outs
from fieldplan.seed.tags import tag_notes
from fieldplan.tables import read as tables
from fieldplan.units import shown_distance
from fieldplan.work.booking import booking_for, latest_start
from fieldplan.work.clock import field_time
from fieldplan.work.cost import ground_of, job_cost
from fieldplan.work.doubts import day_doubts, order_doubts
from fieldplan.work.job import job_time
from fieldplan.work.refills import supply
from fieldplan.work.tractor import tractor_checks

_WGS84 = Geod(ellps="WGS84")
FARTHEST_SEED_M = 5_000.0
_CITED = re.compile(r"source: ([^;)]+)")
Progress = Callable[[Iterable[Field]], Iterable[Field]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A field as it is driven, and the seed of what is drilled there."""

    field: Field
    mix: Mix
    frame: Frame
    coverage: Coverage
    seed: SeedBudget


def plan_field(field: Field, mix: Mix, job: Job, held: Held | None = None) -> FieldPlan:
    """The plan of one field: coverage, then seed for what is drilled, then refills along the route, then the clock.

    ``held`` says what earlier fields left in the boxes or was emptied from them. No field is taken to come after it.
    """
    return _supplied(_laid(field, mix, job), job, held or Held(), {})


def _laid(field: Field, mix: Mix, job: Job) -> Laid:
    """Coverage, and seed for what is drilled."""
    drill, working = job.drill, job.working
    frame = frame_near(field.ground)
    ground = frame.to_plane(field.plantable)
    gate = job.terms_for(field.field_id).gate or field.gate_lonlat
    centre = ground.centroid
    coverage = cover(
        field.field_id, ground, Rig.of(drill, working), working,
        gate=frame.to_plane(Point(gate)) if gate else None,
        convergence_deg=frame.convergence_deg(centre.x, centre.y),
        excluded=[frame.to_plane(one.ground) for one in field.excluded],
    )  # fmt: skip
    coverage = replace(coverage, notes=tuple(_placed(note, coverage, frame) for note in coverage.notes))
    seed = seed_budget(field.field_id, mix, drill, coverage.audit.drilled_m2, working.sowings)
    return Laid(field=field, mix=mix, frame=frame, coverage=coverage, seed=seed)


def _supplied(laid: Laid, job: Job, held: Held, later: Mapping[str, float]) -> FieldPlan:
    """Refills along the route, the clock, and what the field is brought.

    Parameters
    ----------
    later
        Volume (m³) that each box will sow of the same contents on later fields.
    """
    drill, working = job.drill, job.working
    field, mix, frame, coverage, seed = laid.field, laid.mix, laid.frame, laid.coverage, laid.seed
    box_changes = held.changes(seed)
    at_hand = {change.box: change.kg for change in box_changes if change.kind != "empty first"}
    supplied = supply(
        field.field_id, coverage.legs, seed.boxes, drill.effective_width_m, seed_at=_seed_at(field.field_id, coverage, frame, job.terms_for(field.field_id), working),
        way=Ways(coverage.ground).between,
        refill_s=working.refill_time_s, speed_m_per_s=working.turn_speed_m_per_s,
        in_boxes_m3={box.box: at_hand[box.box] / box.load_kg_per_m3 for box in seed.boxes if box.box in at_hand}, later_m3=later,
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


def _seed_at(field_id: str, coverage: Coverage, frame: Frame, terms: FieldTerms, working: WorkingTerms) -> Point | None:
    """Where the seed of a field stands: a point of its own, the gate, or nowhere if it follows the drill."""
    if terms.seed_at is not None:
        away_m = _WGS84.inv(*frame.point_to_lonlat(coverage.gate.x, coverage.gate.y), *terms.seed_at)[2]
        if away_m > FARTHEST_SEED_M:
            raise InputError.of(
                "seed-far",
                f"[field.{field_id}] seed_at lies {shown_distance(away_m)} from the field.",
                "latitude and longitude of a place beside it",
            )
        return frame.to_plane(Point(terms.seed_at))
    return None if working.seed_follows else coverage.gate


def _placed(note: Note, coverage: Coverage, frame: Frame) -> Note:
    """The note about missed ground, with where the largest piece of it lies; any other as it is."""
    pieces = coverage.audit.missed_ground.geoms
    if note.code != "ground-missed" or not pieces:
        return note
    at = max(pieces, key=lambda piece: piece.area).representative_point()
    return replace(
        note, text=f"{note.text} The largest piece lies at {{piece}}.", places={"piece": frame.point_to_lonlat(at.x, at.y)}
    )


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
    PlanError
        If the drill fits nowhere on a field, or no number of days gives the wanted confidence.
    """
    mixes = _mixes(boundary, job)
    fields = tuple(_in_turn(progress(boundary.fields), mixes, job))
    order = order_lines((one for plan in fields for one in plan.deliveries), job.mixes)
    hours = job_time(sum(one.time.field_s for one in fields), [one.gate_lonlat for one in fields], job.working,
                     [job.terms_for(one.field.field_id).move_s for one in fields])  # fmt: skip
    here = fields[0].gate_lonlat
    booking = replace(booking_for(hours.job_s, job.booking, here), latest_start=latest_start(hours.job_s, job.booking, here))
    cost = job_cost(job.cost, order, ground_of(fields), hours.job_s, hours.field_s, booking.suggested_days)
    slopes = [
        (one.field.field_id, slope) for one in fields if (slope := job.terms_for(one.field.field_id).slope_frac) is not None
    ]
    widths = [
        (one.field.field_id, width) for one in fields if (width := job.terms_for(one.field.field_id).gate_width_m) is not None
    ]
    tractor = tractor_checks(job.drill, job.tractor, job.working.towing_speed_m_per_s, slopes, widths)
    notes = [
        *boundary.notes,
        *job.notes,
        *overage_notes(
            (one for plan in fields for one in plan.deliveries),
            order,
            {mix.name: mix for mix in job.mixes},
            {one.field.field_id: one.seed.mix for one in fields},
            job.drill,
        ),
    ]
    sown = {mixes[one.field.field_id].name: mixes[one.field.field_id] for one in fields}
    notes += [
        note
        for mix in sown.values()
        for note in tag_notes(mix, job.drill, job.working.field_speed_m_per_s, job.booking.start or today)
    ]
    notes += [*day_doubts(job.booking, sown.values(), today), *order_doubts(order, sown.values(), _sown_m2(fields))]
    for one in fields:
        notes += [*one.coverage.notes, *one.seed.notes, *one.supply.notes, *one.time.notes]
    notes += _standing_notes(job, fields)
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
            near = (
                did_you_mean(named, by_name)
                if named
                else "".join(f"{note.text} " for note in boundary.notes if note.code == "attribute-like")
            )
            problems.append(Problem(
                code="mix-unknown", text=f'{boundary.path}: field "{field.field_id}" {text}; {job.path} has {known}.',
                hint=near + f'add [field.{field.field_id}] mix = "…" to the job file, or an attribute mix to the field'))  # fmt: skip
    known_ids = {field.field_id for field in boundary.fields}
    hint = "fields there: " + ", ".join(field.field_id for field in boundary.fields[:10])
    problems += [
        Problem(
            code="field-unknown",
            text=f"{job.path}: [field.{field_id}] names no field of {boundary.path}.",
            hint=did_you_mean(field_id, known_ids) + hint,
        )
        for field_id in job.fields
        if field_id not in known_ids
    ]
    if problems:
        raise InputError(tuple(problems))
    return mixes


def _sown_m2(fields: Iterable[FieldPlan]) -> dict[tuple[str, str], float]:
    """Ground drilled with each lot, by species and lot."""
    ground: dict[tuple[str, str], float] = {}
    for one in fields:
        for lot in {(line.species, line.lot) for line in one.deliveries}:
            ground[lot] = ground.get(lot, 0.0) + one.coverage.audit.drilled_m2
    return ground


def _share_range(key: str) -> tuple[float, float]:
    low, high, _ = tables.machinery_range(key)
    return low / 100, high / 100


def _in_turn(fields: Iterable[Field], mixes: Mapping[str, Mix], job: Job) -> Iterator[FieldPlan]:
    """The plans of the fields one after the other, each going on with what earlier ones left in the boxes for it and for later ones."""
    held = Held()
    every = [_laid(field, mixes[field.field_id], job) for field in fields]
    for k, laid in enumerate(every, start=1):
        plan = _supplied(laid, job, held, later_m3(laid.seed, (one.seed for one in every[k:])))
        held = held.after(plan.seed, plan.supply.left_kg)
        yield plan


def _standing_notes(job: Job, fields: Sequence[FieldPlan]) -> list[Note]:
    low, high, source = tables.machinery_range("seeding field efficiency")
    return [
        Note(code="acres-flat", text="Ground is measured on the ellipsoid, flat: slope and height add nothing (5 % slope is 0.125 % more ground)."),
        *([] if job.booking.persistence_frac else [Note(code="fit-days-independent", text="The odds take each day as fit or not by itself; wet days come in spells, so real odds are somewhat lower (persistence in [booking] takes them into account).")]),
        Note(code="handbook-efficiency", text=f"Handbook hours use a field efficiency of {{low_frac..high_frac}} for seeding (source: {source}).", values={"low_frac": low / 100, "high_frac": high / 100}),
        _on_clock(job.working, fields),
    ]  # fmt: skip


def _on_clock(working: WorkingTerms, fields: Sequence[FieldPlan]) -> Note:
    """What the hours of these fields hold, and what comes on top: as it was counted, and not only as it was asked for."""
    values = {}
    held, on_top = ["driving", "turns", "refills"], ["plugged tubes"]
    if checks := sum(one.time.checking_s for one in fields):
        held.append("{checks_s} of tube checks")
        values["checks_s"] = checks
    else:
        on_top.append("tube checks")
    if breaks := sum(one.time.breaks_s for one in fields):
        held.append("{breaks_s} of breaks")
        values["breaks_s"] = breaks
    elif not working.break_s:
        on_top.append("breaks")
    text = f"The clock holds {_listed(held)}; {_listed([*on_top, 'breakdowns'])} come on top."
    if working.break_s and not breaks:
        text += " No field takes long enough for a break ({every_s} of work), so none is counted."
        values["every_s"] = working.break_every_s
    return Note(code="clock-leaves-out", text=text, values=values)


def _listed(parts: Sequence[str]) -> str:
    return f"{', '.join(parts[:-1])} and {parts[-1]}"


def _sources(texts: Iterable[str]) -> list[str]:
    """Keys of the sources that sentences name, and those that every plan rests on."""
    named = {key for text in texts for cited in _CITED.findall(text) for key in cited.split(", ")}
    known = {row["key"] for row in tables.rows("sources")}
    return sorted(named & known | {"karney2013", "fsa-201", "h1-manual", "p3112"})
