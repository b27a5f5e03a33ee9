"""Where on a line it is nearest to places."""

from __future__ import annotations

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.model.coverage import Array, IntArray


@compiled
def nearest_stations(
    points: Array, station_m: Array, first: IntArray, places: Array, line_of: IntArray
) -> Array:
    """How far along its line each place, (k, 2), is nearest to it, (k,): the first such station.

    It is quick where places follow each other along their line.

    Parameters
    ----------
    points, station_m, first
        (m, 2) vertices of lines, line after line, how far along its line each lies, (m,), and where each line begins,
        (n + 1,).
    line_of
        (k,) the line of each place.
    """
    found_m = np.empty(len(places))
    near = -1
    for i in range(len(places)):
        since, until = first[line_of[i]], first[line_of[i] + 1] - 1
        if not since <= near < until:
            near = since
        found_m[i], near = _nearest(points, station_m, since, until, near, places[i, 0], places[i, 1])
    return found_m


@compiled
def to_left_m(points: Array, left: Array, station_m: Array, places: Array, near_m: Array) -> Array:
    """How far to the left of a line places, (k, 2), lie, (k,), by the stations at which it is nearest to them; negative
    to its right.

    Parameters
    ----------
    points, left, station_m
        (m, 2) vertices of the line, unit vectors to its left there, and how far along it each lies, (m,).
    """
    found_m, last = np.empty(len(places)), len(points) - 2
    for i in range(len(places)):
        x, y, at_m = places[i, 0], places[i, 1], near_m[i]
        step = min(max(int(np.searchsorted(station_m, at_m, side="right")) - 1, 0), last)
        share = (at_m - station_m[step]) / max(station_m[step + 1] - station_m[step], 1e-9)
        foot_x = points[step, 0] + share * (points[step + 1, 0] - points[step, 0])
        foot_y = points[step, 1] + share * (points[step + 1, 1] - points[step, 1])
        found_m[i] = (x - foot_x) * left[step, 0] + (y - foot_y) * left[step, 1]
    return found_m


@compiled_leaf
def _nearest(
    points: Array, station_m: Array, since: int, until: int, likely: int, x: float, y: float
) -> tuple[float, int]:
    """The station nearest to a place on the steps from one vertex to another, and the step that it is on; ``likely``
    is looked at first.

    A vertex so far away lies at least as far, less the best distance, from any nearer place along the line.
    """
    at_m, least_m = _onto(points, station_m, likely, x, y)
    near, k = likely, since
    while k < until:
        away_m = np.hypot(x - points[k, 0], y - points[k, 1])
        begin_m = station_m[k] + away_m - least_m
        if begin_m > station_m[k + 1]:
            while k < until and station_m[k + 1] < begin_m:
                k += 1
            continue
        here_m, off_m = _onto(points, station_m, k, x, y)
        if off_m < least_m or (off_m == least_m and here_m < at_m):
            at_m, least_m, near = here_m, off_m, k
        k += 1
    return at_m, near


@compiled_leaf
def _onto(points: Array, station_m: Array, k: int, x: float, y: float) -> tuple[float, float]:
    """The station on a step that is nearest to a place, and how far away it is."""
    step_x, step_y = points[k + 1, 0] - points[k, 0], points[k + 1, 1] - points[k, 1]
    square, share = step_x * step_x + step_y * step_y, 0.0
    if square > 0.0:
        share = ((x - points[k, 0]) * step_x + (y - points[k, 1]) * step_y) / square
        share = min(1.0, max(0.0, share))
    off_m = np.hypot(x - points[k, 0] - share * step_x, y - points[k, 1] - share * step_y)
    return station_m[k] + share * (station_m[k + 1] - station_m[k]), off_m
