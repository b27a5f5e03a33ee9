"""How long each request takes with each drill, calculated by the same planner as any other job."""

from __future__ import annotations

import math
import pickle
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import shapely
from pyproj import Geod
from shapely import MultiPolygon

from fieldplan.boundary.load import load_fields
from fieldplan.errors import FieldplanError
from fieldplan.facts import Fact, fact
from fieldplan.model.booked import BookingDuration
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.field import Acreage, Field
from fieldplan.model.job import BookingTerms, Job
from fieldplan.model.machine import Tractor
from fieldplan.model.plan import Plan
from fieldplan.model.rental_program import RentalProgram, SeasonDrill
from fieldplan.model.request import Request
from fieldplan.model.spelling import nearest
from fieldplan.plane.frame import frame_near
from fieldplan.planner import plan_job
from fieldplan.work.booking import booking_for
from fieldplan.work.findings import NO_BOOKING
from fieldplan.work.tractor import power_check

_WGS84 = Geod(ellps="WGS84")
Progress = Callable[[Iterable[Request]], Iterable[Request]]
_MAX_PLANNED = 2_000
"""What was planned is remembered for so many requests and drills."""
SIDES = 2.0
"""Length over width of the rectangle that stands for acres without a boundary."""


def boundary_of(request: Request) -> BoundaryFile:
    """The fields of a request, with its mix if it names one.

    They come from its boundary file; a request for acres alone becomes a rectangle of that size.

    Raises
    ------
    InputError
        If the boundary file cannot be used.
    """
    boundary = load_fields(request.fields) if request.fields else _rectangle(request)
    if request.mix is None:
        return boundary
    return replace(boundary, fields=tuple(replace(field, mix=request.mix) for field in boundary.fields))


def durations_of(
    request: Request, boundary: BoundaryFile, program: RentalProgram, farthest_m: Mapping[str, float]
) -> dict[str, BookingDuration]:
    """Working days and hours of a request with each drill.

    The job is planned at the season's confidence. Picking up the drill takes the inspection and the road
    from the farthest place that it could come from, so the days are enough whoever had the drill before.

    Parameters
    ----------
    farthest_m
        For each drill, by name, meters of road from the farthest place that it could come from.

    Returns
    -------
    dict
        Booking durations by the drill's name.
    """
    return {
        drill.name: duration_of(request, boundary, drill, program, farthest_m[drill.name])
        for drill in program.drills
    }


def every_duration(
    requests: Sequence[Request],
    boundaries: Sequence[BoundaryFile],
    program: RentalProgram,
    farthest_m: Sequence[Mapping[str, float]],
    progress: Progress = iter,
) -> list[dict[str, BookingDuration]]:
    """`durations_of` for each request, in the order of the list.

    Parameters
    ----------
    boundaries
        Fields of each request (`grounds_of`).
    farthest_m
        For each request and drill, meters of road from the farthest place that the drill could come from.
    progress
        Wraps the requests, to show progress.
    """
    return [
        durations_of(request, boundaries[i], program, farthest_m[i])
        for i, request in enumerate(progress(requests))
    ]


def booking_terms(drill: SeasonDrill, program: RentalProgram) -> BookingTerms:
    """Booking terms of a drill's job file, at the season's confidence and counted in working days.

    Where there is a weather record, its chances stand for it: bookings have no days yet.
    """
    return replace(
        drill.job.booking,
        confidence_prob=program.terms.confidence_prob,
        start=None,
        finish_by=None,
        weekdays_off=frozenset(),
        dates_off=frozenset(),
        weather=None,
    )


def duration_of(
    request: Request, boundary: BoundaryFile, drill: SeasonDrill, program: RentalProgram, farthest_m: float
) -> BookingDuration:
    """Working days and hours of a request with one drill, or why that drill cannot do it.

    Parameters
    ----------
    farthest_m
        Meters of road from the farthest place that the drill could come from; see `durations_of`.
    """
    job = drill.job
    if request.mix is not None and request.mix not in {mix.name for mix in job.mixes}:
        near = nearest(request.mix, [mix.name for mix in job.mixes]) or ""
        return BookingDuration(cannot=fact("drill-without-mix", mix=request.mix, near=near))
    missing_boxes = sorted(request.boxes - {box.kind for box in job.drill.boxes})
    if missing_boxes:
        return BookingDuration(cannot=fact("drill-without-box", boxes=tuple(missing_boxes)))
    power = power_check(job.drill, Tractor(pto_power_w=request.pto_power_w))
    if power.verdict == "fail":
        return BookingDuration(cannot=fact("tractor-too-small", why=power.text, sources=power.sources))
    asked = boundary, _job(request, drill, program, farthest_m), program.terms.opens
    duration = _planned(pickle.dumps(asked))
    if duration.cannot is not None:
        return duration
    return replace(duration, road_s=farthest_m / drill.job.working.towing_speed_m_per_s)


