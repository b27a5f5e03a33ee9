"""Passes side by side along a corridor a few drill widths wide: they bend with one of its sides."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import LineString, Polygon

from fieldplan.coverage.headland import bands_about, turns_deg
from fieldplan.coverage.narrow import between_bends, fold_m, reached
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.worth import SEED_AS_TIME_FRAC, THIN_W
from fieldplan.model.coverage import Array, IntArray, Lines, Swaths
from fieldplan.plane.offsets import inset, offset
from fieldplan.plane.ragged import begins
from fieldplan.plane.travel import stations_m, stretch, stretches

_MAX_WIDE_W = 8.0
"""A corridor is nowhere wider than so many drill widths,"""
_MIN_SLENDER = 10.0
"""and so many times as long as it is wide."""
_END_W, _END_CORNER_DEG = _MAX_WIDE_W, 45.0
"""A side begins at the last corner so sharp that is so near to the end, in drill widths, or half as far from it."""
_SPARE_LANES = 2
"""So many lanes more than the mean width holds are laid out at first."""
_THIN_M = 0.01
_MIN_PART_W2 = 0.2
"""Ground smaller than this share of a square of the drill's width is none to come along for."""


def is_corridor(ground: Polygon, rig: Rig) -> bool:
    """Whether ground is long, and nowhere wider than a few drill widths."""
    long_m = ground.length / 2
    if ground.interiors or long_m**2 < _MIN_SLENDER * ground.area or long_m < 3 * _END_W * rig.width_m:
        return False
    return inset(ground, _MAX_WIDE_W / 2 * rig.width_m).is_empty


def passes_beside(ground: Polygon, rig: Rig, room: InsideFence) -> list[Swaths]:
    """Passes side by side from either side of a corridor: for each side that they can follow."""
    found = []
    for side in _sides(ground, rig):
        lines, _ = reached(_runs(side, ground, rig), room)
        found.append(Swaths(lines=lines, grounds=bands_about(lines, rig.width_m)))
    return found


def _sides(ground: Polygon, rig: Rig) -> list[LineString]:
    """Both long sides without their ends, with the ground on the left."""
    ring = shapely.orient_polygons(ground, exterior_cw=False).exterior
    points = shapely.get_coordinates(ring)
    twice = LineString(np.concatenate([points, points[1:]]))
    half_m, fold = ring.length / 2, fold_m(ground, rig.width_m)
    halves = [stretch(twice, start, start + half_m) for start in (fold, fold + half_m)]
    thinned = [LineString(shapely.simplify(half, _THIN_M)) for half in halves]
    return [_between_ends(half, _END_W * rig.width_m) for half in thinned]


def _between_ends(half: LineString, end_m: float) -> LineString:
    """One half of an outline from end to end, without the ends, across which its side goes straight on."""
    points = shapely.get_coordinates(half)
    step = np.diff(points, axis=0)
    sharp = np.abs(turns_deg(step[:-1], step[1:])) > _END_CORNER_DEG
    corner_m = np.hypot(*step.T).cumsum()[:-1][sharp]
    start_m = corner_m[corner_m < end_m].max(initial=0.0) or end_m / 2
    until_m = corner_m[corner_m > half.length - end_m].min(initial=np.inf)
    until_m = until_m if np.isfinite(until_m) else half.length - end_m / 2
    return _lengthened(stretch(half, start_m, until_m), end_m)


def _lengthened(line: LineString, by_m: float) -> LineString:
    """A line that goes straight on at both ends."""
    points = shapely.get_coordinates(line)
    for end, inner in ((0, 1), (-1, -2)):
        step = points[end] - points[inner]
        points[end] += step / np.hypot(*step) * by_m
    return LineString(points)


def _lanes(side: LineString, since: int, until: int, rig: Rig) -> Lines:
    """The middle lines of passes beside a side, from one on and up to another, as far as each is one line."""
    away_m = (np.arange(since, until) + 0.5) * rig.width_m
    lanes = np.asarray(shapely.offset_curve(side, away_m, join_style="mitre"), dtype=object)
    whole = (shapely.get_type_id(lanes) == shapely.GeometryType.LINESTRING) & ~shapely.is_empty(lanes)
    return lanes[np.logical_and.accumulate(whole)]


def _runs(side: LineString, ground: Polygon, rig: Rig) -> Lines:
    """The parts of lanes beside a side with ground under the drill, (n,), up to the first lane that has none.

    Lanes are laid out over the mean width of the ground first; if each has ground, a few more at a time, over the width
    of any corridor and half as much again at most, since it may be wider across a bend.
    """
    most, found = int(1.5 * _MAX_WIDE_W), [np.zeros(0, dtype=object)]
    since, until = 0, math.ceil(2 * ground.area / ground.length / rig.width_m) + _SPARE_LANES
    while since < most:
        until = min(until, most)
        lanes = _lanes(side, since, until, rig)
        of, start_m, end_m = _over_ground(lanes, ground, rig)
        found += [between_bends(run, rig) for run in stretches(lanes[of], start_m, end_m)]
        if not len(of) or of[-1] < until - since - 1:
            break
        since, until = until, until + _SPARE_LANES
    return np.concatenate(found)


def _over_ground(lanes: Lines, ground: Polygon, rig: Rig) -> tuple[IntArray, Array, Array]:
    """The lane of each run, and where along it the run starts and ends, (k,) each, up to the first lane that has none."""
    half_thin_m = THIN_W * rig.width_m / 2
    # without ground so thin that it is not worth sowing
    worth = offset(shapely.intersection(bands_about(lanes, rig.width_m), ground), -half_thin_m)
    parts, lane = shapely.get_parts(worth, return_index=True)
    large = shapely.area(parts) >= _MIN_PART_W2 * rig.width_m**2
    parts, lane = parts[large], lane[large]
    points, part = shapely.get_coordinates(parts, return_index=True)
    if not len(parts):
        return lane, np.zeros(0), np.zeros(0)
    station_m, first = stations_m(lanes, lane[part], points), begins(part).nonzero()[0]
    start_m = np.minimum.reduceat(station_m, first) - half_thin_m
    end_m = np.maximum.reduceat(station_m, first) + half_thin_m
    found: list[tuple[int, float, float]] = []
    for nth, start, end in sorted(zip(lane.tolist(), start_m.tolist(), end_m.tolist(), strict=True)):
        last, since, until = found[-1] if found else (-1, 0.0, 0.0)
        if nth > last + 1:
            break
        if nth > last or _apart(start - until, rig):
            found.append((nth, start, end if nth > last else max(until, end)))
        else:
            found[-1] = (last, since, max(until, end))
    of, starts_m, ends_m = zip(*found, strict=True) if found else ((), (), ())
    return np.array(of, dtype=np.int64), np.array(starts_m), np.array(ends_m)


def _apart(gap_m: float, rig: Rig) -> bool:
    """Whether the drill is lifted over a gap in a run: it is worse to sow through than to lift over."""
    sown_s = (1 + SEED_AS_TIME_FRAC) * gap_m / rig.field_speed_m_per_s
    lifted_s = gap_m / rig.turn_speed_m_per_s + rig.turn_extra_s
    return gap_m > rig.lift_over_m or sown_s > lifted_s
