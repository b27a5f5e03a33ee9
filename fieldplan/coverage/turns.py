"""Turns between the end of one sown line and the start of the next that keep the whole rig inside.

A turn is a word of arcs and straights (`kernels.words`), begun a straight before or after the end of the
line and ended a straight before or after the start of the next: U, bulb, three-point, backing a few meters
along the pass, or a loop. Lengths and times of all of them are closed forms; they are tried in the order of
time, until one fits (`kernels.turns`).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fieldplan.coverage.handling import handling
from fieldplan.coverage.room import Room
from fieldplan.coverage.terms import Rig
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.turns import quickest_turns
from fieldplan.model.coverage import Array, BoolArray, IntArray, TurnShape
from fieldplan.plane.paths import Paths

_NOWHERE_M = 1e-6
_BENT_RAD = 0.02
_BACK_R = (0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0)
_AHEAD_R = (0.25, 0.5, 1.0, 1.5, 2.0)
_STRAIGHTS_R = np.array([0.0, *_AHEAD_R, *(-back for back in _BACK_R)])
"""Straights before and after a turn that are tried, in turning radii; negative ones are driven in reverse."""
_PAIR = np.dtype((np.void, 6 * 8))
"""Two poses as bytes."""


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

    def only(self, which: IntArray) -> Turns:
        """Some of the turns."""
        return Turns(self.paths.only(which), self.turn_s[which])

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
    found = turns_found(leave, enter, rig, room)
    return Turns(Paths(leave, rig.radius_m, found[:, 1:6], found[:, 6:]), found[:, 0])


def turns_found(leave: Array, enter: Array, rig: Rig, room: Room) -> Array:
    """The quickest turns that fit as rows, (n, 11): the time, what its five parts are, and their lengths."""
    known, both = room.known, np.ascontiguousarray(np.concatenate([leave, enter], axis=1))
    pairs = both.view(_PAIR)[:, 0].tolist()
    new = [i for i, pair in enumerate(pairs) if pair not in known]
    if len(new) == len(pairs):
        found = _looked_for(leave, enter, rig, room)
        known.update(zip(pairs, found, strict=True))
        return found.copy()  # who asked may write on it
    if new:
        found = _looked_for(leave[new], enter[new], rig, room)
        known.update(zip([pairs[i] for i in new], found, strict=True))
    return np.concatenate([known[pair] for pair in pairs]).reshape(-1, 11)


def _looked_for(leave: Array, enter: Array, rig: Rig, room: Room) -> Array:
    """Turns as `turns_found` returns them; none is known yet."""
    straights_m, pairs_tried = straights_tried(rig)
    each = numbers(leave), numbers(enter), straights_m, pairs_tried
    return quickest_turns(*each, room.region, handling(rig))


def straights_tried(rig: Rig) -> tuple[Array, IntArray]:
    """Lengths of straights that are tried before and after a turn, (k,), and which are tried together, (m, 2)."""
    tried, pairs = _straights(rig.reverse)
    return rig.radius_m * tried, pairs


@lru_cache(maxsize=8)
def _straights(reverse: str) -> tuple[Array, IntArray]:
    """Lengths of straights, (k,), in turning radii, and which of them are tried before and after, (m, 2): short ones
    first; the pair without any is left out.
    """
    tried = _STRAIGHTS_R[_STRAIGHTS_R >= 0] if reverse == "never" else _STRAIGHTS_R
    pairs = np.array(np.meshgrid(np.arange(len(tried)), np.arange(len(tried)))).reshape(2, -1).T
    order = np.abs(tried[pairs]).sum(axis=1).argsort(kind="stable")[1:]
    return tried, np.ascontiguousarray(pairs[order])
