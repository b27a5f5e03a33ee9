"""What the swaths cover, as areas: never inferred from length × width."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.swept import GRID_M, Swept, swept_by_loops
from fieldplan.model.coverage import Audit, Loop, Sowing, Swath
from fieldplan.plane.offsets import polygons_of

LEAST_GAP_M2 = 0.01
CORNERS, OBSTACLES, LAST_PASS, PASS_ENDS = "headland corners", "obstacles", "last pass", "pass ends"


def audit(
    ground: MultiPolygon, layout: MultiPolygon, sowings: Sequence[Sowing], covered: Sequence[Swept], width_m: float
) -> Audit:
    """Drilled, double-sown, missed and outside ground of each sowing by itself, then summed.

    With U the union of a sowing's swaths: drilled = Σ sown length × width; double-sown = drilled − area(U);
    missed = area(ground − U); outside = area(U − ground) = area(U) − (area(ground) − missed). So drilled − double-sown −
    outside + missed = plantable, once for each sowing. The areas are of ``ground``, the full outline; ``layout``, its
    thinned copy, only helps to tell the causes of double sowing apart.
    """
    drilled = double = missed = outside = 0.0
    causes = {CORNERS: 0.0, OBSTACLES: 0.0, LAST_PASS: 0.0, PASS_ENDS: 0.0}
    for sowing, swept in zip(sowings, covered, strict=True):
        drilled_m2 = _length_m(sowing.swaths()) * width_m
        twice = max(0.0, drilled_m2 - swept.together.area)
        corners, obstacles = _round_corners(sowing.headland, swept.headland, width_m)
        last = min(twice - corners - obstacles, sum(_beside_block(layout, sowing, i) for i in range(len(sowing.blocks))))
        causes[CORNERS] += corners
        causes[OBSTACLES] += obstacles
        causes[LAST_PASS] += last
        causes[PASS_ENDS] += twice - corners - obstacles - last
        drilled += drilled_m2
        double += twice
        missed += swept.missed.area
        outside += max(0.0, swept.together.area - (ground.area - swept.missed.area))
    return Audit(
        plantable_m2=float(ground.area),
        drilled_m2=drilled,
        double_sown_m2=double,
        double_sown_by_cause_m2=causes,
        missed_m2=missed,
        outside_m2=outside,
        missed_ground=_drawn([swept.missed for swept in covered]),
    )


def _length_m(swaths: Sequence[Swath]) -> float:
    return float(shapely.length(np.array([swath.line for swath in swaths], dtype=object)).sum())


def _round_corners(loops: Sequence[Loop], headland: BaseGeometry, width_m: float) -> tuple[float, float]:
    """Ground that sides of the headland sow twice: where no obstacle plays a part, and where one does."""
    drilled_m2 = _length_m([side for loop in loops for side in loop.sides]) * width_m
    twice = max(0.0, drilled_m2 - headland.area)
    outer = [loop for loop in loops if not loop.obstacle]
    if len(outer) == len(loops):
        return twice, 0.0
    outer_m2 = _length_m([side for loop in outer for side in loop.sides]) * width_m
    corners = min(twice, max(0.0, outer_m2 - swept_by_loops(outer).area))
    return corners, twice - corners


def _drawn(gaps: Iterable[BaseGeometry]) -> MultiPolygon:
    """Missed ground to draw: slivers along a ragged edge are counted in the sums, and too small to see."""
    parts = [part for gap in gaps for part in polygons_of(gap).geoms if part.area >= LEAST_GAP_M2]
    return polygons_of(shapely.union_all(parts, grid_size=GRID_M)) if parts else MultiPolygon()


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
