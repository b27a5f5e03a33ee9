"""Passes over a block of ground, as sown swaths in the plane."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.drive_time import Surroundings
from fieldplan.coverage.heading import Laying, best_laying, least_laying
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, Block, Pass, Swath
from fieldplan.plane.offsets import offset, polygons_of
from fieldplan.plane.strips import edges_of

LEAST_LEFT_OVER_M = 0.1
"""Ground narrower than this between two swaths is a seam, not a gap to drive again."""
LEAST_GAIN_FRAC = 0.2
"""A drive over left-over ground must newly sow at least this share of what it drills."""
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
    laying = best_laying(edges_of(ground), rig, lift_over_m, along, surroundings, all_round=all_round)
    return _block(number, ground, laying, rig, lift_over_m, convergence_deg)


def _block(number: int, ground: Polygon, laying: Laying, rig: Rig, lift_over_m: float, convergence_deg: float) -> Block:
    return Block(
        block=number,
        ground=ground,
        heading_deg=_heading_deg(laying.along, convergence_deg),
        passes=_passes(laying, rig.width_m, lift_over_m),
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

    A run is kept only if it newly sows a fair share of what it drills and stays inside the field.
    """
    if left.area < LEAST_GAIN_FRAC * rig.width_m**2:
        return []
    opened = polygons_of(offset(left, -LEAST_LEFT_OVER_M / 2))
    blocks: list[Block] = []
    for core in shapely.get_parts(opened):
        patch = offset(core, LEAST_LEFT_OVER_M / 2)
        if not isinstance(patch, Polygon) or patch.area < LEAST_GAIN_FRAC * rig.width_m**2:
            continue
        laying = least_laying(edges_of(patch), rig, lift_over_m)
        block = _block(first_number + len(blocks), patch, laying, rig, lift_over_m, convergence_deg)
        passes = tuple(p for p in (_worth_driving(one, field, patch) for one in block.passes) if p.runs)
        if passes:
            blocks.append(Block(block=block.block, ground=patch, heading_deg=block.heading_deg, passes=passes))
    return blocks


def _worth_driving(one: Pass, field: MultiPolygon, patch: Polygon) -> Pass:
    def keeps(run: Swath) -> bool:
        drilled = run.ground.area
        return bool(
            run.ground.intersection(patch).area >= LEAST_GAIN_FRAC * drilled
            and run.ground.difference(field).area <= MOST_OUTSIDE_FRAC * drilled
        )

    return Pass(strip=one.strip, runs=tuple(run for run in one.runs if keeps(run)))


def _heading_deg(along: Array, convergence_deg: float) -> float:
    """True bearing of a heading in [0, 180)."""
    bearing = math.degrees(math.atan2(along[0], along[1])) + convergence_deg
    return round(bearing % 180.0, 9) % 180.0


def _passes(laying: Laying, width_m: float, lift_over_m: float) -> tuple[Pass, ...]:
    runs = laying.runs
    across = np.array([-laying.along[1], laying.along[0]])
    low: Array = np.asarray(runs.base_m + runs.strip * width_m, dtype=np.float64)
    middle = (
        _points(laying.along, across, runs.start_m, low + width_m / 2),
        _points(laying.along, across, runs.end_m, low + width_m / 2),
    )
    corners = np.stack(
        [
            _points(laying.along, across, x, y)
            for x, y in (
                (runs.start_m, low), (runs.end_m, low), (runs.end_m, low + width_m), (runs.start_m, low + width_m)
            )
        ],
        axis=1,
    )  # fmt: skip
    lines = np.asarray(shapely.linestrings(np.stack(middle, axis=1)), dtype=object)
    grounds = np.asarray(shapely.polygons(corners), dtype=object)
    swaths = [Swath(line=line, ground=ground) for line, ground in zip(lines, grounds, strict=True)]
    drive = runs.joined_over(lift_over_m)
    n = int(drive[-1]) + 1 if len(drive) else 0
    first = np.searchsorted(drive, np.arange(n + 1))
    return tuple(Pass(strip=int(runs.strip[first[i]]), runs=tuple(swaths[first[i] : first[i + 1]])) for i in range(n))


def _points(along: Array, across: Array, x: Array, y: Array) -> Array:
    return np.asarray(np.outer(x, along) + np.outer(y, across))
