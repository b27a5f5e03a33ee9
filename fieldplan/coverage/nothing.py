"""The coverage of a field on which nothing is drilled: all of its ground is missed."""

from __future__ import annotations

import shapely
from shapely import MultiPolygon, Point

from fieldplan.errors import Problem
from fieldplan.model.coverage import Audit, Coverage, Sowing
from fieldplan.model.notes import Note

_ROUNDING_M = 0.005
_ALL_FRAC = 0.999


def nothing_driven(
    ground: MultiPolygon, width_m: float, sowings: int, gate: Point, notes: tuple[Note, ...]
) -> Coverage:
    """No passes, no turns, no drive; the audit closes, as each sowing misses all of the ground.

    Parameters
    ----------
    ground
        Plantable ground in plane metres; it may be empty.
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
            overlap_by_cause_m2={},
            missed_m2=float(ground.area) * sowings,
            outside_m2=0.0,
            missed_ground=ground,
        ),
    )


def why_nothing(field_id: str, problem: Problem, ground: MultiPolygon) -> Note:
    """The warning that nothing is drilled on a field, why, and what would help: under the code of the
    problem.
    """
    values = {**problem.values, "missed_m2": float(ground.area)}
    if problem.code == "field-too-narrow":
        values["widest_m"] = _widest_m(ground)
    return Note(code=problem.code, case="undriven", field_id=field_id, warning=True, values=values)


def parts_missed(field_id: str, coverage: Coverage) -> tuple[Note, ...]:
    """A warning if nothing is drilled on some of the separate parts of a field."""
    parts, missed = coverage.ground.geoms, coverage.audit.missed_ground
    left = (
        [part for part in parts if shapely.intersection(part, missed).area > _ALL_FRAC * part.area]
        if len(parts) > 1
        else []
    )
    if not left:
        return ()
    values = {"n_missed": len(left), "n_parts": len(parts), "parts_m2": sum(part.area for part in left)}
    return (Note(code="parts-missed", field_id=field_id, warning=True, values=values),)


def _widest_m(ground: MultiPolygon) -> float:
    """How wide the ground is where it is widest: the diameter of the largest circle on it."""
    return max(
        2 * float(shapely.maximum_inscribed_circle(part, _ROUNDING_M).length) for part in ground.geoms
    )
