"""The sequence of headland rounds and of columns of passes: the nearest one is always driven next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely

from fieldplan.coverage.level_turns import level_turns_s
from fieldplan.coverage.order import pass_order
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, BoolArray, HeadlandRound, IntArray, Lines
from fieldplan.plane import ragged


@dataclass(frozen=True, slots=True)
class InTurn:
    """Passes in driving order, (n,) each.

    ``order`` indexes the passes, ``backward`` is true for those driven from their end to their start, and
    ``column`` is the column of each.
    """

    order: IntArray
    backward: BoolArray
    column: IntArray

    def after(self, n: int) -> InTurn:
        """The same passes, indexed in an array where ``n`` others come before them."""
        return InTurn(self.order + n, self.backward, self.column)

    def poses(self, ends: Array) -> tuple[Array, Array]:
        """The poses at which the passes are entered and left, in driving order.

        Parameters
        ----------
        ends
            (n, 2, 2) start and end of each pass.

        Returns
        -------
        enter, leave
            (n, 3) each: x and y in meters, angle in radians counter-clockwise from +x.
        """
        driven = ends[self.order]
        driven = np.where(self.backward[:, None, None], driven[:, ::-1], driven)
        along = driven[:, 1] - driven[:, 0]
        angle = np.arctan2(along[:, 1:], along[:, :1])
        return np.concatenate([driven[:, 0], angle], axis=1), np.concatenate([driven[:, 1], angle], axis=1)


@dataclass(frozen=True, slots=True)
class SegmentsInTurn:
    """Headland segments in driving order, (n,) each: their center lines, and whether each continues the one
    before over a gap.
    """

    lines: Lines
    over_gap: BoolArray


def segments_in_order(rounds: Sequence[HeadlandRound], here: Array | None) -> SegmentsInTurn:
    """The segments of headland rounds in driving order: the nearest round next, begun at its nearest segment.

    Parameters
    ----------
    here
        (2,) where the drill comes from; if ``None``, the first round is begun at its first segment.
    """
    if not rounds:
        return SegmentsInTurn(np.zeros(0, dtype=object), np.zeros(0, dtype=bool))
    lines = np.concatenate([headland_round.segments.lines for headland_round in rounds])
    points, line_of = shapely.get_coordinates(lines, return_index=True)
    starts, ends = points[ragged.begins(line_of)], points[ragged.ends(line_of)]
    count = [len(headland_round.segments) for headland_round in rounds]
    since = ragged.firsts(np.array(count))
    number, ahead = np.array([one.round for one in rounds]), np.ones(len(rounds), dtype=bool)
    order, driven = list[int](), list[int]()
    for _ in rounds:
        away_m = np.zeros(len(starts)) if here is None else np.hypot(*(starts - here).T)
        # to the millimeter, and then by round, so that rounding does not choose
        nearest_m = np.minimum.reduceat(away_m, since).round(3)
        i = int(np.lexsort((number, np.where(ahead, nearest_m, np.inf)))[0])
        ahead[i] = False
        driven.append(i)
        of_round = since[i] + np.arange(count[i])
        order += np.roll(of_round, -int(away_m[of_round].argmin())).tolist()
        here = ends[order[-1]]
    over_gap = np.concatenate([_goes_on(headland_round) for headland_round in rounds])[order]
    # where a round is begun in the middle of a segment, that part of it continues nothing
    over_gap[ragged.firsts(np.array([count[i] for i in driven]))] = False
    return SegmentsInTurn(lines[order], over_gap)


def _goes_on(headland_round: HeadlandRound) -> BoolArray:
    n = len(headland_round.segments)
    return headland_round.goes_on if len(headland_round.goes_on) else np.zeros(n, dtype=bool)


def passes_in_turn(ends: Array, column: IntArray, here: Array | None, rig: Rig) -> InTurn:
    """Passes in driving order: the nearest column next, begun at its nearest corner.

    Within a column the order is that of `pass_order`, and every second pass is driven the other way.

    Parameters
    ----------
    ends
        (n, 2, 2) start and end of each pass; more columns do not count.
    column
        (n,) the column of each pass; numbers rise by one from that of the first pass. Within a column,
        passes lie in the order of their strips.
    here
        (2,) where the drill comes from; if ``None``, the first column is begun at its first corner.
    """
    if len(column) == 0:
        return InTurn(np.zeros(0, dtype=np.int64), np.zeros(0, dtype=bool), column)
    ends = ends[..., :2]
    members = column.argsort(kind="stable")
    count = np.bincount(column - column[0])
    since = ragged.firsts(count)
    corners = ends[members[np.array([since, since + count - 1]).T]].reshape(-1, 4, 2)
    ahead = np.ones(len(corners), dtype=bool)
    sequence: list[int] = []
    begun_at: list[int] = []
    for _ in corners:
        index, corner = 0, 0
        if here is not None:
            distance_m = np.hypot(corners[..., 0] - here[0], corners[..., 1] - here[1])
            distance_m[~ahead] = np.inf
            index, corner = divmod(int(distance_m.argmin()), 4)
        ahead[index] = False
        sequence.append(index)
        begun_at.append(corner)
        n = int(count[index])
        last = int(level_order(n, rig)[-1])
        last_pass = members[since[index] + (n - 1 - last if corner >= 2 else last)]
        # begun at a start, the last pass of an odd number of them is left at its end
        here = ends[last_pass, int((n % 2 == 1) == (corner % 2 == 0))]
    position, backward = _in_columns(since[sequence], count[sequence], np.array(begun_at), rig)
    order = members[position]
    return InTurn(order, backward, column[order])


def _in_columns(since: IntArray, count: IntArray, corner: IntArray, rig: Rig) -> tuple[IntArray, BoolArray]:
    """Positions of passes in driving order and which are driven backward, (n,) each, column after column.

    ``since`` (k,) are the first positions of the columns, ``count`` (k,) their numbers of passes, and
    ``corner`` (k,) where each is begun: at the start (0) or the end (1) of its first pass, or at the start
    (2) or the end (3) of its last one.
    """
    column, nth = ragged.members(count)
    order = np.concatenate([level_order(n, rig) for n in count.tolist()])
    position = since[column] + np.where(corner[column] >= 2, count[column] - 1 - order, order)
    return position, (nth % 2 == 0) == (corner[column] % 2 == 1)


@lru_cache(maxsize=4096)
def level_order(n: int, rig: Rig) -> IntArray:
    """The order of n passes with level ends, (n,), as `pass_order` gives it."""
    order = pass_order(n, level_turns_s(rig), plain=rig.plain_order)
    positions = np.array(order, dtype=np.int64)
    positions.flags.writeable = False
    return positions
