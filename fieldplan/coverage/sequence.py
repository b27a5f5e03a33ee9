"""In which sequence the loops of the headland and the columns of passes are driven: always the nearest
next.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely

from fieldplan.coverage.order import pass_order
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, BoolArray, HeadlandRound, IntArray, Lines
from fieldplan.plane import ragged


@dataclass(frozen=True, slots=True)
class InTurn:
    """Passes as they are driven: ``order`` (n,) indexes them, ``backward`` (n,) says which way, ``column``
    (n,) is the column of each.
    """

    order: IntArray
    backward: BoolArray
    column: IntArray

    def after(self, n: int) -> InTurn:
        """The same where ``n`` passes come before these."""
        return InTurn(self.order + n, self.backward, self.column)

    def poses(self, ends: Array) -> tuple[Array, Array]:
        """Where passes with these ends, (n, 2, 2), are entered and left, in driving order: (n, 3) each, x,
        y and angle.
        """
        driven = ends[self.order]
        driven = np.where(self.backward[:, None, None], driven[:, ::-1], driven)
        along = driven[:, 1] - driven[:, 0]
        angle = np.arctan2(along[:, 1:], along[:, :1])
        return np.concatenate([driven[:, 0], angle], axis=1), np.concatenate([driven[:, 1], angle], axis=1)


def segments_in_order(rounds: Sequence[HeadlandRound], here: Array | None) -> Lines:
    """The sides of loops: the nearest loop next, begun at its nearest side; from nowhere, the first loop as
    it is.
    """
    if not rounds:
        return np.zeros(0, dtype=object)
    lines = np.concatenate([headland_round.segments.lines for headland_round in rounds])
    points, of = shapely.get_coordinates(lines, return_index=True)
    starts, ends = points[ragged.begins(of)], points[ragged.ends(of)]
    until = np.cumsum([len(headland_round.segments) for headland_round in rounds]).tolist()
    ahead = list(range(len(rounds)))
    order: list[int] = []
    while ahead:
        nearest = [
            (0.0, 0)
            if here is None
            else _nearest(starts[until[i] - len(rounds[i].segments) : until[i]], here)
            for i in ahead
        ]
        k = min(range(len(ahead)), key=lambda k: (round(nearest[k][0], 3), rounds[ahead[k]].round))
        i, first = ahead.pop(k), nearest[k][1]
        n = len(rounds[i].segments)
        order += [until[i] - n + (first + k) % n for k in range(n)]
        here = ends[order[-1]]
    return lines[order]


def _nearest(places: Array, here: Array) -> tuple[float, int]:
    away = np.hypot(places[:, 0] - here[0], places[:, 1] - here[1])
    index = int(away.argmin())
    return float(away[index]), index


def passes_in_turn(ends: Array, column: IntArray, here: Array | None, rig: Rig) -> InTurn:
    """Passes of columns in driving order: the nearest column next, begun at its nearest corner, every other
    pass the other way.

    Parameters
    ----------
    ends
        (n, 2, 2) start and end of each pass.
    column
        (n,) the column of each pass, counted on from the first one's; within a column passes lie in the
        order of their strips.
    here
        Where the drill comes from; from nowhere, the first column is begun at its first corner.
    """
    if len(column) == 0:
        return InTurn(np.zeros(0, dtype=np.int64), np.zeros(0, dtype=bool), column)
    members = column.argsort(kind="stable")
    count = np.bincount(column - column[0])
    since = ragged.firsts(count)
    corners = ends[members[np.array([since, since + count - 1]).T]].reshape(-1, 4, 2)
    ahead = np.ones(len(corners), dtype=bool)
    turn: list[int] = []
    begun_at: list[int] = []
    for _ in corners:
        index, corner = 0, 0
        if here is not None:
            away = np.hypot(corners[..., 0] - here[0], corners[..., 1] - here[1])
            away[~ahead] = np.inf
            index, corner = divmod(int(away.argmin()), 4)
        ahead[index] = False
        turn.append(index)
        begun_at.append(corner)
        n = int(count[index])
        last = int(_order_of(n, rig)[-1])
        last_one = members[since[index] + (n - 1 - last if corner >= 2 else last)]
        here = ends[last_one, int((n % 2 == 1) == (corner % 2 == 0))]
    position, backward = _in_columns(since[turn], count[turn], np.array(begun_at), rig)
    order = members[position]
    return InTurn(order, backward, column[order])


def one_column_each(ends: Array, lot: IntArray, count: IntArray, here: Array | None, rig: Rig) -> InTurn:
    """The same for very many lots of passes at once, each of them one column: ``lot`` (n,), ``count`` and
    ``here`` (k,) are theirs.
    """
    since = ragged.firsts(count)
    corner = np.zeros(len(count), dtype=np.int64)
    if here is not None:
        some = count.nonzero()[0]
        corners = ends[np.array([since[some], since[some] + count[some] - 1]).T].reshape(-1, 4, 2)
        corner[some] = np.hypot(corners[..., 0] - here[some, :1], corners[..., 1] - here[some, 1:]).argmin(
            axis=1
        )
    return InTurn(*_in_columns(since, count, corner, rig), lot.copy())


def _in_columns(since: IntArray, count: IntArray, corner: IntArray, rig: Rig) -> tuple[IntArray, BoolArray]:
    """Positions of passes in driving order and which are driven backward, (n,), for columns one after the
    other.

    ``since`` (k,) are the columns' first positions, ``count`` (k,) their numbers of passes, and ``corner``
    (k,) where each is begun: at the start (0) or end (1) of its first pass, or of its last one (2, 3).
    """
    own, nth = ragged.members(count)
    order = np.concatenate([_order_of(n, rig) for n in count.tolist()])
    position = since[own] + np.where(corner[own] >= 2, count[own] - 1 - order, order)
    return position, (nth % 2 == 0) == (corner[own] % 2 == 1)


@lru_cache(maxsize=4096)
def _order_of(n: int, rig: Rig) -> IntArray:
    order = pass_order(n, rig.radius_m, rig.width_m, plain=rig.plain_order, may_back_up=rig.reverse == "free")
    positions = np.array(order, dtype=np.int64)
    positions.flags.writeable = False
    return positions
