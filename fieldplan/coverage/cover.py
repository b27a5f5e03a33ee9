"""The coverage of one field: headland, blocks, left-over ground, route and audit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.audit import audit
from fieldplan.coverage.blocks import cut_up
from fieldplan.coverage.heading import Surroundings
from fieldplan.coverage.headland import headland_loops
from fieldplan.coverage.passes import block_of, left_over_blocks
from fieldplan.coverage.route import drive_s, gates_of, route
from fieldplan.coverage.sequence import sides_in_turn
from fieldplan.coverage.swept import Swept, swept, swept_by_loops
from fieldplan.coverage.terms import Rig
from fieldplan.errors import PlanError
from fieldplan.model.coverage import Array, Coverage, Leg, Loop, Sowing
from fieldplan.model.job import WorkingTerms
from fieldplan.model.notes import Note
from fieldplan.plane.frame import heading_vector
from fieldplan.plane.offsets import inset, polygons_of
from fieldplan.units import FOOT_M, MINUTE_S, SQUARE_FOOT_M2

THIN_M = 0.01
"""The layout works on a copy of the outline thinned to this; acres and audit use the full outline."""
MOST_LAYOUT_VERTICES = 20_000
MOST_THINNED_M = 1.0
LEAST_BLOCK_M2 = 1.0
MOST_BLOCKS = 8
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
    loops = headland_loops(around, rig.width_m, wanted, rig.follows_bend_deg)
    inner = [part for part in inset(around, wanted * rig.width_m).geoms if part.area >= LEAST_BLOCK_M2]
    field = _Ground(ground, around, layout, loops, swept_by_loops(loops), convergence_deg)
    drive = _driven(field, inner, rig, working, gate, _wanted_heading(working, convergence_deg))
    saved_s = 0.0
    if working.heading_deg is None and working.most_blocks != 1:
        most = MOST_BLOCKS if working.most_blocks is None else working.most_blocks
        cut = [piece for part in inner for piece in cut_up(part, rig, working.lift_over_m, most)]
        if len(inner) < len(cut) <= max(most, len(inner)):
            other = _driven(field, cut, rig, working, gate, None)
            saved_s = drive_s(drive.legs, rig) - drive_s(other.legs, rig)
            drive = other if saved_s > 0 else drive
    if not drive.legs:
        raise PlanError.of(
            "field-too-narrow",
            f'Field "{field_id}" is nowhere as wide as the drill ({rig.width_m / FOOT_M:.1f} ft).',
            "leave it out, or plan it with a narrower drill",
        )
    coverage = Coverage(
        drill_width_m=rig.width_m,
        headland_rounds=max(sowing.n_rounds for sowing in drive.sowings),
        ground=around,
        sowings=drive.sowings,
        legs=drive.legs,
        gate=drive.gate,
        audit=audit(ground, layout, drive.sowings, drive.covered, rig.width_m),
    )
    notes = _notes(field_id, coverage, wanted, ignored, working)
    if gate is None:
        notes.insert(0, Note(code="gate-assumed", field_id=field_id, text=(
            "No gate was given: the corner of the outline that saves most travel is taken as the gate.")))  # fmt: skip
    if saved_s > 0:
        notes.append(Note(code="blocks-cut", field_id=field_id, text=(
            f"Cut into blocks that are driven each in a heading of its own: saves {saved_s / MINUTE_S:.0f} min against one heading.")))  # fmt: skip
    if rig.plain_order:
        best_s = drive_s(
            route(around, drive.sowings, drive.gate, replace(rig, plain_order=False), headland_first=working.headland_first)[0],
            rig,
        )
        notes.append(Note(code="order-plain", field_id=field_id, text=(
            f"Passes are driven in the plain order, which takes {max(0.0, drive_s(drive.legs, rig) - best_s) / MINUTE_S:.0f} min more than the best.")))  # fmt: skip
    if thinned_m > THIN_M:
        notes.append(Note(code="layout-thinned", field_id=field_id, text=(
            f"The outline is so finely ragged that passes were laid out on a copy smoothed by up to {thinned_m:.2f} m; acres and "
            "ground covered are measured on the full outline.")))  # fmt: skip
    return replace(coverage, notes=tuple(notes))


@dataclass(frozen=True, slots=True)
class _Ground:
    """What every way of driving a field shares: the full outline, where to drive, the thinned outline, and the headland."""

    ground: MultiPolygon
    around: MultiPolygon
    layout: MultiPolygon
    loops: tuple[Loop, ...]
    headland: BaseGeometry
    convergence_deg: float


@dataclass(frozen=True, slots=True)
class _Driven:
    """One way of driving a field and the ground that each sowing covers."""

    sowings: tuple[Sowing, ...]
    covered: tuple[Swept, ...]
    legs: tuple[Leg, ...]
    gate: Point


def _driven(
    field: _Ground, pieces: Sequence[Polygon], rig: Rig, working: WorkingTerms, gate: Point | None, along: Array | None
) -> _Driven:
    """The field driven with these pieces of its inner ground as blocks; later sowings run across the first."""
    surroundings = _surroundings(field, gate, headland_first=working.headland_first)
    laid = [_sowing(field, pieces, rig, working, along, surroundings)]
    for _ in range(1, working.sowings):
        first = along if along is not None else _main_heading(laid[0][0], field.convergence_deg)
        laid.append(_sowing(field, pieces, rig, working, None if first is None else _across(first), None))
        along = None if first is None else _across(first)
    sowings, covered = zip(*laid, strict=True)
    if not any(sowing.swaths() for sowing in sowings):
        return _Driven(sowings, covered, (), Point())
    legs, gate = route(field.around, sowings, gate, rig, headland_first=working.headland_first)
    return _Driven(sowings, covered, legs, gate)


def _main_heading(sowing: Sowing, convergence_deg: float) -> Array | None:
    block = max(sowing.blocks, key=lambda one: one.length_m, default=None)
    return None if block is None else np.asarray(heading_vector(block.heading_deg - convergence_deg))


def _across(along: Array) -> Array:
    return np.array([along[1], -along[0]])


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


def _wanted_heading(working: WorkingTerms, convergence_deg: float) -> Array | None:
    """A given heading as a grid vector; ``None`` leaves the choice open."""
    if working.heading_deg is None:
        return None
    return np.asarray(heading_vector(working.heading_deg - convergence_deg))


def _sowing(
    field: _Ground,
    pieces: Sequence[Polygon],
    rig: Rig,
    working: WorkingTerms,
    along: Array | None,
    surroundings: Surroundings | None,
) -> tuple[Sowing, Swept]:
    """One sowing, and the ground that its swaths cover."""
    blocks = [
        block_of(
            number, piece, rig, working.lift_over_m, along, field.convergence_deg, surroundings if len(pieces) == 1 else None
        )
        for number, piece in enumerate(pieces, start=1)
    ]
    covered = swept(field.ground, field.loops, field.headland, blocks)
    more = left_over_blocks(len(blocks) + 1, field.layout, covered.missed, rig, working.lift_over_m, field.convergence_deg)
    if more:
        blocks += more
        covered = swept(field.ground, field.loops, field.headland, blocks)
    return Sowing(headland=field.loops, blocks=tuple(blocks)), covered


def _surroundings(field: _Ground, gate: Point | None, *, headland_first: bool) -> Surroundings | None:
    """What comes before and after the passes where the headland is sown first; elsewise that depends on them."""
    if not headland_first or not field.loops:
        return None
    at = None if gate is None else np.array([[gate.x, gate.y]])
    sides = sides_in_turn(field.loops, None if at is None else at[0])
    return Surroundings(
        comes_from=np.array(sides[-1].line.coords[-1]),
        sowing_starts=np.array(sides[0].line.coords[0]),
        gates=gates_of(field.around) if at is None else at,
    )


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
    between, at_corners = _swings_out_m(coverage.ground, [leg for leg in coverage.legs if leg.kind == "turn"])
    swings = {"between passes": between, "at corners of the headland": at_corners}
    out = " and ".join(f"{swing / FOOT_M:.0f} ft {where}" for where, swing in swings.items() if swing > NOTABLE_SWING_M)
    apart = len(coverage.ground.geoms)
    if apart > 1:
        notes.append(
            ("parts-apart", f"The field is in {apart} separate parts; the way from one to the next is taken as a straight line.")
        )
    if out:
        notes.append(("turns-swing-out", (
            f"Turns swing past the edge of the field or into an obstacle by up to {out} (middle of the drill). Where a fence stands: "
            "plan more headland rounds, turn tighter, back up, or leave the corner.")))  # fmt: skip
    return [Note(code=code, text=text, field_id=field_id) for code, text in notes]


def _swings_out_m(ground: MultiPolygon, turns: Sequence[Leg]) -> tuple[float, float]:
    """How far turns between passes, and turns on the headland, leave the ground: to within about a foot, at every third point."""
    points, of = shapely.get_coordinates(np.array([turn.line for turn in turns], dtype=object), return_index=True)
    points, of = points[::3], np.asarray(of)[::3]
    shapely.prepare(ground)
    out = ~shapely.contains_xy(ground, points[:, 0], points[:, 1])
    away = np.asarray(shapely.distance(shapely.points(points[out]), ground))
    between = np.array([turn.block > 0 for turn in turns], dtype=bool)[of[out]]
    return float(away[between].max(initial=0.0)), float(away[~between].max(initial=0.0))
