"""Shortest paths of bounded curvature between two poses, for many pairs at once.

A pose is (x, y, angle): meters, and radians counter-clockwise from +x. The shortest path of a vehicle that
only drives forward is one of six words of left turns (L), right turns (R) and straights (S): L. E. Dubins,
On curves of minimal length with a constraint on average curvature, American Journal of Mathematics 79
(1957). Lengths are calculated in normalized form, with the start at the origin and a radius of 1.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldplan.model.coverage import Array, IntArray
from fieldplan.plane.ragged import members

WORDS = ("LSL", "RSR", "LSR", "RSL", "RLR", "LRL")
_TURN = {"L": 1.0, "R": -1.0, "S": 0.0}
_TURNS = np.array([[_TURN[letter] for letter in word] for word in WORDS])
_IS_TURN = _TURNS != 0
_FULL = 2 * np.pi


@dataclass(frozen=True, slots=True)
class Paths:
    """The shortest paths between n pairs of poses.

    Parameters
    ----------
    start
        (n, 3) poses where the paths start.
    word
        (n,) indices in `WORDS`.
    segments_m
        (n, 3) lengths of the three parts of each word.
    """

    start: Array
    radius_m: float
    word: IntArray
    segments_m: Array

    @property
    def length_m(self) -> Array:
        """Length of each path in meters, (n,)."""
        return np.asarray(self.segments_m.sum(axis=1))

    def points(self, step_m: float = 1.0) -> tuple[Array, IntArray]:
        """Points along every path.

        Parameters
        ----------
        step_m
            Largest distance between points on a bend; a straight has points at its ends only.

        Returns
        -------
        points
            (k, 2) x and y, path after path.
        path
            (k,) the path of each point.
        """
        n = len(self.word)
        # four parts for each path: its start, as a part of no length, and the three letters
        letters, length = np.zeros((n, 4)), np.zeros((n, 4))
        letters[:, 1:] = _TURNS[self.word]
        length[:, 1:] = np.maximum(self.segments_m, 0.0)
        on_bend = np.maximum(2, np.ceil(length / step_m))
        count = np.where(length <= 0, 0, np.where(letters == 0, 1, on_bend)).astype(np.int64)
        count[:, 0] = 1
        part, nth = members(count.ravel())
        along = (length / np.maximum(count, 1)).ravel()[part] * (nth + 1)
        bend = letters / self.radius_m
        turned = bend * length
        angle = self.start[:, 2:] + turned.cumsum(axis=1) - turned  # at the start of each part
        center, radius, ahead = self._parts(letters, length, angle)
        after = angle.ravel()[part] + bend.ravel()[part] * along
        radius, along = radius.ravel()[part], along[:, None]
        # one formula for bends and straights: a bend has no unit vector ahead, a straight no radius
        points = center.reshape(-1, 2)[part] + ahead.reshape(-1, 2)[part] * along
        points[:, 0] += radius * np.sin(after)
        points[:, 1] -= radius * np.cos(after)
        return points, part // 4

    def _parts(self, letters: Array, length: Array, angle: Array) -> tuple[Array, Array, Array]:
        """Center (n, 4, 2) and radius (n, 4), left positive, of bends, and unit vector (n, 4, 2) of straights.

        A straight has its start as the center and the radius 0; the unit vector of a bend is 0.
        """
        radius = letters * self.radius_m
        ahead = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
        left = np.stack([-ahead[..., 1], ahead[..., 0]], axis=-1) * radius[..., None]
        ahead[letters != 0] = 0.0
        after = angle + letters * length / self.radius_m
        moved = (
            ahead * length[..., None]
            + left
            + radius[..., None] * np.stack([np.sin(after), -np.cos(after)], axis=-1)
        )
        start = self.start[:, None, :2] + moved.cumsum(axis=1) - moved
        return start + left, radius, ahead


def shortest_paths(start: Array, end: Array, radius_m: float) -> Paths:
    """Shortest forward paths that turn no tighter than a radius.

    Parameters
    ----------
    start, end
        (n, 3) poses: x and y in meters, angle in radians counter-clockwise from +x.
    radius_m
        Smallest turning radius.

    Returns
    -------
    Paths
        One path for each pair.

    Examples
    --------
    >>> half_turn = shortest_paths(np.array([[0, 0, np.pi / 2]]), np.array([[4.0, 0, -np.pi / 2]]), 1.0)
    >>> round(float(half_turn.length_m[0]), 6)  # pi + 2
    5.141593
    """
    offset = (end[:, :2] - start[:, :2]) / radius_m
    d = np.hypot(offset[:, 0], offset[:, 1])
    bearing = np.where(d > 0, np.arctan2(offset[:, 1], offset[:, 0]), start[:, 2])
    parts = _segments(d, start[:, 2] - bearing, end[:, 2] - bearing)
    total = parts.sum(axis=1)
    total[np.isnan(total)] = np.inf
    word = total.argmin(axis=0)
    segments = parts[word, :, np.arange(len(d))] * radius_m
    return Paths(start, radius_m, word, segments)


def _segments(d: Array, a: Array, b: Array) -> Array:
    """Normalized segment lengths of the six words, (6, 3, n); NaN where a word does not exist.

    ``d`` (n,) is the distance divided by the radius; ``a`` and ``b`` (n,) are the angles at the start and
    at the end, measured from the line between the two.
    """
    sin_a, sin_b, cos_a, cos_b, cos_ab = np.sin(a), np.sin(b), np.cos(a), np.cos(b), np.cos(a - b)
    with np.errstate(invalid="ignore"):
        p_lsl = np.sqrt(np.maximum(2 + d**2 - 2 * cos_ab + 2 * d * (sin_a - sin_b), 0))
        t_lsl = np.arctan2(cos_b - cos_a, d + sin_a - sin_b)
        lsl = (t_lsl - a, p_lsl, b - t_lsl)

        p_rsr = np.sqrt(np.maximum(2 + d**2 - 2 * cos_ab + 2 * d * (sin_b - sin_a), 0))
        t_rsr = np.arctan2(cos_a - cos_b, d - sin_a + sin_b)
        rsr = (a - t_rsr, p_rsr, t_rsr - b)

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
    parts = np.array([lsl, rsr, lsr, rsl, rlr, lrl])
    turns = parts[_IS_TURN]
    turns -= _FULL * np.floor(turns / _FULL)
    turns[_FULL - turns < 1e-9] = 0.0  # a full circle by rounding is no turn
    parts[_IS_TURN] = turns
    return parts
