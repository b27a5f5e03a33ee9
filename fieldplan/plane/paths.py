"""Paths of bounded curvature between two poses, for many pairs at once, with a straight in reverse where
one is wanted.

A pose is (x, y, angle): meters and radians counter-clockwise from +x. A car that only drives forward
reaches any pose from any other on one of six words of left turns, right turns and straights (L. E. Dubins,
On curves of minimal length with a constraint on average curvature, American Journal of Mathematics 79,
1957). The lengths below follow the normalized form in which the start lies at the origin and the radius
is 1. Two words more have their straight driven in reverse, between two turns to the same side: the
three-point turn with a straight back.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from fieldplan.model.coverage import Array, BoolArray, IntArray, Lines
from fieldplan.plane.ragged import members

WORDS = ("LSL", "RSR", "LSR", "RSL", "RLR", "LRL", "LBL", "RBR")
"""Turns to the left and right, straights, and straights back; the shortest path forward is one of the first six."""
N_FORWARD = 6
_TURN = {"L": 1.0, "R": -1.0, "S": 0.0, "B": 0.0}
TURNS = np.array([[_TURN[letter] for letter in word] for word in WORDS])
"""(8, 3): 1 where a part of a word turns left, -1 where it turns right, 0 where it is straight."""
_IS_TURN = TURNS != 0
_FULL = 2 * np.pi
_ONE_CIRCLE = 1e-6
"""A straight of less, in radii, is rounding: squares of it are of the size of the last digit."""
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
        (n, 3) poses.
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

    def only(self, which: IntArray | BoolArray) -> Paths:
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
        turns = np.concatenate(
            [np.zeros((len(self), 1)), self.turns], axis=1
        )  # a part of no length first: the start
        length = np.concatenate([np.zeros((len(self), 1)), self.parts_m], axis=1)
        size = np.abs(length)
        count = np.where(np.isfinite(size), np.ceil(size / step_m), 0).astype(np.int64)
        count[size <= 0] = 0
        count[:, 0] = 1
        part, nth = members(count.ravel())
        along = (length / np.maximum(count, 1)).ravel()[part] * (nth + 1)
        bend = turns / self.radius_m
        turned = bend * length
        angle = self.start[:, 2:] + turned.cumsum(axis=1) - turned
        center, radius, ahead = self._parts(turns, length, angle)
        after = angle.ravel()[part] + bend.ravel()[part] * along
        radius = radius.ravel()[part]
        points = center.reshape(-1, 2)[part] + ahead.reshape(-1, 2)[part] * along[:, None]
        points[:, 0] += radius * np.sin(after)
        points[:, 1] -= radius * np.cos(after)
        return points, part // count.shape[1]

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

    def swings(self, step_m: float, beyond_m: float, from_rad: float) -> tuple[Array, IntArray]:
        """Points beyond the arcs, so much farther from their centers, (m, 2), and the path of each, (m,):
        of each turn the stretch that lies at least ``from_rad`` of arc from both its ends.

        Two arcs to the same side with less than the radius of straight between them are one turn.
        """
        size = np.where(self.turns == 0, 0.0, np.abs(self.parts_m))
        begin, end = (np.full(size.shape, from_rad * self.radius_m) for _ in range(2))
        between = self.parts_m[:, 2]
        one_turn = (self.turns[:, 2] == 0) & (self.turns[:, 1] == self.turns[:, 3])
        one_turn &= (between >= 0) & (between < self.radius_m)
        begin[one_turn, 3] = np.maximum(begin[one_turn, 1] - size[one_turn, 1], 0.0)
        end[one_turn, 1] = np.maximum(end[one_turn, 3] - size[one_turn, 3], 0.0)
        path, k = (size > begin + end).nonzero()
        if len(path) == 0:
            return np.zeros((0, 2)), path
        turned = self.turns * self.parts_m / self.radius_m
        angle = self.start[:, 2:] + turned.cumsum(axis=1) - turned
        center, radius, _ = self._parts(self.turns, self.parts_m, angle)
        begin, left = begin[path, k], (size - begin - end)[path, k]
        count = np.maximum(2, np.ceil(left / step_m).astype(np.int64) + 1)
        arc, nth = members(count)
        along = begin[arc] + (left / (count - 1))[arc] * nth
        turn = self.turns[path, k][arc]
        after = angle[path, k][arc] + turn * along / self.radius_m
        reach = radius[path, k][arc] + turn * beyond_m
        points = center[path, k][arc] + reach[:, None] * np.column_stack([np.sin(after), -np.cos(after)])
        return points, path[arc]

    def _parts(self, turns: Array, length: Array, angle: Array) -> tuple[Array, Array, Array]:
        """The center of each arc, its radius (left positive), and the unit vector of each straight, (n, k,
        …).

        For a straight the center is where it begins and the radius 0; for an arc the unit vector is 0.
        """
        radius = turns * self.radius_m
        ahead = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
        left = np.stack([-ahead[..., 1], ahead[..., 0]], axis=-1) * radius[..., None]
        ahead[turns != 0] = 0.0
        after = angle + turns * length / self.radius_m
        moved = (
            ahead * length[..., None]
            + left
            + radius[..., None] * np.stack([np.sin(after), -np.cos(after)], axis=-1)
        )
        at = self.start[:, None, :2] + moved.cumsum(axis=1) - moved
        return at + left, radius, ahead


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
    parts = words_between(start, end, radius_m)[:N_FORWARD]
    total = parts.sum(axis=1)
    total[np.isnan(total)] = np.inf
    word = total.argmin(axis=0)
    return Paths(start, radius_m, TURNS[word], parts[word, :, np.arange(len(word))])


def words_between(start: Array, end: Array, radius_m: float) -> Array:
    """Lengths of the parts of all words from poses to poses, (8, 3, n), meters; NaN where a word does not
    exist, negative where a straight is driven in reverse.
    """
    offset = (end[:, :2] - start[:, :2]) / radius_m
    d = np.hypot(offset[:, 0], offset[:, 1])
    bearing = np.where(d > 0, np.arctan2(offset[:, 1], offset[:, 0]), start[:, 2])
    return _normalized(d, start[:, 2] - bearing, end[:, 2] - bearing) * radius_m


def _normalized(d: Array, a: Array, b: Array) -> Array:
    """The same for poses ``d`` apart along the x axis, with angles ``a`` and ``b`` and a radius of 1."""
    sin_a, sin_b, cos_a, cos_b, cos_ab = np.sin(a), np.sin(b), np.cos(a), np.cos(b), np.cos(a - b)
    with np.errstate(invalid="ignore"):
        p_lsl = np.sqrt(np.maximum(2 + d**2 - 2 * cos_ab + 2 * d * (sin_a - sin_b), 0))
        # one circle for both turns: the straight has no length, and its direction is any
        t_lsl = np.where(p_lsl < _ONE_CIRCLE, a, np.arctan2(cos_b - cos_a, d + sin_a - sin_b))
        lsl = (t_lsl - a, p_lsl, b - t_lsl)
        lbl = (t_lsl + np.pi - a, -p_lsl, b - t_lsl - np.pi)  # the same straight, faced the other way

        p_rsr = np.sqrt(np.maximum(2 + d**2 - 2 * cos_ab + 2 * d * (sin_b - sin_a), 0))
        t_rsr = np.where(p_rsr < _ONE_CIRCLE, a, np.arctan2(cos_a - cos_b, d - sin_a + sin_b))
        rsr = (a - t_rsr, p_rsr, t_rsr - b)
        rbr = (a - t_rsr - np.pi, -p_rsr, t_rsr + np.pi - b)

        p_lsr = np.sqrt(-2 + d**2 + 2 * cos_ab + 2 * d * (sin_a + sin_b))
        t_lsr = np.arctan2(-cos_a - cos_b, d + sin_a + sin_b) - np.arctan2(-2.0, p_lsr)
        lsr = (t_lsr - a, p_lsr, t_lsr - b)

        p_rsl = np.sqrt(-2 + d**2 + 2 * cos_ab - 2 * d * (sin_a + sin_b))
        t_rsl = np.arctan2(cos_a + cos_b, d - sin_a - sin_b) - np.arctan2(2.0, p_rsl)
        rsl = (a - t_rsl, p_rsl, b - t_rsl)

        p_rlr = _FULL - np.arccos((6 - d**2 + 2 * cos_ab + 2 * d * (sin_a - sin_b)) / 8)
        t_rlr = a - np.arctan2(cos_a - cos_b, d - sin_a + sin_b) + p_rlr / 2
        rlr = (t_rlr, p_rlr, a - b - t_rlr + p_rlr)

        p_lrl = _FULL - np.arccos((6 - d**2 + 2 * cos_ab + 2 * d * (sin_b - sin_a)) / 8)
        t_lrl = -a + np.arctan2(cos_b - cos_a, d + sin_a - sin_b) + p_lrl / 2
        lrl = (t_lrl, p_lrl, b - a - t_lrl + p_lrl)
    parts = np.array([lsl, rsr, lsr, rsl, rlr, lrl, lbl, rbr])
    turns = parts[_IS_TURN]
    turns -= _FULL * np.floor(turns / _FULL)
    turns[_FULL - turns < 1e-9] = 0.0
    parts[_IS_TURN] = turns
    return parts
