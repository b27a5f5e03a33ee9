"""Passes over a block of ground, as sown swaths in the plane."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.heading import SwathLayout, simple_swath_layout
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Block, BoolArray, Swaths
from fieldplan.plane.offsets import offset, polygons_of
from fieldplan.plane.strips import Runs

MIN_RUN_M = 1.0
"""A pass shorter than this is none."""
MIN_LEFT_OVER_M = 0.1
"""Ground narrower than this between two swaths is a seam, not a gap to drive again."""
MIN_GAIN_FRAC = 0.2
"""A drive over left-over ground must newly sow at least this share of what it drills."""
MIN_PATCH_FRAC = 0.005
"""A patch that is so much of the field is sown however small: as much missed ground would be worth a note."""
MAX_OUTSIDE_FRAC = 0.02
"""A drive over left-over ground may have at most this share of what it drills outside the field."""


def block_of(number: int, ground: Polygon, swath_layout: SwathLayout, site: Site, room: InsideFence) -> Block:
    """One block sown in strips as laid out, its passes in the order of their strips.

    Passes begin and end where the drill can be turned: short of an edge that it may not cross.
    """
    runs = reached(swath_layout, site.rig, room)
    return Block(
        block=number,
        ground=ground,
        heading_deg=site.heading_deg(swath_layout.along),
        runs=_swaths(replace(swath_layout, runs=runs), site.rig.width_m),
        strip=runs.strip,
        pass_of=runs.joined_over(site.rig.lift_over_m),
    )


def reached(swath_layout: SwathLayout, rig: Rig, room: InsideFence) -> Runs:
    """The runs of a swath layout cut back to the first and the last place where the drill may stand; those
    without any are left out.
    """
    runs, along = swath_layout.runs, swath_layout.along
    middle = (runs.base_m + (runs.strip + 0.5) * rig.width_m)[:, None] * np.array([-along[1], along[0]])
    start, end = (at[:, None] * along + middle for at in (runs.start_m, runs.end_m))
    inside = room.contains(np.stack([start, end])).all(axis=0)
    if inside.all():
        return runs
    start_m, end_m = runs.start_m.copy(), runs.end_m.copy()
    for i in (~inside).nonzero()[0]:
        met = shapely.get_coordinates(shapely.intersection(room.clear, LineString([start[i], end[i]]))) @ along
        start_m[i], end_m[i] = (met.min(), met.max()) if len(met) else (0.0, 0.0)
    kept = end_m - start_m > MIN_RUN_M
    return Runs(runs.strip[kept], start_m[kept], end_m[kept], runs.base_m)


def left_over_blocks(
    first_number: int, field: MultiPolygon, left: BaseGeometry, site: Site, room: InsideFence
) -> list[Block]:
    """Blocks for ground that neither headland nor blocks reach, such as the middle of a neck where a round
    vanishes.

    Ground smaller than a square as wide as the drill is left, unless it is a fair share of the field, and
    counts as missed: coming back for it takes thirty times as long as sowing as much elsewhere. A run is
    kept only if it newly sows a fair share of what it drills and stays inside the field.
    """
    rig = site.rig
    min_m2 = min(rig.width_m**2, max(MIN_GAIN_FRAC * rig.width_m**2, MIN_PATCH_FRAC * field.area))
    parts = shapely.get_parts(left)
    parts = parts[shapely.area(parts) >= min_m2]
    if len(parts) == 0:
        return []
    opened = polygons_of(offset(MultiPolygon(list(parts)), -MIN_LEFT_OVER_M / 2))
    blocks: list[Block] = []
    for core in shapely.get_parts(opened):
        patch = offset(core, MIN_LEFT_OVER_M / 2)
        if not isinstance(patch, Polygon) or patch.area < min_m2:
            continue
        block = block_of(first_number + len(blocks), patch, simple_swath_layout(patch, rig), site, room)
        if not len(block.runs):
            continue
        kept = _worth_driving(block.runs, field, patch)
        if kept.any():
            pass_of = np.unique(block.pass_of[kept], return_inverse=True)[1]
            blocks.append(replace(block, runs=block.runs[kept], strip=block.strip[kept], pass_of=pass_of))
    return blocks


def _worth_driving(runs: Swaths, field: MultiPolygon, patch: Polygon) -> BoolArray:
    drilled_m2 = shapely.area(runs.grounds)
    gain_m2 = shapely.area(shapely.intersection(runs.grounds, patch))
    outside_m2 = shapely.area(shapely.difference(runs.grounds, field))
    return np.asarray(
        (gain_m2 >= MIN_GAIN_FRAC * drilled_m2) & (outside_m2 <= MAX_OUTSIDE_FRAC * drilled_m2)
    )


def _swaths(swath_layout: SwathLayout, width_m: float) -> Swaths:
    """The runs of a laying in the plane, along its heading."""
    runs = swath_layout.runs
    across = np.array([-swath_layout.along[1], swath_layout.along[0]])
    low = runs.base_m + runs.strip * width_m
    start, end = runs.start_m[:, None] * swath_layout.along, runs.end_m[:, None] * swath_layout.along
    beside = [y[:, None] * across for y in (low, low + width_m / 2, low + width_m)]
    corners = np.stack([start + beside[0], end + beside[0], end + beside[2], start + beside[2]], axis=1)
    return Swaths(
        lines=np.asarray(
            shapely.linestrings(np.stack([start + beside[1], end + beside[1]], axis=1)), dtype=object
        ),
        grounds=np.asarray(shapely.polygons(corners), dtype=object),
    )