@lru_cache(maxsize=_MAX_PLANNED)
def _planned(asked: bytes) -> BookingDuration:
    """What a pickled boundary file and job take, planned on a day, the road apart: what a season asks for once, it
    asks for again with other drills, and for offers.
    """
    boundary, job, today = pickle.loads(asked)
    try:
        plan = plan_job(boundary, job, today=today)
    except FieldplanError as error:
        return BookingDuration(cannot=error.problems[0])
    if plan.booking.suggested_days is None:
        return BookingDuration(cannot=_why_not(plan))
    return BookingDuration(
        days=plan.booking.suggested_days,
        job_s=plan.job_time.job_s,
        field_s=plan.job_time.field_s,
        ground_m2=sum(field.field.plantable_m2 for field in plan.fields if field.is_drilled),
        undrilled=tuple(field.field.field_id for field in plan.fields if not field.is_drilled),
    )


def _why_not(plan: Plan) -> Fact:
    """Why a plan has no days to book: too much work or, where nothing is drilled, the warnings on its
    fields.
    """
    notes = tuple(
        note
        for note in plan.notes
        if note.code == NO_BOOKING or (note.field_id is not None and note.warning)
    )
    return fact("drill-cannot-book", why=notes) if notes else fact("nothing-of-it-drilled")


def _job(request: Request, drill: SeasonDrill, program: RentalProgram, farthest_m: float) -> Job:
    working = drill.job.working
    collecting_s = program.terms.inspection_s + farthest_m / working.towing_speed_m_per_s
    mixes = tuple(mix for mix in drill.job.mixes if request.mix in (None, mix.name))
    return replace(
        drill.job,
        mixes=mixes,
        fields={},
        tractor=Tractor(pto_power_w=request.pto_power_w),
        working=replace(working, pick_up_s=collecting_s),
        booking=booking_terms(drill, program),
    )


def ground_that_fits(duration: BookingDuration, days: int, terms: BookingTerms) -> float:
    """About how much of a request's ground fits into so many days.

    With G the ground, H the hours in the field and R all other hours, a share x of the ground takes
    x·H + R. The largest x that fits is found by bisection, to a thousandth. Small fields take more hours
    per acre, so the answer is a first guess that must be planned.

    Parameters
    ----------
    duration
        What the whole ground takes.
    days
        Working days that are free.
    terms
        Booking terms of the drill (`booking_terms`).

    Returns
    -------
    float
        Ground in m².
    """
    other_s = duration.job_s - duration.field_s
    low, high = 0.0, 1.0
    for _ in range(10):
        middle = (low + high) / 2
        fits = booking_for(other_s + duration.field_s * middle, terms).fits_within(days)
        low, high = (middle, high) if fits else (low, middle)
    return duration.ground_m2 * low


def _rectangle(request: Request) -> BoundaryFile:
    """A rectangle of the acres asked for, centered on the place, its long side running east and west."""
    assert request.ground_m2 is not None
    lon, lat = request.place_lonlat
    frame = frame_near(shapely.Point(lon, lat))
    middle = frame.to_plane(shapely.Point(lon, lat))
    width_m = math.sqrt(request.ground_m2 / SIDES)
    rectangle = shapely.box(
        middle.x - SIDES * width_m / 2,
        middle.y - width_m / 2,
        middle.x + SIDES * width_m / 2,
        middle.y + width_m / 2,
    )
    ground = MultiPolygon([frame.to_lonlat(rectangle)])
    area_m2 = abs(_WGS84.geometry_area_perimeter(ground)[0])
    field = Field(
        field_id=request.request_id,
        name=request.renter,
        ground=ground,
        plantable=ground,
        mapped_m2=area_m2,
        acreage=Acreage(web_mercator_m2=area_m2, own_coordinates_m2=None, own_coordinates_name=""),
    )
    return BoundaryFile(path=Path(request.request_id), fields=(field,))
