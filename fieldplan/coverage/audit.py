"""What the swaths cover, as areas: never inferred from length × width."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.swept import GRID_M
from fieldplan.model.coverage import Audit, Loop, Sowing
from fieldplan.plane.offsets import polygons_of

LEAST_GAP_M2 = 0.01
CLOSES_FRAC = 1e-7
CORNERS, OBSTACLES, LAST_PASS, PASS_ENDS = "headland corners", "obstacles", "last pass", "pass ends"


def audit(
    ground: MultiPolygon, layout: MultiPolygon, sowings: Sequence[Sowing], covered: Sequence[BaseGeometry], width_m: float
) -> Audit:
    """Drilled, double-sown, missed and outside ground of each sowing by itself, then summed.

    With U the union of a sowing's swaths: drilled = Σ sown length × width; double-sown = drilled − area(U);
    missed = area(ground − U); outside = area(U − ground). So drilled − double-sown − outside + missed = plantable,
    once for each sowing. U is ``covered``, one for each sowing. The areas are of ``ground``, the full outline; ``layout``,
    its thinned copy, only helps to tell the causes of double sowing apart.
    """
    drilled = double = missed = outside = 0.0
    causes = {CORNERS: 0.0, OBSTACLES: 0.0, LAST_PASS: 0.0, PASS_ENDS: 0.0}
    gaps: list[BaseGeometry] = []
    for sowing, union in zip(sowings, covered, strict=True):
        gap, beyond_m2 = _missed_and_outside(ground, union)
        drilled_m2 = sum(swath.length_m for swath in sowing.swaths()) * width_m
        twice = max(0.0, drilled_m2 - union.area)
        corners = min(twice, _corners_m2(loop for loop in sowing.headland if not loop.obstacle))
        obstacles = min(twice - corners, _corners_m2(loop for loop in sowing.headland if loop.obstacle))
        last = min(twice - corners - obstacles, sum(_beside_block(layout, sowing, i) for i in range(len(sowing.blocks))))
        causes[CORNERS] += corners
        causes[LAST_PASS] += last
        causes[OBSTACLES] += obstacles
        causes[PASS_ENDS] += twice - corners - obstacles - last
        drilled += drilled_m2
        double += twice
        missed += gap.area
        outside += beyond_m2
        gaps.append(gap)
    return Audit(
        plantable_m2=float(ground.area),
        drilled_m2=drilled,
        double_sown_m2=double,
        double_sown_by_cause_m2=causes,
        missed_m2=missed,
        outside_m2=outside,
        missed_ground=_drawn(gaps),
    )


def _missed_and_outside(ground: MultiPolygon, union: BaseGeometry) -> tuple[BaseGeometry, float]:
    """Ground outside the union, and how much of the union is outside the ground.

    Overlays without a grid are quicker, by far on ragged outlines; that they lost nothing shows in ground less missed
    being union less outside.
    """
    for grid_m in (None, GRID_M):
        gap = shapely.difference(ground, union, grid_size=grid_m)
        outside_m2 = float(shapely.difference(union, ground, grid_size=grid_m).area)
        if abs((ground.area - gap.area) - (union.area - outside_m2)) <= CLOSES_FRAC * ground.area:
            break
    return gap, outside_m2


def _drawn(gaps: list[BaseGeometry]) -> MultiPolygon:
    """Missed ground to draw: slivers along a ragged edge are counted above, and too small to see."""
    together = gaps[0] if len(gaps) == 1 else shapely.union_all(gaps, grid_size=GRID_M)
    return MultiPolygon([part for part in polygons_of(together).geoms if part.area >= LEAST_GAP_M2])


def _corners_m2(loops: Iterable[Loop]) -> float:
    """Ground that a side of a loop shares with the next one."""
    pairs = [
        (loop.sides[i - 1].ground, side.ground) for loop in loops if len(loop.sides) > 1 for i, side in enumerate(loop.sides)
    ]
    if not pairs:
        return 0.0
    one, other = np.array(pairs, dtype=object).T
    return float(shapely.area(shapely.intersection(one, other)).sum())


def _beside_block(layout: MultiPolygon, sowing: Sowing, index: int) -> float:
    """Part of a block's outermost strips that lies beside the block, over its width, and on the field."""
    block = sowing.blocks[index]
    if not block.passes:
        return 0.0
    total = 0.0
    for strip in {block.passes[0].strip, block.passes[-1].strip}:
        for run in (run for one in block.passes if one.strip == strip for run in one.runs):
            beside = run.ground.difference(_reach_across(block.ground, run.line))
            total += beside.intersection(layout).area
    return total


def _reach_across(block: BaseGeometry, line: shapely.LineString) -> BaseGeometry:
    """The endless band along a line that is just wide enough to hold the block."""
    (x1, y1), (x2, y2) = line.coords[0], line.coords[-1]
    length = max(line.length, 1e-9)
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    points = shapely.get_coordinates(block)
    across = (points[:, 1] - y1) * ux - (points[:, 0] - x1) * uy
    low, high, far = float(across.min()), float(across.max()), 1e5
    corners = [(-far, low), (far, low), (far, high), (-far, high)]
    return shapely.Polygon([(x1 + a * ux - b * uy, y1 + a * uy + b * ux) for a, b in corners])
