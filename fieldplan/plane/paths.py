"""Paths of arcs and straights, and where they lead: points along them, lines to draw, and what swings out
beyond their arcs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.paths import path_points, shortest_each
from fieldplan.kernels.words import TURNS
from fieldplan.model.coverage import Array, BoolArray, IntArray, Lines

DRAWN_WITHIN_M = 0.01
"""Lines are drawn with points so many that chords lie within this of their arcs, and no more than a meter apart."""
_SHORTER = 0.9
"""Steps are this much shorter than that needs: a drawn arc then has its length to a thousandth."""


@dataclass(frozen=True, slots=True)
class Paths:
    """Paths of n starts, each a row of k arcs and straights.

    Parameters
    ----------
    start
        (n, 3) poses: x, y in meters and angle in radians counter-clockwise from +x.
    radius_m
        Radius of all arcs.
    turns
        (n, k) with 1 for a turn to the left, -1 for one to the right, 0 for a straight.
    parts_m
        (n, k) lengths; a straight of negative length is driven in reverse.
    """

    start: Array
    radius_m: float
    turns: Array
    parts_m: Array

    def __len__(self) -> int:
        return len(self.start)

    def only(self, which: IntArray | BoolArray | slice) -> Paths:
        """Some of the paths."""
        return Paths(self.start[which], self.radius_m, self.turns[which], self.parts_m[which])

    @property
    def length_m(self) -> Array:
        """Driven length of each path, forward and in reverse, (n,)."""
        return np.asarray(np.abs(self.parts_m).sum(axis=1))

    @property
    def reverse_m(self) -> Array:
        """Length of each path that is driven in reverse, (n,)."""
        return np.asarray(-np.minimum(self.parts_m, 0.0).sum(axis=1))

    def points(self, step_m: float = 1.0) -> tuple[Array, IntArray]:
        """Points along every path, (m, 2), at most ``step_m`` apart, and the path of each, (m,)."""
        return path_points(*self._numbers(), self.radius_m, float(step_m))

    def lines(self, step_m: float = 1.0) -> Lines:
        """The paths as lines, (n,), with points at most ``step_m`` apart."""
        if len(self) == 0:
            return np.zeros(0, dtype=object)
        points, of = self.points(step_m)
        alone = (np.bincount(of, minlength=len(self)) == 1).nonzero()[0]  # ends at once where it began
        if len(alone):
            points, of = np.vstack([points, self.start[alone, :2]]), np.concatenate([of, alone])
            order = of.argsort(kind="stable")
            points, of = points[order], of[order]
        return np.asarray(shapely.linestrings(points, indices=of), dtype=object)

    def _numbers(self) -> tuple[Array, Array, Array]:
        return numbers(self.start), numbers(self.turns), numbers(self.parts_m)


def drawing_step_m(radius_m: float) -> float:
    """How far apart points along an arc may be for a line that is drawn through them.

    A chord of s lies s²/8R from its arc.

    Examples
    --------
    >>> [round(drawing_step_m(radius_m), 2) for radius_m in (3.0, 6.0, 12.0)]
    [0.44, 0.62, 0.88]
    """
    return _SHORTER * min(1.0, float(np.sqrt(8 * radius_m * DRAWN_WITHIN_M)))


def shortest_paths(start: Array, end: Array, radius_m: float) -> Paths:
    """Shortest forward paths that turn no tighter than a radius.

    Parameters
    ----------
    start, end
        (n, 3) poses: x and y in meters, angle in radians counter-clockwise from +x.
    radius_m
        Least turning radius.

    Returns
    -------
    Paths
        One path a pair, of three parts.

    Examples
    --------
    >>> half_turn = shortest_paths(np.array([[0, 0, np.pi / 2]]), np.array([[4.0, 0, -np.pi / 2]]), 1.0)
    >>> round(float(half_turn.length_m[0]), 6)  # pi + 2
    5.141593
    """
    word, parts = shortest_each(numbers(start), numbers(end), float(radius_m))
    return Paths(start, radius_m, TURNS[word], parts)
