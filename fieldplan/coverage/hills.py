"""What heights say of a field and of how it is driven."""

from __future__ import annotations

import numpy as np

from fieldplan.coverage.field import outlets_of
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import Field
from fieldplan.model.job import Job
from fieldplan.model.relief import Hills
from fieldplan.plane.frame import Frame
from fieldplan.terrain.grade import GradeLimit, row_grades
from fieldplan.terrain.heights import Heights
from fieldplan.terrain.raster import heights_about
from fieldplan.terrain.relief import relief_of, steep_ground


def heights_of(field: Field, job: Job, frame: Frame) -> Heights | None:
    """The heights about a field, in the plane of a frame, if the job names a file of them.

    Raises
    ------
    InputError
        If that file cannot be used.
    """
    if job.working.elevation is None:
        return None
    return heights_about(job.working.elevation, frame.to_plane(field.ground), frame)


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
    passes = np.array([leg.line for leg in coverage.legs if leg.kind == "pass"], dtype=object)
    return Hills(
        relief=relief,
        grades=row_grades(passes, heights, GradeLimit(), outlets_of(field, frame)),
        steep=steep_ground(heights, ground),
    )
