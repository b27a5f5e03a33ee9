"""Passes over a block of ground, as sown swaths in the plane."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.drive_time import Surroundings
from fieldplan.coverage.heading import Laying, best_laying, least_laying
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, Block, BoolArray, Swaths
from fieldplan.plane.offsets import offset, polygons_of

LEAST_LEFT_OVER_M = 0.1
"""Ground narrower than this between two swaths is a seam, not a gap to drive again."""
LEAST_GAIN_FRAC = 0.2
"""A drive over left-over ground must newly sow at least this share of what it drills."""
LEAST_PATCH_FRAC = 0.005
"""A patch that is so much of the field is sown however small: as much missed ground would be worth a note."""
MOST_OUTSIDE_FRAC = 0.02
"""A drive over left-over ground may have at most this share of what it drills outside the field."""


def block_of(
    number: int,
    ground: Polygon,
    rig: Rig,
    lift_over_m: float,
    along: Array | None,
    convergence_deg: float,
    surroundings: Surroundings | None = None,
    *,
    all_round: bool = False,
) -> Block:
    """One block sown in the best heading (or in a wanted one), its passes in the order of their strips."""
    laying = best_laying(ground, rig, lift_over_m, along, surroundings, all_round=all_round)
    return _block(number, ground, laying, rig, lift_over_m, convergence_deg)


def _block(number: int, ground: Polygon, laying: Laying, rig: Rig, lift_over_m: float, convergence_deg: float) -> Block:
    return Block(
        block=number,
        ground=ground,
        heading_deg=_heading_deg(laying.along, convergence_deg),
        runs=_swaths(laying, rig.width_m),
        strip=laying.runs.strip,
        pass_of=laying.runs.joined_over(lift_over_m),
    )


def left_over_blocks(
    first_number: int,
    field: MultiPolygon,
    left: BaseGeometry,
    rig: Rig,
    lift_over_m: float,
    convergence_deg: float,
) -> list[Block]:
    """Blocks for ground that neither headland nor blocks reach, such as the middle of a neck where a round vanishes.

    Ground smaller than a square as wide as the drill is left, unless it is a fair share of the field, and counts as missed: coming
    back for it takes thirty times as long as sowing as much elsewhere. A run is kept only if it newly sows a fair share of what it
    drills and stays inside the field.
    """
    least_m2 = min(rig.width_m**2, max(LEAST_GAIN_FRAC * rig.width_m**2, LEAST_PATCH_FRAC * field.area))
    parts = shapely.get_parts(left)
    parts = parts[shapely.area(parts) >= least_m2]
    if len(parts) == 0:
        return []
    opened = polygons_of(offset(MultiPolygon(list(parts)), -LEAST_LEFT_OVER_M / 2))
    blocks: list[Block] = []
    for core in shapely.get_parts(opened):
        patch = offset(core, LEAST_LEFT_OVER_M / 2)
        if not isinstance(patch, Polygon) or patch.area < least_m2:
            continue
        laying = least_laying(patch, rig, lift_over_m)
        block = _block(first_number + len(blocks), patch, laying, rig, lift_over_m, convergence_deg)
        kept = _worth_driving(block.runs, field, patch)
        if kept.any():
            pass_of = np.unique(block.pass_of[kept], return_inverse=True)[1]
            blocks.append(replace(block, runs=block.runs[kept], strip=block.strip[kept], pass_of=pass_of))
    return blocks


def _worth_driving(runs: Swaths, field: MultiPolygon, patch: Polygon) -> BoolArray:
    drilled_m2 = shapely.area(runs.grounds)
    gain_m2 = shapely.area(shapely.intersection(runs.grounds, patch))
    outside_m2 = shapely.area(shapely.difference(runs.grounds, field))
    return np.asarray((gain_m2 >= LEAST_GAIN_FRAC * drilled_m2) & (outside_m2 <= MOST_OUTSIDE_FRAC * drilled_m2))


def _heading_deg(along: Array, convergence_deg: float) -> float:
    """True bearing of a heading in [0, 180)."""
    bearing = math.degrees(math.atan2(along[0], along[1])) + convergence_deg
    return round(bearing % 180.0, 9) % 180.0


def _swaths(laying: Laying, width_m: float) -> Swaths:
    """The runs of a laying in the plane, along its heading."""
    runs = laying.runs
    across = np.array([-laying.along[1], laying.along[0]])
    low = runs.base_m + runs.strip * width_m
    start, end = runs.start_m[:, None] * laying.along, runs.end_m[:, None] * laying.along
    beside = [y[:, None] * across for y in (low, low + width_m / 2, low + width_m)]
    corners = np.stack([start + beside[0], end + beside[0], end + beside[2], start + beside[2]], axis=1)
    return Swaths(
        lines=np.asarray(shapely.linestrings(np.stack([start + beside[1], end + beside[1]], axis=1)), dtype=object),
        grounds=np.asarray(shapely.polygons(corners), dtype=object),
    )
