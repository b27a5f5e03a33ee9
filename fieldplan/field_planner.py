"""The planner of one field: its ground, a mix and a job in, its passes, seed, refills and time out."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from dataclasses import field as field_of
from functools import lru_cache, partial

from shapely import MultiPolygon, Point

from fieldplan.coverage import remembered
from fieldplan.coverage.astray import places_kept
from fieldplan.coverage.hills import heights_of, hills_of, slow_ground, straight_heading_deg
from fieldplan.coverage.remembered import (
    LastGiven,
    Remembered,
    driven_key,
    driven_on,
    is_known,
    key_of,
)
from fieldplan.coverage.stands import Stands
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.budget import BoxChange, SeedBudget
from fieldplan.model.coverage import Coverage
from fieldplan.model.depth import BoxDepth, Depth
from fieldplan.model.field import Field, PatternWord
from fieldplan.model.job import Job
from fieldplan.model.machine import Drill
from fieldplan.model.notes import Note
from fieldplan.model.plan import FieldPlan, loads_kg
from fieldplan.model.relief import Hills, StraightAcross
from fieldplan.model.seed import Mix
from fieldplan.model.work import FieldTime, SeedSupply
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.seed.batches import batches
from fieldplan.seed.budget import seed_budget
from fieldplan.seed.carry_over import CarryOver, in_boxes_m3
from fieldplan.seed.choosing import mixes_by_field
from fieldplan.seed.depth import box_depths, depths_of
from fieldplan.seed.order import carrier_deliveries, deliveries
from fieldplan.tables import read as tables
from fieldplan.work.clock import field_time, slowed
from fieldplan.work.refills import supply
from fieldplan.work.sequence import sequence_of
from fieldplan.work.stops import Pace

_plans = LastGiven[FieldPlan](0)


def remember(n_fields: int) -> None:
    """Remember the coverage and the plans of so many fields in this process, for plans that change something else.

    Without it the coverage of the last fields is remembered, and no plan.
    """
    remembered.keep(n_fields)
    _plans.most = n_fields


@dataclass(frozen=True, slots=True, kw_only=True)
class CoveredField:
    """The coverage of a field, and the seed for what is drilled there."""

    field: Field
    mix: Mix
    frame: Frame
    coverage: Coverage
    stands: Stands
    seed: SeedBudget
    hills: Hills | None = None
    slow: MultiPolygon = field_of(default_factory=MultiPolygon)


def plan_field(field: Field, mix: Mix, job: Job, carry_over: CarryOver | None = None) -> FieldPlan:
    """The plan of one field: coverage, seed for what is drilled, refills along the route, and time.

    A field that the drill cannot work on is not refused: nothing is drilled there, all of its plantable
    ground is missed, and a note says why.

    Parameters
    ----------
    carry_over
        Seed that earlier fields left in the boxes, or that was emptied from them; none by default. The
        field is planned as the last one of the job.
    """
    return planned(covered_field(field, mix, job), job, carry_over or CarryOver(), {})


def covered_field(field: Field, mix: Mix, job: Job) -> CoveredField:
    """The coverage of a field with a mix, and seed for what is drilled."""
    frame = frame_near(field.ground)
    heights = heights_of(field, job, frame)
    driven = driven_on(field, job, _fill_m2(mix, job.drill, job.working.sowings), heights)
    coverage = driven.coverage
    seed = SeedBudget(mix=mix.name, boxes=())
    if coverage.legs:
        seed = seed_budget(field.field_id, mix, job.drill, coverage.audit.drilled_m2, job.working.sowings)
    return CoveredField(
        field=field,
        mix=mix,
        frame=frame,
        coverage=coverage,
        stands=driven.stands,
        seed=seed,
        hills=hills_of(field, job, frame, coverage, heights),
        slow=slow_ground(field, job, frame, heights),
    )


def with_offer(covered: CoveredField, job: Job) -> CoveredField:
    """The field with straight passes that keep to the limit of grade, where heights tell of any, and what they cost."""
    field, hills = covered.field, covered.hills
    heights = None if hills is None or not covered.seed.boxes else heights_of(field, job, covered.frame)
    if hills is None or heights is None:
        return covered
    heading_deg = straight_heading_deg(field, job, covered.frame, heights)
    if heading_deg is None:
        return covered

    def driven(pattern: PatternWord, toward_deg: float | None = None) -> FieldPlan:
        terms = replace(job.terms_for(field.field_id), pattern=pattern)
        working = replace(job.working, pattern=pattern, heading_deg=toward_deg)
        other = replace(job, working=working, fields={**job.fields, field.field_id: terms})
        return plan_field(field, covered.mix, other)

    own = planned(covered, job, CarryOver(), {})
    contour = own if covered.coverage.pattern == "contour" else driven("contour")
    straight = driven("straight", heading_deg)
    is_straight = abs((contour.headings_deg or (heading_deg,))[0] - heading_deg) < 1e-6 and not any(
        math.isfinite(block.least_radius_m)
        for sowing in contour.coverage.sowings
        for block in sowing.blocks
    )
    offer = StraightAcross(
        heading_deg=heading_deg,
        field_s=straight.time.field_s,
        quickest_s=min(own.time.field_s, driven("best").time.field_s),
        contour_s=None if is_straight else contour.time.field_s,
    )
    return replace(covered, hills=replace(hills, straight=offer))


@lru_cache(maxsize=32)
def _fill_m2(mix: Mix, drill: Drill, sowings: int) -> float:
    """Ground that one fill of the boxes sows."""
    return seed_budget("", mix, drill, 1.0, sowings).area_per_fill_m2


@lru_cache(maxsize=32)
def _depths(mix: Mix, drill: Drill) -> tuple[tuple[Depth, ...], tuple[BoxDepth, ...]]:
    """The depths of its species and of its boxes, which all fields with a mix have in common."""
    return depths_of(mix)[0], box_depths(mix, drill)


def lacking(boundary: BoundaryFile, job: Job) -> tuple[int, ...]:
    """Numbers, from 0, of the fields whose coverage is not remembered; none where heights count, which are read first.

    Raises
    ------
    InputError
        As `plan_job`.
    """
    if job.working.elevation is not None:
        return ()
    mixes = mixes_by_field(boundary, job)
    return tuple(
        n
        for n, field in enumerate(boundary.fields)
        if not is_known(
            driven_key(field, job, _fill_m2(mixes[field.field_id], job.drill, job.working.sowings))
        )
    )


def covered_ahead(
    boundary: BoundaryFile, job: Job, numbers: Iterable[int]
) -> Iterator[tuple[bytes, Remembered]]:
    """The coverage of fields by their numbers, for another process to remember."""
    mixes = mixes_by_field(boundary, job)
    for field in (boundary.fields[n] for n in numbers):
        fill_m2 = _fill_m2(mixes[field.field_id], job.drill, job.working.sowings)
        yield driven_key(field, job, fill_m2), driven_on(field, job, fill_m2)


def planned(
    covered: CoveredField, job: Job, carry_over: CarryOver, later: Mapping[str, float]
) -> FieldPlan:
    """The plan of a covered field, the same as before if all is that it is made of; ``later`` as in `_supplied`."""
    if not _plans.most or covered.hills is not None:
        return _planned_anew(covered, job, carry_over, later)
    terms = job.terms_for(covered.field.field_id), job.drill, job.working
    key = key_of(id(covered.coverage), covered.field, covered.mix, terms, carry_over, dict(later))
    return _plans.get(
        key,
        lambda: _planned_anew(covered, job, carry_over, later),
        lambda plan: plan.coverage is covered.coverage,
    )


def _planned_anew(
    covered: CoveredField, job: Job, carry_over: CarryOver, later: Mapping[str, float]
) -> FieldPlan:
    """Refills along the route, time, and deliveries to the field."""
    field, coverage, seed = covered.field, covered.coverage, covered.seed
    changes = carry_over.changes(seed, job.drill)
    supplied = _supplied(covered, job, changes, later)
    loads = loads_kg(seed, supplied)
    delivered = deliveries(field.field_id, covered.mix, seed, loads)
    labeled = batches(field.field_id, covered.mix, seed.boxes, loads, delivered)
    of_species, of_boxes = _depths(covered.mix, job.drill)
    return FieldPlan(
        field=field,
        gate_lonlat=covered.frame.point_to_lonlat(coverage.gate.x, coverage.gate.y),
        coverage=coverage,
        seed=seed,
        supply=supplied,
        time=_timed(covered, supplied, job),
        deliveries=(*delivered, *carrier_deliveries(seed, loads, labeled)),
        batches=labeled,
        box_changes=changes,
        treated=carry_over.treated(seed),
        depths=of_species,
        hills=covered.hills,
        box_depths=of_boxes,
        further_stands_lonlat=tuple(
            covered.frame.point_to_lonlat(stand.x, stand.y) for stand in supplied.stands[1:]
        ),
        finds_sequence=partial(sequence_of, field, coverage, supplied.legs, covered.frame),
    )


def _supplied(
    covered: CoveredField, job: Job, changes: Sequence[BoxChange], later: Mapping[str, float]
) -> SeedSupply:
    """The route with the stops at which the boxes are filled again.

    Parameters
    ----------
    later
        Volume (m³) that each box will sow of the same contents on later fields.
    """
    working, coverage = job.working, covered.coverage
    terms, _ = places_kept(covered.field, job.terms_for(covered.field.field_id))
    seed_at = coverage.gate if terms.seed_at is None else covered.frame.to_plane(Point(terms.seed_at))
    beside_field = covered.stands
    follows = working.seed_follows and terms.seed_at is None
    supplied = supply(
        covered.field.field_id,
        coverage.legs,
        covered.seed.boxes,
        job.drill.effective_width_m,
        [] if follows else [beside_field.at(seed_at)],
        pace=Pace(
            speed_m_per_s=working.turn_speed_m_per_s,
            turn_extra_s=working.turn_extra_s,
            refill_s=working.refill_time_s,
        ),
        places=beside_field.along_edge,
        beside=beside_field.beside if terms.seed_at is None else None,
        in_boxes_m3=in_boxes_m3(covered.seed, changes),
        later_m3=later,
    )
    return replace(supplied, notes=(*supplied.notes, *_on_stands(covered, supplied)))


def _on_stands(covered: CoveredField, supplied: SeedSupply) -> Iterator[Note]:
    """Where seed stands beside further parts of the field, and what one more stand would save."""
    field_id, second = covered.field.field_id, supplied.second
    if len(supplied.stands) > 1:
        yield Note(
            code="seed-stand-each-part", field_id=field_id, values={"n_stands": len(supplied.stands)}
        )
    if second is not None:
        yield Note(
            code="seed-second-stand",
            field_id=field_id,
            values={"n_stops": second.n_stops, "saved_s": second.saved_s},
            places={"stand": covered.frame.point_to_lonlat(second.at.x, second.at.y)},
        )


def _timed(covered: CoveredField, supplied: SeedSupply, job: Job) -> FieldTime:
    """The time that the route of a field takes."""
    return field_time(
        covered.field.field_id,
        slowed(supplied.legs, covered.slow, job.working),
        covered.field.plantable_m2,
        job.drill.effective_width_m,
        job.working,
        handbook_efficiency_frac=_share_range("seeding field efficiency"),
        expected_efficiency_frac=_share_range("expected field efficiency"),
    )


def _share_range(key: str) -> tuple[float, float]:
    """Low and high of a percentage in the machinery table, as fractions."""
    low, high, _ = tables.machinery_range(key, "%")
    return low / 100, high / 100
