"""The coverage of a field on which nothing is drilled: all of its ground is missed."""

from __future__ import annotations

from functools import partial

import shapely
from shapely import MultiPolygon, Point

from fieldplan.errors import Problem
from fieldplan.model.coverage import Audit, Coverage, Sowing
from fieldplan.model.notes import Note

_ROUNDING_M = 0.005
"""Tolerance of the largest inscribed circle."""
_ALL_FRAC = 0.999
"""A part counts as missed if this share of it is."""


def nothing_driven(
    ground: MultiPolygon, width_m: float, sowings: int, gate: Point, notes: tuple[Note, ...]
) -> Coverage:
    """A coverage without legs; its audit closes, as each sowing misses all of the ground.

    Parameters
    ----------
    ground
        Plantable ground in plane meters; it may be empty.
    sowings
        How often the ground was to be sown.
    gate
        A corner of the field.
    notes
        Why nothing is drilled.
    """
    return Coverage(
        drill_width_m=width_m,
        headland_rounds=0,
        ground=ground,
        sowings=(Sowing(headland=(), blocks=()),) * sowings,
        legs=(),
        gate=gate,
        notes=notes,
        audit=Audit(
            plantable_m2=float(ground.area),
            drilled_m2=0.0,
            overlap_m2=0.0,
            missed_m2=float(ground.area) * sowings,
            outside_m2=0.0,
            draws_missed=partial(MultiPolygon, ground),
            parts_overlap=dict,
        ),
    )


def why_nothing(field_id: str, problem: Problem, ground: MultiPolygon) -> Note:
    """The warning that nothing is drilled on a field, under the code of the problem that says why."""
    values = {**problem.values, "missed_m2": float(ground.area)}
    if problem.code == "field-too-narrow":
        values["widest_m"] = _widest_m(ground)
    return Note(code=problem.code, case="undriven", field_id=field_id, warning=True, values=values)


def parts_missed(field_id: str, coverage: Coverage) -> tuple[Note, ...]:
    """A warning if nothing is drilled on some of the separate parts of a field; empty if there are none."""
    parts = coverage.ground.geoms
    if len(parts) < 2:
        return ()
    missed = coverage.audit.missed_ground
    areas_m2 = [
        part.area for part in parts if shapely.intersection(part, missed).area > _ALL_FRAC * part.area
    ]
    if not areas_m2:
        return ()
    values = {"n_missed": len(areas_m2), "n_parts": len(parts), "parts_m2": sum(areas_m2)}
    return (Note(code="parts-missed", field_id=field_id, warning=True, values=values),)


def _widest_m(ground: MultiPolygon) -> float:
    """Width of the ground where it is widest: the diameter of the largest circle that fits on it."""
    radii = (shapely.maximum_inscribed_circle(part, _ROUNDING_M) for part in ground.geoms)
    return max(2 * float(radius.length) for radius in radii)
