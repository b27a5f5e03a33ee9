"""The coverage of one field: headland, blocks, left-over ground, route and audit."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.audit import audit
from fieldplan.coverage.headland import headland_loops
from fieldplan.coverage.passes import block_of, left_over_blocks
from fieldplan.coverage.route import route
from fieldplan.coverage.swept import GRID_M, swept
from fieldplan.coverage.terms import Rig
from fieldplan.errors import PlanError
from fieldplan.model.coverage import Array, Block, Coverage, Leg, Sowing
from fieldplan.model.job import WorkingTerms
from fieldplan.model.notes import Note
from fieldplan.plane.frame import heading_vector
from fieldplan.plane.offsets import inset, polygons_of
from fieldplan.units import FOOT_M, SQUARE_FOOT_M2

THIN_M = 0.01
"""The layout works on a copy of the outline thinned to this; acres and audit use the full outline."""
MOST_LAYOUT_VERTICES = 20_000
MOST_THINNED_M = 1.0
LEAST_BLOCK_M2 = 1.0
SECOND_SOWING_TURN_DEG = 90.0
NOTABLE_MISSED_FRAC = 0.005
NOTABLE_SWING_M = 0.1
FAR_GATE_M = 200.0


def cover(
    field_id: str,
    ground: MultiPolygon,
    rig: Rig,
    working: WorkingTerms,
    gate: Point | None,
    convergence_deg: float,
    excluded: Sequence[MultiPolygon] = (),
) -> Coverage:
    """How the drill covers a field.

    Parameters
    ----------
    ground
        Plantable ground in plane metres, holes and all.
    gate
        Where the drill enters and leaves; if ``None`` a corner of the field that saves travel is taken, with a note.
    convergence_deg
        True azimuth of grid north at the field.
    excluded
        Ground that was cut out because it must not be sown: it is gone round however small it is.

    Raises
    ------
    PlanError
        If the drill fits nowhere on the field.
    """
    layout, thinned_m = _thinned(ground)
    around, ignored = _gone_round(layout, working.smallest_obstacle_m2, excluded)
    wanted = rig.rounds_for_u_turns if working.headland_rounds is None else working.headland_rounds
    laid = [
        _sowing(
            around,
            layout,
            rig,
            working,
            wanted,
            _wanted_heading(working, number, convergence_deg),
            convergence_deg,
        )
        for number in range(working.sowings)
    ]
    sowings, covered = zip(*laid, strict=True)
    if not any(sowing.swaths() for sowing in sowings):
        raise PlanError.of(
            "field-too-narrow",
            f'Field "{field_id}" is nowhere as wide as the drill ({rig.width_m / FOOT_M:.1f} ft).',
            "leave it out, or plan it with a narrower drill",
        )
    notes = [] if gate else [Note(code="gate-assumed", field_id=field_id, text=(
        "No gate was given: the corner of the outline that saves most travel is taken as the gate."))]  # fmt: skip
    legs, gate = route(around, sowings, gate, rig, headland_first=working.headland_first)
    result = audit(ground, layout, sowings, covered, rig.width_m)
    coverage = Coverage(
        drill_width_m=rig.width_m,
        headland_rounds=max(sowing.n_rounds for sowing in sowings),
        ground=around,
        sowings=sowings,
        legs=legs,
        gate=gate,
        audit=result,
    )
    notes += _notes(field_id, coverage, wanted, ignored, working)
    if thinned_m > THIN_M:
        notes.append(Note(code="layout-thinned", field_id=field_id, text=(
            f"The outline is so finely ragged that passes were laid out on a copy smoothed by up to {thinned_m:.2f} m; acres and "
            "ground covered are measured on the full outline.")))  # fmt: skip
    return Coverage(
        drill_width_m=coverage.drill_width_m, headland_rounds=coverage.headland_rounds, ground=around, sowings=sowings,
        legs=legs, gate=gate, audit=result, notes=tuple(notes),
    )  # fmt: skip


def _thinned(ground: MultiPolygon) -> tuple[MultiPolygon, float]:
    """A copy for the layout, and how far its edge may lie from the full outline's.

    One centimetre takes almost every vertex that does not matter; only outlines noisier than that are thinned on.
    """
    layout, tolerance_m = polygons_of(shapely.simplify(ground, THIN_M)), THIN_M
    while shapely.get_num_coordinates(layout) > MOST_LAYOUT_VERTICES and tolerance_m < MOST_THINNED_M:
        tolerance_m *= 2
        layout = polygons_of(shapely.simplify(ground, tolerance_m))
    return layout, tolerance_m


def _gone_round(ground: MultiPolygon, smallest_m2: float, excluded: Sequence[MultiPolygon]) -> tuple[MultiPolygon, int]:
    """The ground with holes under a size filled in (but for excluded ground), and how many those were."""
    parts, ignored = [], 0
    kept_out = MultiPolygon([part for one in excluded for part in one.geoms])
    for part in shapely.get_parts(ground):
        holes = [hole for hole in part.interiors if Polygon(hole).area >= smallest_m2 or Polygon(hole).intersects(kept_out)]
        ignored += len(part.interiors) - len(holes)
        parts.append(Polygon(part.exterior, holes))
    return MultiPolygon(parts), ignored


def _wanted_heading(working: WorkingTerms, sowing: int, convergence_deg: float) -> Array | None:
    """A given heading as a grid vector; later sowings run across it. ``None`` leaves the choice open."""
    if working.heading_deg is None:
        return None
    true_deg = working.heading_deg + SECOND_SOWING_TURN_DEG * sowing
    east, north = heading_vector(true_deg - convergence_deg)
    return np.array([east, north])


def _sowing(
    around: MultiPolygon, layout: MultiPolygon, rig: Rig, working: WorkingTerms, n_rounds: int, along: Array | None,
    convergence_deg: float,
) -> tuple[Sowing, BaseGeometry]:  # fmt: skip
    """One sowing, and the ground that its swaths cover."""
    loops = headland_loops(around, rig.width_m, n_rounds, rig.follows_bend_deg)
    inner = inset(around, n_rounds * rig.width_m)
    blocks: list[Block] = []
    for part in shapely.get_parts(inner):
        if part.area >= LEAST_BLOCK_M2:
            blocks.append(block_of(len(blocks) + 1, part, rig, working.lift_over_m, along, convergence_deg))
    covered = swept([side for loop in loops for side in loop.sides], blocks)
    left = shapely.difference(around, covered, grid_size=GRID_M)
    more = left_over_blocks(len(blocks) + 1, layout, left, rig, working.lift_over_m, convergence_deg)
    if more:
        covered = swept((), more, before=[covered])
    return Sowing(headland=loops, blocks=(*blocks, *more)), covered


def _notes(field_id: str, coverage: Coverage, wanted: int, ignored: int, working: WorkingTerms) -> list[Note]:
    notes = []
    if coverage.headland_rounds < wanted:
        notes.append(("rounds-fewer", (
            f"Only {coverage.headland_rounds} of {wanted} headland rounds fit; what they leave is sown in straight passes.")))  # fmt: skip
    gate_away = coverage.gate.distance(coverage.ground)
    if gate_away > FAR_GATE_M:
        text = f"The gate given lies {gate_away / FOOT_M:,.0f} ft from the field: every refill drives there and back. Check its place."
        notes.append(("gate-far", text))
    if ignored:
        notes.append(("obstacles-driven-over", (
            f"{ignored} hole(s) smaller than {working.smallest_obstacle_m2 / SQUARE_FOOT_M2:.0f} ft² are not gone round: "
            "the drill passes over or beside them, lifted where it must be.")))  # fmt: skip
    audited = coverage.audit
    ground = audited.plantable_m2 * len(coverage.sowings)
    if audited.missed_m2 > NOTABLE_MISSED_FRAC * ground:
        notes.append(("ground-missed", (
            f"{audited.missed_m2 / ground:.1%} of the ground is narrower than the drill or out of its reach and stays unsown; "
            "it is drawn in the layer 'missed'.")))  # fmt: skip
    if audited.outside_m2 > NOTABLE_MISSED_FRAC * ground:
        notes.append(("sown-outside", (
            f"The openers run {audited.outside_m2 / ground:.1%} of the field's area past its edge to sow oblique ends "
            "fully; where a fence stands there, lift early and leave that ground.")))  # fmt: skip
    swing = _swing_out_m(coverage.ground, coverage.legs)
    if swing > NOTABLE_SWING_M:
        notes.append(("turns-swing-out", (
            f"Turns between passes swing up to {swing / FOOT_M:.0f} ft past the edge of the field (middle of the drill): "
            "plan more headland rounds, turn tighter, or back up where a fence stands.")))  # fmt: skip
    return [Note(code=code, text=text, field_id=field_id) for code, text in notes]


def _swing_out_m(ground: MultiPolygon, legs: tuple[Leg, ...]) -> float:
    """How far turns between passes leave the ground."""
    turns = [leg.line for leg in legs if leg.kind == "turn" and leg.block > 0]
    if not turns:
        return 0.0
    points = shapely.get_coordinates(np.array(turns, dtype=object))
    shapely.prepare(ground)
    outside = points[~shapely.contains_xy(ground, points[:, 0], points[:, 1])]
    if len(outside) == 0:
        return 0.0
    away = float(shapely.distance(shapely.points(outside), ground).max())
    return away if math.isfinite(away) else 0.0
