"""Rounds driven as one line: after each, the drill is led over to the next with its openers in the ground."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely
from shapely import LineString

from fieldplan.coverage.headland import bands_about
from fieldplan.coverage.poses import pose_after, poses
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, HeadlandRound, Lines, Swaths
from fieldplan.plane.paths import drawing_step_m, shortest_paths
from fieldplan.plane.travel import stretch

_AHEAD = (1.0, 1.2, 1.5, 2.0)
"""The next round is joined so far ahead, in lengths of two arcs that lead a width aside."""
_STRAIGHT_M = 0.2
_MOST_ROUND_ABOUT = 1.2
"""A way over that is longer than this, of the straight one, makes a loop and is none."""


def spiralled(rounds: Sequence[HeadlandRound], rig: Rig) -> tuple[HeadlandRound, ...]:
    """Rounds of which each that is a closed line leads over to the next one, if that is one too.

    The next round begins where the way over ends, and is driven whole, so that no ground is left: the way over is
    what is sown twice. Two arcs of radius R lead a width w aside on a length of √(4Rw − w²).
    """
    led = dict[int, LineString]()
    for i, (one, following) in enumerate(pairwise(rounds)):
        if _is_closed(one) and _is_closed(following) and not following.obstacle:
            joined = _led_over(led.get(i, one.segments.lines[0]), following.segments.lines[0], rig)
            if joined is not None:
                led[i], led[i + 1] = joined
    lines: Lines = np.array([*led.values()], dtype=object)
    swaths = Swaths(lines=lines, grounds=bands_about(lines, rig.width_m))
    found = list(rounds)
    for nth, i in enumerate(led):
        found[i] = replace(rounds[i], segments=swaths[nth : nth + 1])
    return tuple(found)


def _is_closed(one: HeadlandRound) -> bool:
    """Whether a round is driven in one go, back to where it began."""
    return len(one.segments) == 1 and bool(shapely.is_closed(one.segments.lines[0]))


def _led_over(line: LineString, following: LineString, rig: Rig) -> tuple[LineString, LineString] | None:
    """A closed line with the way over to the next one, and that begun where the way ends; ``None`` if arcs lead
    nowhere near.
    """
    leave = pose_after(line)
    aside_m = math.sqrt(max(4 * rig.sowing_radius_m - rig.width_m, rig.width_m) * rig.width_m)
    beside_m = shapely.line_locate_point(following, shapely.Point(leave[:2]))
    for ahead in _AHEAD:
        begun = _begun_at(following, (beside_m + ahead * aside_m) % following.length)
        enter, _ = poses(np.array([begun], dtype=object))
        # the last step is straight, so that the line ends in the very direction in which the next one begins
        before = enter - _STRAIGHT_M * np.array([[np.cos(enter[0, 2]), np.sin(enter[0, 2]), 0.0]])
        way = shortest_paths(leave[None, :], before, rig.sowing_radius_m)
        if way.length_m[0] <= _MOST_ROUND_ABOUT * np.hypot(*(before[0] - leave)[:2]):
            drawn = way.lines(drawing_step_m(rig.sowing_radius_m))[0]
            led = np.concatenate([_points(line, drawn)[:-1], before[:, :2], enter[:, :2]])
            return LineString(led), begun
    return None


def _begun_at(ring: LineString, station_m: float) -> LineString:
    """A closed line begun at another place."""
    return LineString(_points(stretch(ring, station_m, ring.length), stretch(ring, 0.0, station_m)))


def _points(one: LineString, other: LineString) -> Array:
    """The points of a line that another one continues."""
    return np.concatenate([shapely.get_coordinates(one), shapely.get_coordinates(other)[1:]])
