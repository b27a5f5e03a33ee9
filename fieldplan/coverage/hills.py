"""What heights say of a field and of how it is driven."""

from __future__ import annotations

import math

import numpy as np
from shapely import MultiPolygon

from fieldplan.coverage.contour import Contours
from fieldplan.coverage.field import outlets_of
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import Field
from fieldplan.model.job import Job
from fieldplan.model.relief import Hills
from fieldplan.plane.frame import Frame
from fieldplan.terrain.grade import row_grades
from fieldplan.terrain.heights import Heights
from fieldplan.terrain.raster import heights_about
from fieldplan.terrain.relief import ground_over, relief_of, steep_ground


def heights_of(field: Field, job: Job, frame: Frame) -> Heights | None:
    """The heights about a field, in the plane of a frame, if the job names a file of them.

    Raises
    ------
    InputError
        If that file cannot be used.
    """
    working = job.working
    if working.elevation is None:
        return None
    return heights_about(working.elevation, frame.to_plane(field.ground), frame, working.elevation_unit_m)


def hills_of(
    field: Field, job: Job, frame: Frame, coverage: Coverage, heights: Heights | None
) -> Hills | None:
    """How steep a field is, and how its passes rise and fall; ``None`` where no height is known."""
    if heights is None or job.working.elevation is None:
        return None
    ground = frame.to_plane(field.plantable if not field.plantable.is_empty else field.ground)
    center = ground.centroid
    relief = relief_of(
        heights, ground, frame.convergence_deg(center.x, center.y), job.working.elevation.name
    )
    if relief is None:
        return None
    limit = job.working.grade_limit
    legs = [leg for leg in coverage.legs if leg.kind == "pass"]
    passes = np.array([leg.line for leg in legs], dtype=object)
    return Hills(
        relief=relief,
        grades=None
        if limit is None
        else row_grades(passes, heights, limit, outlets_of(field, frame), [leg.number for leg in legs]),
        steep=steep_ground(heights, ground),
    )


def straight_heading_deg(field: Field, job: Job, frame: Frame, heights: Heights) -> float | None:
    """The true heading of straight passes that keep to the limit of grade, in [0, 180); ``None`` if none do."""
    limit = job.working.grade_limit
    if limit is None or field.plantable.is_empty:
        return None
    ground = frame.to_plane(field.plantable)
    along = Contours(heights, limit, outlets_of(field, frame)).straight(ground, Rig.of(job))
    if along is None:
        return None
    center = ground.centroid
    bearing_deg = math.degrees(math.atan2(along[0], along[1])) + frame.convergence_deg(center.x, center.y)
    return round(bearing_deg % 180.0, 9) % 180.0


def slow_ground(field: Field, job: Job, frame: Frame, heights: Heights | None) -> MultiPolygon:
    """Where the job is driven at its speed for hills, in the plane of a frame: the ground that heights say is steep, or
    all of a field whose slope the job gives; none if no such speed is given.
    """
    working, slope_frac = job.working, job.terms_for(field.field_id).slope_frac
    if working.hill_speed_m_per_s is None:
        return MultiPolygon()
    ground = frame.to_plane(field.ground)
    if heights is not None:
        return ground_over(heights, working.hill_slope_frac, ground)
    return ground if slope_frac is not None and slope_frac >= working.hill_slope_frac else MultiPolygon()
