"""Turns between the end of one sown line and the start of the next that keep the whole rig inside.

A turn is a word of arcs and straights (`plane.paths`), begun a straight before or after the end of the line
and ended a straight before or after the start of the next: U, bulb, three-point, backing a few meters along
the pass, or a loop. Lengths and times of all of them are closed forms; they are tried in the order of
time, until one fits. First those that begin and end at the lines themselves, for all turns at once; then,
for turns of which none of these fits or only a slow one does, those with straights before and after.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fieldplan.coverage.room import Room
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, BoolArray, IntArray, TurnShape
from fieldplan.model.machine import Reverse
from fieldplan.plane.paths import N_FORWARD, TURNS, WORDS, Paths, words_between

_NOWHERE_M = 1e-6
_BENT_RAD = 0.02
_BACK_R = (0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0)
_AHEAD_R = (0.25, 0.5, 1.0, 1.5, 2.0)
_SHIFTS_R = np.array([0.0, *_AHEAD_R, *(-back for back in _BACK_R)])
"""Straights before and after a turn that are tried, in turning radii; negative ones are driven in reverse."""
_PARALLEL = np.sin(np.radians(5))
_SLOW_S = 5.0
"""A turn that takes so much longer than the quickest that would do without edges is looked at again."""
_BACKING_RANKS_S: dict[Reverse, Callable[[Rig], float]] = {
    "where needed": lambda rig: rig.reverse_saves_s,
    "free": lambda _: 0.0,
    "never": lambda _: np.inf,
}
"""By how much later a turn with backing ranks than the time it takes."""
_FIRST_OF_MANY, _AT_ONCE, _MAX_TRIED = 8, 128, 512
"""So many candidates with straights are looked at first, at once, and in all."""


@dataclass(frozen=True, slots=True)
class Turns:
    """Turns of n pairs of poses.

    Parameters
    ----------
    paths
        (n) paths of five parts: a straight, three arcs or straights, a straight.
    turn_s
        (n,) driving time, changes of direction included; infinite where nothing fits.
    """

    paths: Paths
    turn_s: Array

    @property
    def fits(self) -> BoolArray:
        """Whether a turn was found, (n,)."""
        return np.isfinite(self.turn_s)

    @property
    def shapes(self) -> list[TurnShape]:
        """What each turn is called."""
        turned = np.where(self.paths.turns != 0, self.paths.parts_m, 0.0) / self.paths.radius_m
        total_deg = np.degrees(np.abs(turned).sum(axis=1))
        both_sides = np.all(
            [((self.paths.turns * side > 0) & (turned > _BENT_RAD)).any(axis=1) for side in (1, -1)], axis=0
        )
        backs = self.paths.reverse_m > _NOWHERE_M
        named = zip(backs.tolist(), total_deg.tolist(), both_sides.tolist(), strict=True)
        return [_shape(*turn) for turn in named]


def _shape(backs: bool, total_deg: float, both_sides: bool) -> TurnShape:
    """What a turn is called that bends by so much, to both sides or to one."""
    if backs:
        return "backing"
    if total_deg > 300 and not both_sides:
        return "loop"
    if total_deg > 180 and both_sides:
        return "bulb"
    return "U" if total_deg > 135 else "corner"


def turns_between(leave: Array, enter: Array, rig: Rig, room: Room) -> Turns:
    """The quickest turns that fit.

    Parameters
    ----------
    leave, enter
        (n, 3) poses: x, y in meters and angle counter-clockwise from +x.
    room
        What they must keep inside.

    Returns
    -------
    Turns
        One for each pair. Where nothing fits its time is infinite and its path is the shortest forward one,
        which leads outside.
    """
    n = len(leave)
    parts = words_between(leave, enter, rig.radius_m).transpose(2, 0, 1)
    words = Tried.of(leave, *_straight_on(parts), rig).and_more(
        *tangent_arcs(leave, enter, rig.radius_m), rig
    )
    chosen = words.quickest(room, len(WORDS) + 1)
    cheapest_s = words.rank_s[:, :N_FORWARD].min(axis=1) if n else np.zeros(0)
    with np.errstate(invalid="ignore"):
        slow = np.flatnonzero(~chosen.found | (chosen.rank_s > cheapest_s + _SLOW_S))
    if len(slow):
        tried = candidates(leave[slow], enter[slow], rig, rig.radius_m * _shifts(rig.reverse))
        chosen.replace(slow, tried.quickest(room, _MAX_TRIED, chosen.rank_s[slow], _FIRST_OF_MANY))
    return Turns(
        Paths(leave, rig.radius_m, chosen.turns, chosen.parts_m),
        np.where(chosen.found, chosen.turn_s, np.inf),
    )


def candidates(leave: Array, enter: Array, rig: Rig, shifts: Array) -> Tried:
    """All words between poses, each begun and ended by straights.

    Parameters
    ----------
    shifts
        (m, 2) lengths of the straights before and after, meters; negative ones are driven in reverse.
    """
    starts, stops = moved(leave, shifts[None, :, 0]), moved(enter, -shifts[None, :, 1])
    parts = words_between(starts.reshape(-1, 3), stops.reshape(-1, 3), rig.radius_m)
    parts = parts.transpose(2, 0, 1).reshape(len(leave), -1, 3)
    return Tried.of(leave, *_between_straights(parts, np.repeat(shifts, len(WORDS), axis=0)), rig)


@lru_cache(maxsize=8)
def _shifts(reverse: str) -> Array:
    """Straights before and after, (m, 2), in turning radii; the pair without any is left out."""
    tried = _SHIFTS_R[_SHIFTS_R >= 0] if reverse == "never" else _SHIFTS_R
    pairs = np.array(np.meshgrid(tried, tried)).reshape(2, -1).T
    return np.asarray(pairs[(pairs != 0).any(axis=1)])


def moved(poses: Array, by_m: Array) -> Array:
    """Poses moved ahead by distances, negative ones back: (n, 3) and (n or 1, m) to (n, m, 3)."""
    ahead = np.stack([np.cos(poses[:, 2]), np.sin(poses[:, 2]), np.zeros(len(poses))], axis=1)
    return np.asarray(poses[:, None] + ahead[:, None] * by_m[..., None])


def _straight_on(parts: Array) -> tuple[Array, Array]:
    """Turns and lengths of words, (n, 8, 3), without straights before and after: (n, 8, 5) each."""
    return _between_straights(parts, np.zeros((len(WORDS), 2)))


def _between_straights(parts: Array, shifts: Array) -> tuple[Array, Array]:
    """The same of words that repeat, (n, k, 3), each between its own straights, (k, 2)."""
    n, k, _ = parts.shape
    whole, turns = np.empty((n, k, 5)), np.zeros((n, k, 5))
    whole[..., 1:4], whole[..., 0], whole[..., 4] = parts, shifts[:, 0], shifts[:, 1]
    turns[..., 1:4] = np.tile(TURNS, (k // len(TURNS), 1))
    return turns, whole


def tangent_arcs(leave: Array, enter: Array, radius_m: float) -> tuple[Array, Array]:
    """One arc that touches both lines, with straights along them before and after, forward or back: turns
    and lengths, (n, 1, 5) each; NaN where the lines do not cross.

    The arc touches the lines R·tan(θ/2) from where they cross, for a turn of θ.
    """
    theta = np.arctan2(np.sin(enter[:, 2] - leave[:, 2]), np.cos(enter[:, 2] - leave[:, 2]))
    sin_theta = np.where(np.abs(np.sin(theta)) < _PARALLEL, np.nan, np.sin(theta))
    offset = enter[:, :2] - leave[:, :2]
    ahead, out = (np.stack([np.cos(p[:, 2]), np.sin(p[:, 2])], axis=1) for p in (leave, enter))
    crossing_m = (offset[:, 0] * out[:, 1] - offset[:, 1] * out[:, 0]) / sin_theta
    behind_m = (offset[:, 0] * ahead[:, 1] - offset[:, 1] * ahead[:, 0]) / sin_theta
    tangent_m = radius_m * np.tan(np.abs(theta) / 2)
    parts, turns = np.zeros((len(leave), 1, 5)), np.zeros((len(leave), 1, 5))
    parts[:, 0, 0] = crossing_m - tangent_m
    parts[:, 0, 2] = radius_m * np.abs(theta)
    parts[:, 0, 4] = -behind_m - tangent_m
    turns[:, 0, 2] = np.sign(theta)
    return turns, parts


@dataclass(slots=True)
class _Chosen:
    """For each pair the quickest path that fits, as far as one is ``found``."""

    found: BoolArray
    rank_s: Array
    turn_s: Array
    turns: Array
    parts_m: Array

    def replace(self, which: IntArray, other: _Chosen) -> None:
        """Take over what another found for some of the pairs, where it is better."""
        better = other.found & (~self.found[which] | (other.rank_s < self.rank_s[which]))
        to = which[better]
        for name in ("found", "rank_s", "turn_s", "turns", "parts_m"):
            getattr(self, name)[to] = getattr(other, name)[better]


@dataclass(frozen=True, slots=True)
class Tried:
    """Candidates of n pairs, k each: five parts, the time they take, and the time by which they rank, which
    backing lengthens where it is for need.
    """

    leave: Array
    radius_m: float
    turns: Array
    parts_m: Array
    turn_s: Array
    rank_s: Array

    @classmethod
    def of(cls, leave: Array, turns: Array, parts_m: Array, rig: Rig) -> Tried:
        """Candidates with these parts: ``turns`` and ``parts_m`` are (n, k, 5)."""
        back_m = -np.minimum(parts_m, 0.0).sum(axis=2)
        ahead_m = np.maximum(parts_m, 0.0).sum(axis=2)
        changes = 2 * (parts_m < -_NOWHERE_M).sum(axis=2)
        turn_s = (
            ahead_m / rig.turn_speed_m_per_s + back_m / rig.backing_speed_m_per_s + changes * rig.change_s
        )
        rank_s = np.where(changes > 0, turn_s + _BACKING_RANKS_S[rig.reverse](rig), turn_s)
        rank_s = np.where(np.isfinite(rank_s), rank_s, np.inf)
        return cls(leave, rig.radius_m, turns, parts_m, turn_s, rank_s)

    def and_more(self, turns: Array, parts_m: Array, rig: Rig) -> Tried:
        """These candidates and others."""
        return Tried.of(
            self.leave,
            np.concatenate([self.turns, turns], axis=1),
            np.concatenate([self.parts_m, parts_m], axis=1),
            rig,
        )

    def quickest(self, room: Room, maximum: int, below_s: Array | None = None, first: int = 1) -> _Chosen:
        """For each pair the candidate of least rank that fits, if it is among the first so many."""
        n = len(self.leave)
        rank = np.where(
            self.rank_s < (np.inf if below_s is None else below_s[:, None]), self.rank_s, np.inf
        )
        order = rank.argsort(axis=1, kind="stable")[:, :maximum]
        best = order[:, 0] if n else np.zeros(0, dtype=np.int64)
        forward = self.rank_s[:, :N_FORWARD].argmin(axis=1) if n else best
        best = np.where(np.isfinite(self.rank_s[np.arange(n), forward]), forward, best)
        found = np.zeros(n, dtype=bool)
        open_ = np.arange(n)
        for since in _lots(order.shape[1], first):
            lot = order[open_, since]
            likely = np.isfinite(rank[open_[:, None], lot])
            row, column = likely.nonzero()
            if len(row) == 0:
                break
            which = lot[row, column]
            held = np.zeros(lot.shape, dtype=bool)
            held[row, column] = room.holds(self.paths(open_[row], which))
            some = held.any(axis=1)
            best[open_[some]] = lot[some, held[some].argmax(axis=1)]
            found[open_[some]] = True
            open_ = open_[~some & likely.all(axis=1)]
            if len(open_) == 0:
                break
        rows = np.arange(n)
        return _Chosen(
            found,
            np.where(found, self.rank_s[rows, best], np.inf),
            self.turn_s[rows, best],
            self.turns[rows, best],
            np.nan_to_num(self.parts_m[rows, best]),
        )

    def paths(self, row: IntArray, which: IntArray) -> Paths:
        """Some of the candidates: (k,) of which pair, and which of its own."""
        return Paths(self.leave[row], self.radius_m, self.turns[row, which], self.parts_m[row, which])


def _lots(n: int, size: int) -> list[slice]:
    """Few candidates first, then ever more at once."""
    lots, since = [], 0
    while since < n:
        lots.append(slice(since, min(n, since + size)))
        since, size = since + size, min(_AT_ONCE, 2 * size)
    return lots
