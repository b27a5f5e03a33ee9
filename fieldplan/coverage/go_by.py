"""Small obstacles without rounds of their own: a pass is lifted before one, led round it, and goes on behind it.

The way round is a shift to the side by H over two arcs of radius R, which takes √(H·(4R − H)) ahead, and one back.
A pass that would graze the obstacle is lifted so early, and lowered so late, that it needs no backing. One that
meets it more squarely is sown up to it, backs up, and backs in behind it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import LineString

from fieldplan.coverage.headland import bands_about
from fieldplan.coverage.room import InsideFence, clearance_m
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, BoolArray, HeadlandRound, IntArray, Leg, Lines, Swaths
from fieldplan.plane.offsets import offset
from fieldplan.plane.paths import Paths, drawing_step_m
from fieldplan.plane.ragged import begins
from fieldplan.plane.strips import Runs
from fieldplan.plane.travel import stretches

MAX_LEFT_FRAC = 0.01
"""So much of a field may be left at obstacles that passes go by (assumed)."""
_MIN_RUN_M = 1.0
_HAIR_M = 1e-3
_SAME_RAD = 1e-3
_N_SHIFTS = 8
_CLEAR_M = 0.01
_FARTHER_M = _CLEAR_M + np.arange(0.0, 3.1, 0.1)
"""How much farther to the side than the obstacle reaches: it may have corners before and behind its middle."""
_LEVEL_FRAC = np.array([0.0, 0.25, 0.5, 0.75, 1.0])
"""How much of the obstacle's length is passed straight."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GoneBy:
    """Obstacles that passes go by.

    Parameters
    ----------
    obstacles, zones
        (n,) polygons, and where the middle of the drill may not be about each.
    left_m2
        So much ground may be left at each of them.
    """

    obstacles: Lines
    zones: Lines
    left_m2: float

    def ground_left(self, rig: Rig) -> Lines:
        """The ground about each in which something may be left unsown, (n,)."""
        if len(self.zones) == 0:
            return self.zones
        half_m = _half_m(self.zones)
        return np.asarray(offset(self.zones, _ramp_m(half_m, rig) + rig.width_m), dtype=object)

    def cut(self, runs: Runs, along: Array, rig: Rig) -> tuple[Runs, IntArray]:
        """Runs of strips along a unit vector without what lies in zones, and the run that each is a part of."""
        if len(self.zones) == 0:
            return runs, np.arange(len(runs.strip))
        met = self._met(runs, along, rig)
        early_m = met.early_m(self.left_m2, rig)
        start_m, end_m, of = _between(
            runs.start_m, runs.end_m, met.run, met.since_m - early_m, met.until_m + early_m
        )
        return Runs(runs.strip[of], start_m, end_m, runs.base_m), of

    def cut_rounds(self, rounds: Sequence[HeadlandRound], width_m: float) -> tuple[HeadlandRound, ...]:
        """Rounds without what lies in zones."""
        if len(self.zones) == 0:
            return tuple(rounds)
        cut = [self.cut_lines(one.segments.lines)[0] for one in rounds]
        swaths = [Swaths(lines=lines, grounds=bands_about(lines, width_m)) for lines in cut]
        return tuple(
            replace(one, segments=own) for one, own in zip(rounds, swaths, strict=True) if len(own)
        )

    def cut_lines(self, lines: Lines) -> tuple[Lines, IntArray]:
        """Lines without what lies in zones, and the line that each is a part of."""
        line, zone = shapely.STRtree(self.zones).query(lines, predicate="intersects")
        if len(line) == 0:
            return lines, np.arange(len(lines))
        points, of = shapely.get_coordinates(
            shapely.intersection(lines[line], self.zones[zone]), return_index=True
        )
        station_m = shapely.line_locate_point(lines[line][of], shapely.points(points))
        first = begins(of).nonzero()[0]
        since_m, until_m = np.minimum.reduceat(station_m, first), np.maximum.reduceat(station_m, first)
        start_m, end_m, of = _between(np.zeros(len(lines)), shapely.length(lines), line, since_m, until_m)
        return stretches(lines[of], start_m, end_m), of

    def _met(self, runs: Runs, along: Array, rig: Rig) -> _Met:
        """Where runs meet zones."""
        axes = np.array([along, [-along[1], along[0]]])
        y_m = runs.base_m + (runs.strip + 0.5) * rig.width_m
        rows = []
        for k, zone in enumerate(self.zones):
            corners = shapely.get_coordinates(zone) @ axes.T
            (low_x, low_y), (high_x, high_y) = corners.min(axis=0), corners.max(axis=0)
            aside_m = np.minimum(high_y - y_m, y_m - low_y)
            met = (aside_m > 0) & (runs.start_m < high_x) & (runs.end_m > low_x)
            rows += [(i, k, aside_m[i], *_crossed(corners, y_m[i])) for i in met.nonzero()[0]]
        run, zone_of, aside, since, until = np.array(rows, dtype=np.float64).reshape(-1, 5).T
        own = self.obstacles[np.unique(zone_of).astype(int)]
        return _Met(run.astype(int), aside, since, until, float(shapely.area(own).sum()), len(own))


