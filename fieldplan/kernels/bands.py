"""Stretches with ground within bands about parallels of a line.

A band is made of quadrangles from one point of its middle line to the next. Ground lies within it along the parts of
its edges that do, and along those parts of both borders of the band that lie on ground: from the first to the second
crossing with an edge, from the third to the fourth, and so on. Where such parts reach over the same stations, they are
one stretch.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fieldplan.kernels.compiled import compiled, compiled_leaf
from fieldplan.model.coverage import Array, IntArray

_SAME_M = 1e-7
"""Stretches so near each other are one."""
_BEGIN, _END, _CROSS, _LENGTH = 0, 1, 2, 3
_SEGMENT, _X, _Y, _STATION = 0, 1, 2, 3


class Bands(NamedTuple):
    """Bands along parallels of a line.

    Parameters
    ----------
    points
        (n, m, 2) the middle line of each, m points for as many points of the line.
    left
        (m, 2) unit vectors to the left of the line.
    radius_m
        (n, m) the radius of each middle line at its points.
    half_m
        Half the width of the bands.
    """

    points: Array
    left: Array
    radius_m: Array
    half_m: float


class Followed(NamedTuple):
    """What passes need: how tight they may bend, how far before and after a stretch that counts, and how thin and how
    short ground is none.
    """

    least_radius_m: float
    beyond_m: float
    sliver_m: float
    short_m: float


@compiled
def followed_stretches(
    bands: Bands, n_right: int, edges: Array, terms: Followed
) -> tuple[IntArray, Array, Array, Array, bool, bool]:
    """The stretches of bands with ground in them, as far from the line to either side as none bends too tight.

    Parameters
    ----------
    n_right
        So many bands, the first ones, lie to the right of the line; the last of them is next to it.
    edges
        (k, 4) of the ground, which lies to their left.

    Returns
    -------
    of, start_m, end_m, radius_m
        (n,) the band of each stretch, where it starts and ends along its middle line, and how tight that bends there.
    all_followed, known
        Whether these are all stretches; and whether rounding leaves no doubt: without that, nothing is told.
    """
    n, reach = bands.points.shape[0], _reach(edges)
    found, n_found = np.empty((16, 4)), 0
    no_stretches = np.empty((0, 2))
    all_followed, follows = True, True
    for nth in range(n):
        i = n_right - 1 - nth if nth < n_right else nth
        if nth == n_right:
            follows = True
        if not follows and not all_followed:
            continue
        station_m = _stations(bands.points[i])
        stretches = no_stretches
        known = bands.radius_m[i].min() > bands.half_m  # else it has a cusp
        if known:
            stretches, known = _stretches(bands, i, station_m, edges, reach, terms.sliver_m)
        if not known:
            return found[:0, 0].astype(np.int64), found[:0, 1], found[:0, 2], found[:0, 3], False, False
        for k in range(len(stretches)):
            since_m, until_m = stretches[k, 0] - terms.beyond_m, stretches[k, 1] + terms.beyond_m
            if _tightest(bands.radius_m[i], station_m, since_m, until_m) < terms.least_radius_m:
                follows = False
        for k in range(len(stretches)):
            start_m, end_m = stretches[k, 0], stretches[k, 1]
            if end_m - start_m <= terms.short_m:
                continue
            if not follows:
                all_followed = False
                break
            if n_found == len(found):
                found = _twice(found)
            found[n_found, 0], found[n_found, 1], found[n_found, 2] = i, start_m, end_m
            found[n_found, 3] = _tightest(bands.radius_m[i], station_m, start_m, end_m)
            n_found += 1
    found = found[:n_found]
    return found[:, 0].astype(np.int64), found[:, 1], found[:, 2], found[:, 3], all_followed, True


@compiled
def drawn_stretches(points: Array, of: IntArray, start_m: Array, end_m: Array) -> tuple[Array, IntArray]:
    """The points of stretches of lines, (k, 2), and the stretch of each, (k,).

    Parameters
    ----------
    points
        (n, m, 2) of the lines.
    of, start_m, end_m
        (s,) the line of each stretch, and where along it that starts and ends.
    """
    m = points.shape[1]
    drawn, stretch = np.empty((len(of) * (m + 2), 2)), np.empty(len(of) * (m + 2), dtype=np.int64)
    n = 0
    for k in range(len(of)):
        line = points[of[k]]
        station_m = _stations(line)
        first_m, last_m = max(start_m[k], 0.0), min(end_m[k], station_m[-1])
        _write_at(line, station_m, first_m, drawn[n])
        since = n
        n += 1
        for j in range(m):
            if first_m + 1e-6 < station_m[j] < last_m - 1e-6:
                drawn[n] = line[j]
                n += 1
        _write_at(line, station_m, last_m, drawn[n])
        n += 1
        stretch[since:n] = k
    return drawn[:n], stretch[:n]


@compiled
def _reach(edges: Array) -> Array:
    """How far west and east, and how far south and north, edges reach, (4, k)."""
    reach = np.empty((4, len(edges)))
    for e in range(len(edges)):
        for axis in range(2):
            reach[2 * axis, e] = min(edges[e, axis], edges[e, axis + 2])
            reach[2 * axis + 1, e] = max(edges[e, axis], edges[e, axis + 2])
    return reach


@compiled
def _twice(rows: Array) -> Array:
    """The same rows with as much room again."""
    grown = np.empty((2 * len(rows), rows.shape[1]))
    grown[: len(rows)] = rows
    return grown


@compiled
def _stations(points: Array) -> Array:
    """How far along a line each of its points lies, (m,)."""
    station_m = np.zeros(len(points))
    for j in range(1, len(points)):
        step_m = np.hypot(points[j, 0] - points[j - 1, 0], points[j, 1] - points[j - 1, 1])
        station_m[j] = station_m[j - 1] + step_m
    return station_m


@compiled_leaf
def _write_at(line: Array, station_m: Array, at_m: float, place: Array) -> None:
    """Write the place at a station of a line."""
    j = min(max(int(np.searchsorted(station_m, at_m, side="right")) - 1, 0), len(line) - 2)
    step_m = station_m[j + 1] - station_m[j]
    share = (at_m - station_m[j]) / step_m if step_m > 0.0 else 0.0
    for axis in range(2):
        place[axis] = line[j, axis] + share * (line[j + 1, axis] - line[j, axis])


@compiled_leaf
def _tightest(radius_m: Array, station_m: Array, since_m: float, until_m: float) -> float:
    """The least radius of a stretch: at its points, and at those of the steps that it ends on.

    A step lies on an arc if both its ends do: a joint of an arc and a straight stretch belongs to both.
    """
    least_m = np.inf
    for j in range(len(station_m) - 1):
        if station_m[j + 1] > since_m and station_m[j] < until_m:
            least_m = min(least_m, max(radius_m[j], radius_m[j + 1]))
    return least_m


@compiled
def _stretches(
    bands: Bands, i: int, station_m: Array, edges: Array, reach: Array, sliver_m: float
) -> tuple[Array, bool]:
    """Where stretches of a band with ground begin and end, (k, 2), and whether rounding leaves no doubt; edges come with
    how far they reach.
    """
    line, m = bands.points[i], len(station_m)
    right, left = line - bands.half_m * bands.left, line + bands.half_m * bands.left
    parts, n_parts = np.empty((64, 4)), 0
    crossed, n_crossed = np.empty((2, 16, 4)), np.zeros(2, dtype=np.int64)
    spot = np.empty(4)
    for j in range(m - 1):
        west = min(right[j, 0], right[j + 1, 0], left[j, 0], left[j + 1, 0])
        east = max(right[j, 0], right[j + 1, 0], left[j, 0], left[j + 1, 0])
        south = min(right[j, 1], right[j + 1, 1], left[j, 1], left[j + 1, 1])
        north = max(right[j, 1], right[j + 1, 1], left[j, 1], left[j + 1, 1])
        for e in range(len(edges)):
            # a view of an edge takes longer than that
            if reach[1, e] < west or reach[0, e] > east or reach[3, e] < south or reach[2, e] > north:
                continue
            edge = edges[e]
            if _write_part(line, station_m, right, left, j, edge, spot):
                if n_parts == len(parts):
                    parts = _twice(parts)
                parts[n_parts] = spot
                n_parts += 1
            for side in range(2):
                border = right if side == 0 else left
                if _write_crossing(line, station_m, border, j, edge, spot):
                    if n_crossed[side] == crossed.shape[1]:
                        grown = np.empty((2, 2 * crossed.shape[1], 4))
                        grown[:, : crossed.shape[1]] = crossed
                        crossed = grown
                    crossed[side, n_crossed[side]] = spot
                    n_crossed[side] += 1
    for side in range(2):
        if n_crossed[side] % 2:
            return parts[:0, :2], False
        here = crossed[side, : n_crossed[side]]
        here = here[np.argsort(here[:, _SEGMENT], kind="mergesort")]
        border = right if side == 0 else left
        for k in range(0, n_crossed[side], 2):
            if n_parts == len(parts):
                parts = _twice(parts)
            _write_border(border, here[k], here[k + 1], 1.0 - 2.0 * side, line[0], parts[n_parts])
            n_parts += 1
    return _joined(parts[:n_parts], sliver_m), True


@compiled
def _joined(parts: Array, sliver_m: float) -> Array:
    """The stretches that parts make together, (k, 2), but for those of slivers: ground is as wide on average as its area
    over half its outline.
    """
    parts = parts[np.argsort(parts[:, _BEGIN], kind="mergesort")]
    found, n_found, k = np.empty((len(parts), 2)), 0, 0
    while k < len(parts):
        begin_m, end_m, cross, length_m = parts[k, _BEGIN], parts[k, _END], 0.0, 0.0
        while k < len(parts) and parts[k, _BEGIN] <= end_m + _SAME_M:
            end_m = max(end_m, parts[k, _END])
            cross += parts[k, _CROSS]
            length_m += parts[k, _LENGTH]
            k += 1
        if cross > sliver_m * length_m:
            found[n_found, 0], found[n_found, 1] = begin_m, end_m
            n_found += 1
    return found[:n_found]


@compiled_leaf
def _write_part(
    line: Array, station_m: Array, right: Array, left: Array, j: int, edge: Array, part: Array
) -> bool:
    """Write the part of an edge within the j-th quadrangle of a band; whether there is any.

    It is cut by the lines of the four sides: right, ahead, left, and back.
    """
    since, until, since_on, until_on = 0.0, 1.0, 0, 0
    for side in range(4):
        if side == 0:
            ax, ay, bx, by = right[j, 0], right[j, 1], right[j + 1, 0], right[j + 1, 1]
        elif side == 1:
            ax, ay, bx, by = right[j + 1, 0], right[j + 1, 1], left[j + 1, 0], left[j + 1, 1]
        elif side == 2:
            ax, ay, bx, by = left[j + 1, 0], left[j + 1, 1], left[j, 0], left[j, 1]
        else:
            ax, ay, bx, by = right[j, 0], right[j, 1], left[j, 0], left[j, 1]
        first = (bx - ax) * (edge[1] - ay) - (by - ay) * (edge[0] - ax)
        last = (bx - ax) * (edge[3] - ay) - (by - ay) * (edge[2] - ax)
        if side == 3:  # reckoned as for the quadrangle before, which has what lies on the side between them
            first, last = -first, -last
        # along the right border there is a part of that where ground lies beside it
        if (first < 0.0 and last < 0.0) or (first == 0.0 and last == 0.0 and side % 3 == 0):
            return False
        if first < 0.0 and first / (first - last) > since:
            since, since_on = first / (first - last), side
        elif last < 0.0 and first / (first - last) < until:
            until, until_on = first / (first - last), side
    if since >= until:
        return False
    x, y = edge[0] + since * (edge[2] - edge[0]), edge[1] + since * (edge[3] - edge[1])
    to_x, to_y = edge[2], edge[3]
    if until < 1.0:
        to_x, to_y = edge[0] + until * (edge[2] - edge[0]), edge[1] + until * (edge[3] - edge[1])
    # what goes on in the next quadrangle goes on at the same station
    here_m = (
        station_m[j + 1]
        if since_on == 1
        else station_m[j]
        if since_on == 3
        else _station(line, station_m, j, x, y)
    )
    there_m = (
        station_m[j + 1]
        if until_on == 1
        else station_m[j]
        if until_on == 3
        else _station(line, station_m, j, to_x, to_y)
    )
    part[_BEGIN], part[_END] = min(here_m, there_m), max(here_m, there_m)
    part[_CROSS] = (x - line[0, 0]) * (to_y - line[0, 1]) - (y - line[0, 1]) * (to_x - line[0, 0])
    part[_LENGTH] = np.hypot(to_x - x, to_y - y)
    return True


@compiled_leaf
def _write_crossing(
    line: Array, station_m: Array, border: Array, j: int, edge: Array, crossing: Array
) -> bool:
    """Write where an edge crosses the j-th step of a border; whether it does."""
    ax, ay = border[j, 0], border[j, 1]
    by_x, by_y = border[j + 1, 0] - ax, border[j + 1, 1] - ay
    from_side = by_x * (edge[1] - ay) - by_y * (edge[0] - ax)
    to_side = by_x * (edge[3] - ay) - by_y * (edge[2] - ax)
    if (from_side > 0) == (to_side > 0):
        return False
    along_x, along_y = edge[2] - edge[0], edge[3] - edge[1]
    start_side = along_x * (ay - edge[1]) - along_y * (ax - edge[0])
    end_side = along_x * (border[j + 1, 1] - edge[1]) - along_y * (border[j + 1, 0] - edge[0])
    if (start_side > 0) == (end_side > 0):
        return False
    share, way = from_side / (from_side - to_side), start_side / (start_side - end_side)
    x, y = edge[0] + share * along_x, edge[1] + share * along_y
    crossing[_SEGMENT], crossing[_X], crossing[_Y] = j + min(max(way, 0.0), 1.0 - 1e-12), x, y
    crossing[_STATION] = _station(line, station_m, j, x, y)
    return True


@compiled_leaf
def _write_border(
    border: Array, since: Array, until: Array, ahead: float, origin: Array, part: Array
) -> None:
    """Write the part of a border from one crossing to another; ``ahead`` is 1 if the band lies to its left, else -1."""
    x, y = since[_X] - origin[0], since[_Y] - origin[1]
    cross, length_m = 0.0, 0.0
    for j in range(int(since[_SEGMENT]) + 1, int(until[_SEGMENT]) + 2):
        to_x, to_y = until[_X] - origin[0], until[_Y] - origin[1]
        if j <= int(until[_SEGMENT]):
            to_x, to_y = border[j, 0] - origin[0], border[j, 1] - origin[1]
        cross += x * to_y - y * to_x
        length_m += np.hypot(to_x - x, to_y - y)
        x, y = to_x, to_y
    part[_BEGIN] = min(since[_STATION], until[_STATION])
    part[_END] = max(since[_STATION], until[_STATION])
    part[_CROSS], part[_LENGTH] = ahead * cross, length_m


@compiled_leaf
def _station(line: Array, station_m: Array, j: int, x: float, y: float) -> float:
    """The station nearest to a place beside the j-th step of a line, on that or on the steps next to it."""
    at_m, least_m = 0.0, np.inf
    for k in range(max(j - 1, 0), min(j + 2, len(line) - 1)):
        step_x, step_y = line[k + 1, 0] - line[k, 0], line[k + 1, 1] - line[k, 1]
        square, share = step_x * step_x + step_y * step_y, 0.0
        if square > 0.0:
            share = min(1.0, max(0.0, ((x - line[k, 0]) * step_x + (y - line[k, 1]) * step_y) / square))
        off_m = np.hypot(x - line[k, 0] - share * step_x, y - line[k, 1] - share * step_y)
        if off_m < least_m:
            at_m, least_m = station_m[k] + share * (station_m[k + 1] - station_m[k]), off_m
    return at_m
