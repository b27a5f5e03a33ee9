"""What the swaths cover: ground covered, missed and outside as areas, never inferred from length ×
width.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.swept import GRID_M, HeadlandGround, Swept
from fieldplan.model.coverage import Array, Audit, Block, HeadlandRound, Sowing
from fieldplan.plane.offsets import polygons_of

MIN_GAP_M2 = 0.01
MIN_BESIDE_M = 1e-6
CORNERS, OBSTACLES, LAST_PASS, PASS_ENDS = "headland corners", "obstacles", "last pass", "pass ends"


def audit(
    ground: MultiPolygon,
    layout: MultiPolygon,
    sowings: Sequence[Sowing],
    covered: Sequence[Swept],
    width_m: float,
) -> Audit:
    """Drilled, double-sown, missed and outside ground of each sowing by itself, then summed.

    With U the union of a sowing's swaths: drilled = Σ sown length × width; double-sown = drilled − area(U);
    missed = area(ground − U); outside = area(U − ground) = area(U) − (area(ground) − missed). So drilled −
    double-sown − outside + missed = plantable, once for each sowing. The areas are of ``ground``, the full
    outline; ``layout``, its thinned copy, only helps to tell the causes of double sowing apart.
    """
    drilled = double = missed = outside = 0.0
    causes = {CORNERS: 0.0, OBSTACLES: 0.0, LAST_PASS: 0.0, PASS_ENDS: 0.0}
    for sowing, swept in zip(sowings, covered, strict=True):
        drilled_m2 = sowing.swaths().length_m * width_m
        twice = max(0.0, drilled_m2 - swept.together.area)
        corners, obstacles = _round_corners(sowing.headland, swept.headland, width_m)
        last = min(twice - corners - obstacles, _beside_blocks_m2(layout, sowing.blocks, width_m))
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
        overlap_m2=double,
        overlap_by_cause_m2=causes,
        missed_m2=missed,
        outside_m2=outside,
        missed_ground=_drawn([swept.missed for swept in covered]),
    )


def _round_corners(
    rounds: Sequence[HeadlandRound], headland: HeadlandGround, width_m: float
) -> tuple[float, float]:
    """Ground that sides of the headland sow twice: where no obstacle plays a part, and where one does."""
    drilled_m2 = sum(headland_round.segments.length_m for headland_round in rounds) * width_m
    outer_m2 = (
        sum(headland_round.segments.length_m for headland_round in rounds if not headland_round.obstacle)
        * width_m
    )
    twice = max(0.0, drilled_m2 - headland.together.area)
    corners = min(twice, max(0.0, outer_m2 - headland.outer.area))
    return corners, twice - corners


def _drawn(gaps: Sequence[BaseGeometry]) -> MultiPolygon:
    """Missed ground to draw: slivers along a ragged edge are counted in the sums, and too small to see."""
    parts = MultiPolygon(
        [part for gap in gaps for part in polygons_of(gap).geoms if part.area >= MIN_GAP_M2]
    )
    return parts if len(gaps) == 1 else polygons_of(shapely.union_all(list(parts.geoms), grid_size=GRID_M))


def _beside_blocks_m2(layout: MultiPolygon, blocks: Sequence[Block], width_m: float) -> float:
    """Part of the outermost strips of blocks that lies beside their block, over its width, and on the
    field.
    """
    beside = [corners for block in blocks if len(block.runs) for corners in _beside_block(block, width_m)]
    if not beside:
        return 0.0
    return float(shapely.area(shapely.intersection(shapely.polygons(np.concatenate(beside)), layout)).sum())


def _beside_block(block: Block, width_m: float) -> Iterator[Array]:
    """Corners, (n, 4, 2), of those stretches of the first and of the last strip that the block does not
    reach across.
    """
    ends, along = block.ends, block.along
    left = np.array([-along[1], along[0]])
    reach_m, middle_m = shapely.get_coordinates(block.ground) @ left, ends[[0, -1], 0] @ left
    below, above = (-width_m / 2, reach_m.min() - middle_m[0]), (reach_m.max() - middle_m[1], width_m / 2)
    for strip, (low, high) in ((block.strip[0], below), (block.strip[-1], above)):
        if high - low > MIN_BESIDE_M:
            yield (
                ends[block.strip == strip][:, [0, 1, 1, 0]]
                + np.array([low, low, high, high])[:, None] * left
            )
