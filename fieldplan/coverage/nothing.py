"""The coverage of a field on which nothing is drilled: all of its ground is missed."""

from __future__ import annotations

import shapely
from shapely import MultiPolygon, Point

from fieldplan.errors import Problem
from fieldplan.model.coverage import Audit, Coverage, Sowing
from fieldplan.model.notes import Note

TOO_NARROW = "field-too-narrow"
"""The code of the problem, and of the warning, that no pass fits on a field."""
_ROUNDING_M = 0.005
_ALL_FRAC = 0.999


def nothing_driven(ground: MultiPolygon, width_m: float, sowings: int, gate: Point, notes: tuple[Note, ...]) -> Coverage:
    """No passes, no turns, no drive; the audit closes, as each sowing misses all of the ground.

    Parameters
    ----------
    ground
        Plantable ground in plane metres; it may be empty.
    notes
        Why nothing is drilled.
    """
    return Coverage(
        drill_width_m=width_m, headland_rounds=0, ground=ground, sowings=(Sowing(headland=(), blocks=()),) * sowings, legs=(), gate=gate, notes=notes,
        audit=Audit(
            plantable_m2=float(ground.area), drilled_m2=0.0, double_sown_m2=0.0, double_sown_by_cause_m2={},
            missed_m2=float(ground.area) * sowings, outside_m2=0.0, missed_ground=ground,
        ),
    )  # fmt: skip


def why_nothing(field_id: str, problem: Problem, ground: MultiPolygon, width_m: float) -> Note:
    """The warning that nothing is drilled on a field, why, and what would help."""
    missed_m2 = float(ground.area)
    if problem.code == TOO_NARROW:
        return Note(code=TOO_NARROW, field_id=field_id, warning=True, told=(
            "No pass of the drill, {drill_width_m:2} wide, fits: the ground is at most {widest_m:2} wide. Planned as what it is: nothing is "
            "drilled there and all of its ground ({missed_m2}) is missed. A drill no wider than the ground would do, or leave the field out."),
            values={"drill_width_m": width_m, "widest_m": _widest_m(ground), "missed_m2": missed_m2})  # fmt: skip
    cure = f" Try: {problem.hint}." if problem.hint else ""
    return Note(code=problem.code, field_id=field_id, warning=True, values={"missed_m2": missed_m2}, told=(
        f"{problem.text} Nothing is drilled there and all of its ground ({{missed_m2}}) is missed.{cure}"))  # fmt: skip


def parts_missed(field_id: str, coverage: Coverage) -> tuple[Note, ...]:
    """A warning if nothing is drilled on some of the separate parts of a field."""
    parts, missed = coverage.ground.geoms, coverage.audit.missed_ground
    left = [part for part in parts if shapely.intersection(part, missed).area > _ALL_FRAC * part.area] if len(parts) > 1 else []
    if not left:
        return ()
    return (Note(code="parts-missed", field_id=field_id, warning=True, values={"parts_m2": sum(part.area for part in left)}, told=(
        f"No pass of the drill fits on {len(left)} of its {len(parts)} separate parts: that ground ({{parts_m2}}) is missed.")),)  # fmt: skip


def _widest_m(ground: MultiPolygon) -> float:
    """How wide the ground is where it is widest: the diameter of the largest circle on it."""
    return max(2 * float(shapely.maximum_inscribed_circle(part, _ROUNDING_M).length) for part in ground.geoms)
