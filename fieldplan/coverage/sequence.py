"""In which sequence the loops of the headland and the columns of passes are driven: always the nearest next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely

from fieldplan.coverage.order import drive_order
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, BoolArray, IntArray, Lines, Loop


@dataclass(frozen=True, slots=True)
class InTurn:
    """Passes as they are driven: ``order`` (n,) indexes them, ``backward`` (n,) says which way, ``column`` (n,) is the column of each."""

    order: IntArray
    backward: BoolArray
    column: IntArray

    def after(self, n: int) -> InTurn:
        """The same where ``n`` passes come before these."""
        return InTurn(self.order + n, self.backward, self.column)

    def poses(self, ends: Array) -> tuple[Array, Array]:
        """Where passes with these ends, (n, 2, 2), are entered and left, in driving order: (n, 3) each, x, y and angle."""
        driven = ends[self.order]
        driven = np.where(self.backward[:, None, None], driven[:, ::-1], driven)
        along = driven[:, 1] - driven[:, 0]
        angle = np.arctan2(along[:, 1], along[:, 0])
        return np.column_stack([driven[:, 0], angle]), np.column_stack([driven[:, 1], angle])


def sides_in_turn(loops: Sequence[Loop], here: Array | None) -> Lines:
    """The sides of loops: the nearest loop next, begun at its nearest side; from nowhere, the first loop as it is."""
    if not loops:
        return np.zeros(0, dtype=object)
    lines = np.concatenate([loop.sides.lines for loop in loops])
    points, of = shapely.get_coordinates(lines, return_index=True)
    last = np.append(np.flatnonzero(np.diff(of)), len(points) - 1)
    starts, ends = points[np.append(0, last[:-1] + 1)], points[last]
    until = np.cumsum([len(loop.sides) for loop in loops]).tolist()
    ahead = list(range(len(loops)))
    order: list[int] = []
    while ahead:
        nearest = [(0.0, 0) if here is None else _nearest(starts[until[i] - len(loops[i].sides) : until[i]], here) for i in ahead]
        k = min(range(len(ahead)), key=lambda k: (round(nearest[k][0], 3), loops[ahead[k]].round))
        i, first = ahead.pop(k), nearest[k][1]
        n = len(loops[i].sides)
        order += [until[i] - n + (first + k) % n for k in range(n)]
        here = ends[order[-1]]
    return lines[order]


def _nearest(places: Array, here: Array) -> tuple[float, int]:
    away = np.hypot(places[:, 0] - here[0], places[:, 1] - here[1])
    index = int(np.argmin(away))
    return float(away[index]), index


def passes_in_turn(ends: Array, column: IntArray, here: Array | None, rig: Rig) -> InTurn:
    """Passes of columns in driving order: the nearest column next, begun at its nearest corner, every other pass the other way.

    Parameters
    ----------
    ends
        (n, 2, 2) start and end of each pass.
    column
        (n,) the column of each pass, counted on from the first one's; within a column passes lie in the order of their strips.
    here
        Where the drill comes from; from nowhere, the first column is begun at its first corner.
    """
    if len(column) == 0:
        return InTurn(np.zeros(0, dtype=np.int64), np.zeros(0, dtype=bool), column)
    members = np.argsort(column, kind="stable")
    count = np.bincount(column - column[0])
    until = np.cumsum(count)
    since = until - count
    corners = ends[members[np.array([since, until - 1]).T]].reshape(-1, 4, 2)
    ahead = np.ones(len(corners), dtype=bool)
    orders, backwards = [], []
    for _ in corners:
        if here is None:
            index, corner = 0, 0
        else:
            away = np.hypot(corners[..., 0] - here[0], corners[..., 1] - here[1])
            away[~ahead] = np.inf
            index, corner = divmod(int(np.argmin(away)), 4)
        ahead[index] = False
        own = members[since[index] : until[index]]
        order = np.array(drive_order(len(own), rig.radius_m, rig.width_m, plain=rig.plain_order))
        order = own[::-1][order] if corner >= 2 else own[order]
        backward = (np.arange(len(order)) % 2 == 0) == (corner % 2 == 1)
        orders.append(order)
        backwards.append(backward)
        here = ends[order[-1], 0 if backward[-1] else 1]
    order = np.concatenate(orders)
    return InTurn(order, np.concatenate(backwards), column[order])


def one_column_each(ends: Array, lot: IntArray, count: IntArray, here: Array | None, rig: Rig) -> InTurn:
    """The same for very many lots of passes at once, each of them one column: ``lot`` (n,), ``count`` and ``here`` (k,) are theirs."""
    until = np.cumsum(count)
    since = until - count
    order = np.concatenate([_order_of(n, rig) for n in count.tolist()])
    nth = np.arange(len(lot)) - since[lot]
    corner = np.zeros(len(count), dtype=np.int64)
    if here is not None:
        some = np.flatnonzero(count)
        corners = ends[np.array([since[some], until[some] - 1]).T].reshape(-1, 4, 2)
        corner[some] = np.hypot(corners[..., 0] - here[some, :1], corners[..., 1] - here[some, 1:]).argmin(axis=1)
    own = corner[lot]
    order = since[lot] + np.where(own >= 2, count[lot] - 1 - order, order)
    return InTurn(order, (nth % 2 == 0) == (own % 2 == 1), lot.copy())


@lru_cache(maxsize=4096)
def _order_of(n: int, rig: Rig) -> IntArray:
    return np.array(drive_order(n, rig.radius_m, rig.width_m, plain=rig.plain_order), dtype=np.int64)
