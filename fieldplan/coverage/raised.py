"""Where along its lines the drill is raised, over ground that it is driven through without sowing it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import LineString, MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.headland import bands_about
from fieldplan.model.coverage import Array, HeadlandRound, IntArray, Lines, Swaths
from fieldplan.plane.offsets import band_about, offset, polygons_of
from fieldplan.plane.travel import stretch

MIN_LIFT_M = 1.0
"""Over less than this the drill is not raised."""
_STRAIGHT_M = 0.25
"""A raised stretch of a round that bends by no more than this is driven straight, else as any transfer."""
_ROUNDING_M, _HAIR_M = 1e-6, 1e-8


def sown_stretches(lines: Lines, lifted: MultiPolygon, width_m: float) -> tuple[IntArray, Array, Array]:
    """The stretches of lines along which the drill is down.

    It is raised where its whole width is over ground to be driven through. Where that is so narrow, or met
    so obliquely, that this is nowhere so, it is raised while its middle is over that ground, unless more
    than a square of its width would be missed.

    Parameters
    ----------
    lines
        (n,) middle lines of the drill.
    lifted
        Ground to be driven through, in plane meters.

    Returns
    -------
    of, start_m, end_m
        (m,) the line of each stretch, and where on it the stretch starts and ends; none is shorter than
        `MIN_LIFT_M` but for a line that is.
    """
    length_m = shapely.length(lines)
    every = [[(0.0, end_m)] for end_m in length_m.tolist()]
    # a hair larger: a band that should end on its edge, and ends beyond it by rounding, would be ground all along
    lifted = polygons_of(offset(lifted, _HAIR_M))
    shapely.prepare(lifted)
    bands = np.asarray(band_about(lines, width_m), dtype=object)
    for i in np.flatnonzero(shapely.intersects(lifted, bands)).tolist():
        every[i] = _rest(_lifts(lines[i], lifted, width_m), float(length_m[i]))
    of = np.repeat(np.arange(len(lines)), [len(stretches) for stretches in every])
    start_m, end_m = np.array([pair for stretches in every for pair in stretches]).reshape(-1, 2).T
    return of, start_m, end_m


def _lifts(line: LineString, lifted: MultiPolygon, width_m: float) -> list[tuple[float, float]]:
    """Where on a line the drill is raised, as pairs of stations."""
    on_ground, middle = list[tuple[float, float]](), list[tuple[float, float]]()
    for step, station_m in _steps(line):
        band = band_about(np.array([step], dtype=object), width_m)[0]
        on_ground += _extents(shapely.difference(band, lifted), step, station_m)
        middle += _extents(shapely.intersection(step, lifted), step, station_m)
    whole = _rest(_merged(on_ground), line.length)
    lifts = [lift for lift in whole if lift[1] - lift[0] >= MIN_LIFT_M]
    for lift in _merged(middle):
        apart = all(lift[1] <= start_m or end_m <= lift[0] for start_m, end_m in lifts)
        if apart and lift[1] - lift[0] >= MIN_LIFT_M:
            band = band_about(np.array([stretch(line, *lift)], dtype=object), width_m)[0]
            if shapely.difference(band, lifted).area <= width_m**2:
                lifts.append(lift)
    return sorted(lifts)


def _steps(line: LineString) -> Iterator[tuple[LineString, float]]:
    """The straight steps of a line, each with the station at which it starts."""
    points = shapely.get_coordinates(line)
    length_m = np.hypot(*np.diff(points, axis=0).T)
    stations_m = np.concatenate([[0.0], length_m.cumsum()])
    for k in np.flatnonzero(length_m > _ROUNDING_M).tolist():
        yield LineString(points[k : k + 2]), float(stations_m[k])


def _extents(ground: BaseGeometry, step: LineString, station_m: float) -> list[tuple[float, float]]:
    """The extent of each part of some ground along a step, as stations of its line."""
    start, end = shapely.get_coordinates(step)
    along = (end - start) / np.hypot(*(end - start))
    parts = [part for part in shapely.get_parts(ground) if part.length > _ROUNDING_M]
    at_m = [station_m + (shapely.get_coordinates(part) - start) @ along for part in parts]
    return [(float(at.min()), float(at.max())) for at in at_m]


def _merged(stretches: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Stretches that touch joined, in rising order."""
    found: list[tuple[float, float]] = []
    for start_m, end_m in sorted(stretches):
        if found and start_m <= found[-1][1] + _ROUNDING_M:
            found[-1] = (found[-1][0], max(found[-1][1], end_m))
        else:
            found.append((start_m, end_m))
    return found


def _rest(stretches: Sequence[tuple[float, float]], length_m: float) -> list[tuple[float, float]]:
    """What stretches leave of a line."""
    starts_m = [0.0, *(end_m for _, end_m in stretches)]
    ends_m = [*(start_m for start_m, _ in stretches), length_m]
    return [pair for pair in zip(starts_m, ends_m, strict=True) if pair[1] - pair[0] > _ROUNDING_M]


def raised_over(
    rounds: Sequence[HeadlandRound], lifted: MultiPolygon, width_m: float
) -> tuple[HeadlandRound, ...]:
    """Headland rounds whose segments are broken over ground to be driven through."""
    if lifted.is_empty:
        return tuple(rounds)
    return tuple(found for one in rounds if len((found := _raised(one, lifted, width_m)).segments))


def _raised(one: HeadlandRound, lifted: MultiPolygon, width_m: float) -> HeadlandRound:
    whole = one.segments
    of, start_m, end_m = sown_stretches(whole.lines, lifted, width_m)
    lines, grounds = whole.lines[of], whole.grounds[of]
    cut = end_m - start_m < shapely.length(lines) - _ROUNDING_M
    for i in np.flatnonzero(cut):
        lines[i] = stretch(lines[i], float(start_m[i]), float(end_m[i]))
    grounds[cut] = bands_about(lines[cut], width_m)
    goes_on = np.zeros(len(of), dtype=bool)
    for i in np.flatnonzero(of[1:] == of[:-1]):
        gap = stretch(whole.lines[of[i]], float(end_m[i]), float(start_m[i + 1]))
        goes_on[i + 1] = _is_straight(gap)
    return replace(one, segments=Swaths(lines=lines, grounds=grounds), goes_on=goes_on)


def _is_straight(line: LineString) -> bool:
    """Whether a line can be driven straight from end to end."""
    chord = LineString([line.coords[0], line.coords[-1]])
    return bool(shapely.hausdorff_distance(line, chord) <= _STRAIGHT_M)