@dataclass(frozen=True, slots=True)
class _Met:
    """Where runs meet obstacles, (n,) each: the run, how far it has to be led to the side, and from where to where
    it is in the zone; and the area of these obstacles, and how many they are.
    """

    run: IntArray
    aside_m: Array
    since_m: Array
    until_m: Array
    obstacles_m2: float
    n: int

    def early_m(self, left_m2: float, rig: Rig) -> Array:
        """How early each run is lifted, and how late lowered, (n,): those that have to be led least to the side so
        that they need no backing, as long as no more than so much ground is left at an obstacle.
        """
        ramp_m = _ramp_m(self.aside_m + 2 * _CLEAR_M, rig)
        if rig.reverse == "never":
            return ramp_m
        order = ramp_m.argsort(kind="stable")
        sown_up_to_m2 = (self.until_m - self.since_m).sum() * rig.width_m - self.obstacles_m2
        left = sown_up_to_m2 + 2 * rig.width_m * ramp_m[order].cumsum()
        early_m = np.zeros(len(ramp_m))
        early_m[order] = np.where(left <= self.n * left_m2, ramp_m[order], 0.0)
        return early_m


NONE = GoneBy(obstacles=np.zeros(0, dtype=object), zones=np.zeros(0, dtype=object), left_m2=0.0)


def zones_of(obstacles: Lines, rig: Rig) -> Lines:
    """Where the middle of the drill may not be about each obstacle, (n,): without bays."""
    return np.asarray(offset(shapely.convex_hull(obstacles), clearance_m(rig)), dtype=object)


def costs_s(zones: Lines, rig: Rig) -> Array:
    """About the time that going by each obstacle takes beyond sowing on, on all strips that meet it, (n,)."""
    half_m = _half_m(zones)[:, None]
    shift_m = half_m * (np.arange(_N_SHIFTS) + 0.5) / _N_SHIFTS
    arcs_m = 4 * rig.radius_m * np.arccos(1 - shift_m / (2 * rig.radius_m))
    drive_s = (arcs_m + 2 * half_m) / rig.turn_speed_m_per_s + rig.turn_extra_s
    if rig.reverse != "never":
        drive_s += 2 * _ramp_m(shift_m, rig) / rig.backing_speed_m_per_s + 4 * rig.change_s
    each_s = drive_s.mean(axis=1) - 2 * half_m[:, 0] / rig.field_speed_m_per_s
    return np.asarray(2 * half_m[:, 0] / rig.width_m * each_s)


def least_left_m2(obstacles: Lines, zones: Lines, rig: Rig) -> Array:
    """About the ground that is left at each obstacle at least, (n,)."""
    half_m = _half_m(zones)
    early_m = _ramp_m(half_m / 2, rig) if rig.reverse == "never" else 0.0
    return np.asarray(4 * half_m * (half_m + early_m) - shapely.area(obstacles))


def _half_m(zones: Lines) -> Array:
    return np.asarray(np.sqrt(shapely.area(zones)) / 2)


def legs_round(leave: Array, enter: Array, gone_by: GoneBy, rig: Rig, room: InsideFence) -> dict[int, Leg]:
    """The ways round obstacles between poses where the one goes straight on to the other, by their index; (n, 3)
    both.
    """
    if len(gone_by.zones) == 0:
        return {}
    ahead = enter - leave
    cos, sin = np.cos(leave[:, 2]), np.sin(leave[:, 2])
    aside_m, on_m = np.abs(cos * ahead[:, 1] - sin * ahead[:, 0]), cos * ahead[:, 0] + sin * ahead[:, 1]
    bend = np.abs(np.angle(np.exp(1j * ahead[:, 2])))
    (onward,) = ((aside_m < _CLEAR_M) & (on_m > 0) & (bend < _SAME_RAD)).nonzero()
    leave, enter = leave[onward], enter[onward]
    straight = np.asarray(shapely.linestrings(np.stack([leave[:, :2], enter[:, :2]], axis=1)))
    gap, zone = shapely.STRtree(gone_by.zones).query(straight, predicate="intersects")
    first = np.unique(gap, return_index=True)[1]
    return {
        int(onward[i]): _leg_round(leave[i], enter[i], gone_by.zones[k], rig, room)
        for i, k in zip(gap[first], zone[first], strict=True)
    }


