"""The sequence of headland rounds and of columns of passes: the nearest one is always driven next."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely

from fieldplan.coverage.level_turns import level_turns_s
from fieldplan.coverage.order import pass_order
from fieldplan.coverage.poses import poses
from fieldplan.coverage.terms import Rig
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.in_turn import columns_in_turn, rounds_in_turn
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
    """Headland segments in driving order, (n,) each: their center lines, whether each continues the one before over a
    gap, the poses at which it is entered and left, (n, 3), and its length.
    """

    lines: Lines
    over_gap: BoolArray
    enter: Array
    leave: Array
    length_m: Array


def segments_in_order(rounds: tuple[HeadlandRound, ...], here: Array | None) -> SegmentsInTurn:
    """The segments of headland rounds, at least one, in driving order: the nearest round next, begun at its nearest
    segment.

    Parameters
    ----------
    here
        (2,) where the drill comes from; if ``None``, the first round is begun at its first segment.
    """
    laid, number = _segments(rounds), np.array([one.round for one in rounds])
    count = np.array([len(one.segments) for one in rounds])
    order, driven = rounds_in_turn(laid.enter, laid.leave, count, number, _open_if_none(here))
    over_gap = laid.over_gap[order]
    # where a round is begun in the middle of a segment, that part of it continues nothing
    over_gap[ragged.firsts(count[driven])] = False
    return SegmentsInTurn(
        laid.lines[order], over_gap, laid.enter[order], laid.leave[order], laid.length_m[order]
    )


@lru_cache(maxsize=32)
def _segments(rounds: tuple[HeadlandRound, ...]) -> SegmentsInTurn:
    """The segments of rounds as they are laid out: many routes lead over the same ones."""
    lines = np.concatenate([one.segments.lines for one in rounds])
    over_gap = np.concatenate([_goes_on(one) for one in rounds])
    return SegmentsInTurn(lines, over_gap, *poses(lines), shapely.length(lines))


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
    members, count = column.argsort(kind="stable"), np.bincount(column - column[0])
    level = np.concatenate([level_order(n, rig) for n in count.tolist()])
    order, backward = columns_in_turn(numbers(ends[..., :2]), members, count, level, _open_if_none(here))
    return InTurn(order, backward, column[order])


def _open_if_none(here: Array | None) -> Array:
    """A place as kernels take it: not numbers if it is open."""
    return np.full(2, np.nan) if here is None else numbers(here)


@lru_cache(maxsize=4096)
def level_order(n: int, rig: Rig) -> IntArray:
    """The order of n passes with level ends, (n,), as `pass_order` gives it."""
    order = pass_order(n, level_turns_s(rig), plain=rig.plain_order)
    positions = np.array(order, dtype=np.int64)
    positions.flags.writeable = False
    return positions
