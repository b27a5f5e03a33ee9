"""Shortest paths of bounded curvature between two poses, for many pairs at once.

A pose is (x, y, angle): metres and radians counter-clockwise from +x. A car that only drives forward
reaches any pose from any other on one of six words of left turns, right turns and straights (L. E. Dubins,
On curves of minimal length with a constraint on average curvature, American Journal of Mathematics 79,
1957). The segment lengths below follow the normalised form in which the start lies at the origin and the
radius is 1.
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
    """The shortest paths of n pairs: ``word`` (n,) indexes `WORDS`; ``segments_m`` (n, 3) are the lengths
    of its parts.
    """

    start: Array
    radius_m: float
    word: IntArray
    segments_m: Array

    @property
    def length_m(self) -> Array:
        """Length of each path, (n,)."""
        return np.asarray(self.segments_m.sum(axis=1))

    def points(self, step_m: float = 1.0) -> tuple[Array, IntArray]:
        """Points along every path, (k, 2), at most ``step_m`` apart on bends, and the path each belongs to,
        (k,).
        """
        n = len(self.word)
        letters, length = (
            np.zeros((n, 4)),
            np.zeros((n, 4)),
        )  # the start, as a part of no length, and the three parts
        letters[:, 1:] = _TURNS[self.word]
        length[:, 1:] = np.maximum(self.segments_m, 0.0)
        count = np.where(
            length <= 0, 0, np.where(letters == 0, 1, np.maximum(2, np.ceil(length / step_m)))
        ).astype(np.int64)
        count[:, 0] = 1
        flat = count.ravel()
        part, nth = members(flat)
        along = (length / np.maximum(count, 1)).ravel()[part] * (nth + 1)
        bend = letters / self.radius_m
        turned = bend * length
        angle = self.start[:, 2:] + turned.cumsum(axis=1) - turned
        centre, radius, ahead = self._parts(letters, length, angle)
        after = angle.ravel()[part] + bend.ravel()[part] * along
        radius, along = radius.ravel()[part], along[:, None]
        points = centre.reshape(-1, 2)[part] + ahead.reshape(-1, 2)[part] * along
        points[:, 0] += radius * np.sin(after)
        points[:, 1] -= radius * np.cos(after)
        return points, part // 4

    def _parts(self, letters: Array, length: Array, angle: Array) -> tuple[Array, Array, Array]:
        """The centre of each bend, its radius (left positive), and the unit vector of each straight, (n, k,
        …).

        For a straight the centre is where it begins and the radius 0; for a bend the unit vector is 0.
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
        at = self.start[:, None, :2] + moved.cumsum(axis=1) - moved
        return at + left, radius, ahead


def shortest_paths(start: Array, end: Array, radius_m: float) -> Paths:
    """Shortest forward paths that turn no tighter than a radius.

    Parameters
    ----------
    start, end
        (n, 3) poses: x and y in metres, angle in radians counter-clockwise from +x.
    radius_m
        Least turning radius.

    Returns
    -------
    Paths
        One path a pair, with its length and its line.

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
    """Normalised segment lengths of the six words, (6, 3, n); NaN where a word does not exist."""
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
    turns[_FULL - turns < 1e-9] = 0.0
    parts[_IS_TURN] = turns
    return parts
