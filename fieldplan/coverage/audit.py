"""The audit of a field's ground: covered, missed and outside, measured as areas of the drawn swaths."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

import numpy as np
import shapely
from shapely import MultiPolygon

from fieldplan.coverage.swept import GRID_M, Swept
from fieldplan.model.coverage import Array, Audit, Block, HeadlandRound, Sowing
from fieldplan.plane.offsets import polygons_of
from fieldplan.plane.overlaid import Outlines, Overlaid

MIN_GAP_M2 = 0.01
"""Skips smaller than this are counted, but not drawn."""
MIN_BESIDE_M = 1e-6
CORNERS, OBSTACLES, LAST_PASS, PASS_ENDS = "headland corners", "obstacles", "last pass", "pass ends"


def audit(
    ground: MultiPolygon,
    layout: MultiPolygon,
    sowings: Sequence[Sowing],
    covered: Sequence[Swept],
    width_m: float,
) -> Audit:
    """Drilled, overlap, missed and outside area of each sowing, summed over the sowings.

    Parameters
    ----------
    ground
        Plantable ground in plane meters, with its full outline: all areas are measured on it.
    layout
        Its thinned copy, used only to tell the causes of overlap apart.
    covered
        What each of the sowings covers.

    Notes
    -----
    With U the union of the swaths of one sowing:

    - drilled = Σ sown length × width
    - overlap = drilled − area(U)
    - missed = area(ground − U)
    - outside = area(U − ground) = area(U) − (area(ground) − missed)

    So drilled − overlap − outside + missed = plantable, once for each sowing.
    """
    drilled_m2 = overlap_m2 = missed_m2 = outside_m2 = 0.0
    for sowing, swept in zip(sowings, covered, strict=True):
        swaths_m2 = sowing.swaths().length_m * width_m
        drilled_m2 += swaths_m2
        overlap_m2 += _twice_m2(swaths_m2, swept)
        missed_m2 += swept.missed_m2
        outside_m2 += max(0.0, swept.together_m2 - (ground.area - swept.missed_m2))
    return Audit(
        plantable_m2=float(ground.area),
        drilled_m2=drilled_m2,
        overlap_m2=overlap_m2,
        missed_m2=missed_m2,
        outside_m2=outside_m2,
        draws_missed=partial(_drawn, covered),
        parts_overlap=partial(_by_cause_m2, layout, sowings, covered, width_m),
    )


def _twice_m2(swaths_m2: float, swept: Swept) -> float:
    """What swaths of so much ground together sow more than once."""
    return max(0.0, swaths_m2 - swept.together_m2)


def _by_cause_m2(
    layout: MultiPolygon, sowings: Sequence[Sowing], covered: Sequence[Swept], width_m: float
) -> dict[str, float]:
    """Overlap by its cause, summed over the sowings."""
    by_cause_m2 = {CORNERS: 0.0, OBSTACLES: 0.0, LAST_PASS: 0.0, PASS_ENDS: 0.0}
    for sowing, swept in zip(sowings, covered, strict=True):
        twice_m2 = _twice_m2(sowing.swaths().length_m * width_m, swept)
        corners_m2, obstacles_m2 = _headland_overlap_m2(sowing.headland, swept, width_m)
        beside_m2 = _beside_blocks_m2(layout, sowing.blocks, width_m)
        last_pass_m2 = min(twice_m2 - corners_m2 - obstacles_m2, beside_m2)
        by_cause_m2[CORNERS] += corners_m2
        by_cause_m2[OBSTACLES] += obstacles_m2
        by_cause_m2[LAST_PASS] += last_pass_m2
        by_cause_m2[PASS_ENDS] += twice_m2 - corners_m2 - obstacles_m2 - last_pass_m2
    return by_cause_m2


def _headland_overlap_m2(
    rounds: Sequence[HeadlandRound], swept: Swept, width_m: float
) -> tuple[float, float]:
    """Overlap of headland segments: among rounds along the outside, and where an obstacle plays a part."""
    drilled_m2 = sum(ring.segments.length_m for ring in rounds) * width_m
    outer_m2 = sum(ring.segments.length_m for ring in rounds if not ring.obstacle) * width_m
    overlap_m2 = max(0.0, drilled_m2 - swept.headland_m2)
    outer_overlap_m2 = min(overlap_m2, max(0.0, outer_m2 - swept.outer_m2))
    return outer_overlap_m2, overlap_m2 - outer_overlap_m2


def _drawn(covered: Sequence[Swept]) -> MultiPolygon:
    """Missed ground to draw, without slivers that are too small to see; the sums count those too."""
    parts = MultiPolygon(
        [part for swept in covered for part in polygons_of(swept.missed).geoms if part.area >= MIN_GAP_M2]
    )
    if len(covered) == 1:
        return parts
    return polygons_of(shapely.union_all(list(parts.geoms), grid_size=GRID_M))


def _beside_blocks_m2(layout: MultiPolygon, blocks: Sequence[Block], width_m: float) -> float:
    """Area on the field where the first and the last strip of blocks reach beyond their block's width."""
    field, beside_m2 = Outlines.of(layout, 0), 0.0
    for block in blocks:
        if block.bent:
            beside = shapely.difference(block.runs.grounds, block.ground)
            beside_m2 += float(shapely.area(shapely.intersection(beside, layout)).sum())
        elif len(block.runs):
            corners = np.concatenate([np.zeros((0, 4, 2)), *_beside_block(block, width_m)])
            edges = np.concatenate([corners, np.roll(corners, -1, axis=1)], axis=2).reshape(-1, 4)
            strips = Outlines(edges, np.ones(len(edges), dtype=np.int64))
            beside_m2 += Overlaid.of([field, strips], block.along, 2).only_m2(0, 1)
    return beside_m2


def _beside_block(block: Block, width_m: float) -> Iterator[Array]:
    """Corners counter-clockwise, (n, 4, 2), of the parts of the first and the last strip that lie beyond the block's
    width.
    """
    ends, along = block.ends, block.along
    left = np.array([-along[1], along[0]])
    across_m = shapely.get_coordinates(block.ground) @ left
    first_m, last_m = ends[[0, -1], 0] @ left  # middle of the first and the last strip
    below = (block.strip[0], -width_m / 2, across_m.min() - first_m)
    above = (block.strip[-1], across_m.max() - last_m, width_m / 2)
    for strip, low_m, high_m in (below, above):
        if high_m - low_m > MIN_BESIDE_M:
            offsets_m = np.array([low_m, low_m, high_m, high_m])[:, None]
            yield ends[block.strip == strip][:, [0, 1, 1, 0]] + offsets_m * left
