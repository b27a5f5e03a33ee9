"""The coverage of one field: headland, blocks, left-over ground, route and audit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from shapely import MultiPolygon, Point, Polygon

from fieldplan.coverage.audit import audit
from fieldplan.coverage.blocks import cut_up
from fieldplan.coverage.directions import directions_about
from fieldplan.coverage.drive_time import Surroundings
from fieldplan.coverage.heading import quickest_headings
from fieldplan.coverage.headland import headland_loops
from fieldplan.coverage.notes import notes_on, swings_out_m
from fieldplan.coverage.nothing import TOO_NARROW
from fieldplan.coverage.passes import block_of, left_over_blocks
from fieldplan.coverage.route import drive_s, gates_of, pose_after, route
from fieldplan.coverage.sequence import sides_in_turn
from fieldplan.coverage.swept import HeadlandGround, Swept, swept
from fieldplan.coverage.terms import Rig
from fieldplan.errors import PlanError
from fieldplan.model.coverage import Array, Coverage, Leg, Lines, Loop, Sowing
from fieldplan.model.job import WorkingTerms
from fieldplan.plane.frame import heading_vector
from fieldplan.plane.offsets import inset, polygons_of
from fieldplan.units import FOOT_M

THIN_M = 0.01
"""The layout works on a copy of the outline thinned to this; acres and audit use the full outline."""
MOST_LAYOUT_VERTICES = 20_000
MOST_THINNED_M = 1.0
LEAST_BLOCK_M2 = 1.0
MOST_HOLES, MOST_PARTS = 250, 1_000
"""More take minutes to hours: a drive looks for ways round each hole, and over each part, from every other."""
MOST_BLOCKS = 8
TRIED_CUTS = 2
"""If all cuts together do not make the whole drive quicker, the best one alone is tried."""
ALMOST_CONVEX_FRAC = 0.999
"""A field that fills this share of its convex hull is almost convex: headings all round are tried."""
MOST_DRIVEN_WHOLE = 16
"""Where corners of such a field are sown by themselves, so many headings are judged by the whole drive."""


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
    _refuse_scattered(field_id, around)
    wanted = rig.rounds_for_u_turns if working.headland_rounds is None else working.headland_rounds
    loops = headland_loops(around, rig.width_m, wanted, rig.follows_bend_deg)
    inner = [part for part in inset(around, wanted * rig.width_m).geoms if part.area >= LEAST_BLOCK_M2]
    if not loops and not inner:
        inner = [part for part in around.geoms if not inset(part, rig.width_m / 2).is_empty]
    sides = _sides_first(loops, gate, headland_first=working.headland_first)
    field = _Ground(
        ground, around, layout, loops, HeadlandGround.of(loops), sides, _surroundings(around, sides, gate), convergence_deg
    )
    drive = _driven(field, inner, rig, working, gate, _wanted_heading(working, convergence_deg))
    if _corners_apart(field, inner, drive, working):
        drive = _quickest_drive(field, inner, drive, rig, working, gate)
    saved_s = 0.0
    if working.heading_deg is None and working.most_blocks != 1:
        most = MOST_BLOCKS if working.most_blocks is None else working.most_blocks
        stages = cut_up(inner, rig, working.lift_over_m, most)
        for pieces in [*stages[-1:], *stages[:-1]][:TRIED_CUTS]:
            other = _driven(field, pieces, rig, working, gate, None)
            saved_s = max(0.0, drive_s(drive.legs, rig) - drive_s(other.legs, rig))
            if saved_s > 0:
                drive = other
                break
    if not drive.legs:
        raise PlanError.of(
            TOO_NARROW,
            f'Field "{field_id}" is nowhere as wide as the drill ({rig.width_m / FOOT_M:.1f} ft).',
            "leave it out, or plan it with a narrower drill",
        )
    between_m, corners_m = swings_out_m(around, [leg for leg in drive.legs if leg.kind == "turn"])
    coverage = Coverage(
        drill_width_m=rig.width_m,
        headland_rounds=max(sowing.n_rounds for sowing in drive.sowings),
        ground=around,
        sowings=drive.sowings,
        legs=drive.legs,
        gate=drive.gate,
        audit=audit(ground, layout, drive.sowings, drive.covered, rig.width_m),
        swing_between_m=between_m,
        swing_at_corners_m=corners_m,
    )
    plain_extra_s = None
    if rig.plain_order:
        least_turning = replace(rig, plain_order=False)
        legs, _ = route(
            around, drive.sowings, gate, least_turning, headland_first=working.headland_first, sides_first=field.sides_first
        )
        plain_extra_s = drive_s(drive.legs, rig) - drive_s(legs, rig)
    return replace(coverage, notes=notes_on(
        field_id, coverage, working, rounds_wanted=wanted, n_ignored=ignored, gate_given=gate is not None, blocks_saved_s=saved_s,
        plain_extra_s=plain_extra_s, thinned_m=thinned_m if thinned_m > THIN_M else 0.0, may_back_up=rig.reverse_turns,
    ))  # fmt: skip


def _refuse_scattered(field_id: str, around: MultiPolygon) -> None:
    """Refuse ground of more holes or parts than a drive can be laid over in a minute or so."""
    n_holes, n_parts = sum(len(part.interiors) for part in around.geoms), len(around.geoms)
    if n_holes > MOST_HOLES or n_parts > MOST_PARTS:
        raise PlanError.of(
            "field-scattered",
            f'Field "{field_id}" has {n_parts:,} part(s) and {n_holes:,} hole(s) to go round; a drive is laid over at most '
            f"{MOST_PARTS:,} and {MOST_HOLES:,}.",
            "split it into several fields, or give smallest_obstacle in the job file a larger area",
        )


@dataclass(frozen=True)
class _Ground:
    """What every way of driving a field shares: the full outline, where to drive, the thinned outline, the headland, and its sides
    in their order with what they mean for the passes if they are sown first.
    """

    ground: MultiPolygon
    around: MultiPolygon
    layout: MultiPolygon
    loops: tuple[Loop, ...]
    headland: HeadlandGround
    sides_first: Lines | None
    surroundings: Surroundings | None
    convergence_deg: float

    @cached_property
    def almost_convex(self) -> bool:
        """Whether the field fills almost all of its convex hull."""
        return bool(self.around.area >= ALMOST_CONVEX_FRAC * self.around.convex_hull.area)


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
    """The field driven with these pieces of its inner ground as blocks; each sowing runs across the one before."""
    laid = [_sowing(field, pieces, rig, working, along, field.surroundings)]
    for _ in range(1, working.sowings):
        first = along if along is not None else _main_heading(laid[0][0], field.convergence_deg)
        laid.append(_sowing(field, pieces, rig, working, None if first is None else _across(first), None))
        along = None if first is None else _across(first)
    sowings, covered = zip(*laid, strict=True)
    if not any(len(sowing.swaths()) for sowing in sowings):
        return _Driven(sowings, covered, (), Point())
    legs, gate = route(field.around, sowings, gate, rig, headland_first=working.headland_first, sides_first=field.sides_first)
    return _Driven(sowings, covered, legs, gate)


def _corners_apart(field: _Ground, inner: Sequence[Polygon], drive: _Driven, working: WorkingTerms) -> bool:
    """Whether an almost convex field has corners that are sown by themselves.

    The way to those corners can be far, and where the passes end decides how far; the choice of heading knew nothing of them.
    """
    open_choice = working.heading_deg is None and field.surroundings is not None
    return open_choice and len(inner) == 1 and len(drive.sowings[0].blocks) > 1 and field.almost_convex


def _quickest_drive(
    field: _Ground, inner: Sequence[Polygon], drive: _Driven, rig: Rig, working: WorkingTerms, gate: Point | None
) -> _Driven:
    """The quickest of whole drives: this one, likely headings all round, and some about the quickest of those."""

    def quickest(drive: _Driven, headings: Array) -> _Driven:
        others = (_driven(field, inner, rig, working, gate, along) for along in headings)
        return min([drive, *others], key=lambda one: drive_s(one.legs, rig))

    drive = quickest(drive, quickest_headings(inner[0], rig, working.lift_over_m, field.surroundings, MOST_DRIVEN_WHOLE))
    main = _main_heading(drive.sowings[0], field.convergence_deg)
    return drive if main is None else quickest(drive, directions_about(main[None, :]))


def _main_heading(sowing: Sowing, convergence_deg: float) -> Array | None:
    block = max(sowing.blocks, key=lambda one: one.runs.length_m, default=None)
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
    if not shapely.get_num_interior_rings(shapely.get_parts(ground)).any():
        return ground, 0
    parts, ignored = [], 0
    kept_out = MultiPolygon([part for one in excluded for part in one.geoms])
    for part in ground.geoms:
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
            number,
            piece,
            rig,
            working.lift_over_m,
            along,
            field.convergence_deg,
            surroundings if len(pieces) == 1 else None,
            all_round=len(pieces) == 1 and surroundings is not None and field.almost_convex,
        )
        for number, piece in enumerate(pieces, start=1)
    ]
    blocks = [block for block in blocks if len(block.runs)]  # what no headland round leaves may be too thin to drive
    covered = swept(field.ground, field.loops, field.headland, blocks)
    more = left_over_blocks(len(pieces) + 1, field.layout, covered.missed, rig, working.lift_over_m, field.convergence_deg)
    if more:
        blocks += more
        covered = swept(field.ground, field.loops, field.headland, blocks)
    return Sowing(headland=field.loops, blocks=tuple(blocks)), covered


def _sides_first(loops: Sequence[Loop], gate: Point | None, *, headland_first: bool) -> Lines | None:
    """The sides of the headland in their order where it is sown first; ``None`` where that depends on the passes."""
    if not headland_first or not loops:
        return None
    return sides_in_turn(loops, None if gate is None else np.array([gate.x, gate.y]))


def _surroundings(around: MultiPolygon, sides_first: Lines | None, gate: Point | None) -> Surroundings | None:
    """What comes before and after the passes where the headland is sown first; elsewise that depends on them."""
    if sides_first is None:
        return None
    return Surroundings(
        comes_from=pose_after(sides_first[-1]),
        sowing_starts=np.array(sides_first[0].coords[0]),
        gates=gates_of(around) if gate is None else np.array([[gate.x, gate.y]]),
    )