def _leg_round(leave: Array, enter: Array, zone: shapely.Polygon, rig: Rig, room: InsideFence) -> Leg:
    """The quickest way round one obstacle; outside if none keeps clear of it and of everything else."""
    there, back, drive_s = _ways(leave, enter, zone, rig)
    fits = np.isfinite(drive_s)
    fits[fits] = room.holds(there.only(fits)) & room.holds(back.only(fits))
    order = np.where(fits, drive_s, np.inf).argsort(kind="stable")[: fits.sum()]
    for best in order:
        halves = [half.only(np.array([best])) for half in (there, back)]
        points = [half.points(drawing_step_m(rig.radius_m))[0] for half in halves]
        line = LineString(np.vstack([points[0], points[1][1:]]))
        # a corner may stick out between the points that were looked at
        if line.disjoint(zone):
            return Leg(
                kind="transfer",
                line=line,
                length_m=float(sum(half.length_m[0] for half in halves)),
                reverse_m=float(sum(half.reverse_m[0] for half in halves)),
                drive_s=float(drive_s[best]),
            )
    line = LineString([leave[:2], enter[:2]])
    return Leg(kind="transfer", line=line, length_m=line.length, shape="outside")


def _ways(leave: Array, enter: Array, zone: shapely.Polygon, rig: Rig) -> tuple[Paths, Paths, Array]:
    """Ways round an obstacle on either side, to its middle and on, and what each takes, (n,)."""
    along = np.array([np.cos(leave[2]), np.sin(leave[2])])
    left = np.array([-along[1], along[0]])
    corners = shapely.get_coordinates(zone) - leave[:2]
    ahead, aside = corners @ along, corners @ left
    run_m = float((enter[:2] - leave[:2]) @ along)
    middle_m, length_m = (ahead.max() + ahead.min()) / 2, ahead.max() - ahead.min()
    side, farther_m, level_m = (
        axis.ravel() for axis in np.meshgrid([1.0, -1.0], _FARTHER_M, _LEVEL_FRAC * length_m, indexing="ij")
    )
    shift_m = np.minimum(np.where(side > 0, aside.max(), -aside.min()) + farther_m, 4 * rig.radius_m)
    arc_m = rig.radius_m * np.arccos(1 - shift_m / (2 * rig.radius_m))
    ramp_m = np.sqrt(shift_m * (4 * rig.radius_m - shift_m)) + level_m / 2
    zero, n = np.zeros(len(side)), len(side)
    first_m, last_m = middle_m - ramp_m, run_m - middle_m - ramp_m
    apex = leave[:2] + middle_m * along + (side * shift_m)[:, None] * left
    there = Paths(
        np.tile(leave, (n, 1)),
        rig.radius_m,
        np.stack([zero, side, zero, -side, zero], axis=1),
        np.stack([first_m, arc_m, zero, arc_m, level_m / 2], axis=1),
    )
    back = Paths(
        np.column_stack([apex, np.full(n, leave[2])]),
        rig.radius_m,
        np.stack([zero, -side, zero, side, zero], axis=1),
        np.stack([level_m / 2, arc_m, zero, arc_m, last_m], axis=1),
    )
    return there, back, _drive_s(there, back, rig)


def _drive_s(there: Paths, back: Paths, rig: Rig) -> Array:
    """What the two halves of each way take, with lifting and lowering; infinite where backing is not allowed."""
    backed_m = np.stack([there.reverse_m, back.reverse_m])
    ahead_m = there.length_m + back.length_m - backed_m.sum(axis=0)
    changes = 2 * (backed_m > 0).sum(axis=0)
    drive_s = ahead_m / rig.turn_speed_m_per_s + backed_m.sum(axis=0) / rig.backing_speed_m_per_s
    allowed: BoolArray = (changes == 0) | (rig.reverse != "never")
    return np.where(allowed, drive_s + changes * rig.change_s + rig.turn_extra_s, np.inf)


def _between(
    start_m: Array, end_m: Array, gap_of: IntArray, since_m: Array, until_m: Array
) -> tuple[Array, Array, IntArray]:
    """What is left of runs, (n,), without gaps in them, (k,): starts, ends, and the run of each part, (m,)."""
    of = np.concatenate([np.arange(len(start_m)), gap_of])
    starts, ends = np.concatenate([start_m, until_m + _HAIR_M]), np.concatenate([end_m, since_m - _HAIR_M])
    # the first part of a run ends where the first of its gaps starts, and so on
    starts, ends = (at_m[np.lexsort((at_m, of))] for at_m in (starts, ends))
    of.sort()
    kept = ends - starts > _MIN_RUN_M
    return starts[kept], ends[kept], of[kept]


def _ramp_m(shift_m: Array, rig: Rig) -> Array:
    """How far ahead a shift to the side takes."""
    return np.asarray(np.sqrt(shift_m * (4 * rig.radius_m - shift_m)))


def _crossed(corners: Array, y_m: float) -> tuple[float, float]:
    """Where a line along +x enters and leaves a convex outline, (k, 2) with its first point once more."""
    low, high = corners[:-1], corners[1:]
    share = (y_m - low[:, 1]) / np.where(high[:, 1] == low[:, 1], np.inf, high[:, 1] - low[:, 1])
    crossed = (low[:, 1] - y_m) * (high[:, 1] - y_m) <= 0
    x_m = (low[:, 0] + share * (high[:, 0] - low[:, 0]))[crossed]
    return float(x_m.min()), float(x_m.max())
