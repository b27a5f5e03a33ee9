"""What the swaths cover, as areas: never inferred from length × width."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.model.coverage import Audit, Sowing
from fieldplan.plane.offsets import polygons_of

GRID_M = 1e-5
"""Overlays are rounded to this grid. Without it the union of side-by-side swaths, whose long edges differ by rounding
alone, can silently lose a swath."""
LEAST_GAP_M2 = 0.01
CLOSES_FRAC = 1e-7
CORNERS, LAST_PASS, PASS_ENDS = "headland corners", "last pass", "pass ends"


@dataclass(frozen=True, slots=True)
class _Tally:
    drilled_m2: float
    union: BaseGeometry
    headland_twice_m2: float
    last_pass_m2: float


def audit(ground: MultiPolygon, layout: MultiPolygon, sowings: tuple[Sowing, ...], width_m: float) -> Audit:
    """Drilled, double-sown, missed and outside ground of each sowing by itself, then summed.

    With U the union of a sowing's swaths: drilled = Σ sown length × width; double-sown = drilled − area(U);
    missed = area(ground − U); outside = area(U − ground). So drilled − double-sown − outside + missed = plantable,
    once for each sowing. The areas are of ``ground``, the full outline; ``layout``, its thinned copy, only helps to tell
    the causes of double sowing apart.
    """
    drilled = double = missed = outside = 0.0
    causes = {CORNERS: 0.0, LAST_PASS: 0.0, PASS_ENDS: 0.0}
    gaps: list[BaseGeometry] = []
    for sowing in sowings:
        tally = _tally(layout, sowing, width_m)
        gap, beyond_m2 = _missed_and_outside(ground, tally.union)
        twice = max(0.0, tally.drilled_m2 - tally.union.area)
        corners = min(twice, tally.headland_twice_m2)
        last = min(twice - corners, tally.last_pass_m2)
        causes[CORNERS] += corners
        causes[LAST_PASS] += last
        causes[PASS_ENDS] += twice - corners - last
        drilled += tally.drilled_m2
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


def _tally(layout: MultiPolygon, sowing: Sowing, width_m: float) -> _Tally:
    sides = sowing.sides()
    headland = shapely.union_all([side.ground for side in sides], grid_size=GRID_M)
    return _Tally(
        drilled_m2=sum(swath.length_m for swath in sowing.swaths()) * width_m,
        union=shapely.union_all([swath.ground for swath in sowing.swaths()], grid_size=GRID_M),
        headland_twice_m2=max(0.0, sum(side.length_m for side in sides) * width_m - headland.area),
        last_pass_m2=sum(_beside_block(layout, sowing, i) for i in range(len(sowing.blocks))),
    )


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
