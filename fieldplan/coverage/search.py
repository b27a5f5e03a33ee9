"""The sequence of columns and the order of their passes that take the least time where they lie.

`sequence` orders passes for turns on a level headland and drives the nearest column next; that is quick, and
enough to choose among headings. Here each turn takes what it takes between the edges of the field.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fieldplan.coverage.level_turns import level_turns_s, slanting_turns_s
from fieldplan.coverage.order import MAX_EXACT, total_turning
from fieldplan.coverage.sequence import InTurn, level_order
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.transfers import Transfers
from fieldplan.coverage.turns import turns_between
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.orders import exact_order, improved_order, order_s
from fieldplan.kernels.tours import Options, exact_tour, improved_tour
from fieldplan.model.coverage import Array, BoolArray, IntArray

MAX_EXACT_PLACES = 8
"""Up to this many columns or rounds their sequence is found exactly."""
MAX_PLACES = 60
"""More are driven the nearest next."""
MORE_STRIPS = 2
"""Turns are looked at over as many strips as a U turn needs and so many more."""
MAX_LOOKS = 3
"""So often an order is searched for anew because one of its turns over more strips takes other than thought."""
AS_EXPECTED = 1.02
"""An order for level ends is kept if it takes no more than this, of what it would on such a headland."""
MAX_PASSES = 1500
"""More in one column keep the order for level ends: memory grows with the square."""


@dataclass(frozen=True, slots=True)
class Ends:
    """Where the drill comes from and where it goes: poses, (3,) each, ``None`` if that is open. An angle that is not
    a number is open.
    """

    here: Array | None
    home: Array | None = None

    def begin_m(self, places: Array) -> Array:
        """The way to each place, (n, 2), in a straight line."""
        return _way_m(self.here, places)

    def finish_m(self, places: Array) -> Array:
        """The way from each place, (n, 2), in a straight line."""
        return _way_m(self.home, places)


def _way_m(pose: Array | None, places: Array) -> Array:
    return np.zeros(len(places)) if pose is None else np.hypot(*(places - pose[:2]).T)


def passes_searched(ends: Array, column: IntArray, around: Ends, rig: Rig, transfers: Transfers) -> InTurn:
    """Passes in the order that takes the least time, as far as found.

    The sequence of columns, each begun at one of its corners, is that of the shortest straight ways between
    them. Then the passes of each are ordered by the turns that fit.

    Parameters
    ----------
    ends
        (n, 2, 4) start and end of each pass, and the step along it there.
    column
        As `sequence.passes_in_turn` takes it.
    """
    if len(column) == 0:
        return InTurn(np.zeros(0, dtype=np.int64), np.zeros(0, dtype=bool), column)
    members = column.argsort(kind="stable")
    count = np.bincount(column - column[0])
    columns = np.split(members, count.cumsum()[:-1])
    corners = _corners(ends, columns, rig)
    tour = shortest_tour(np.full(len(count), 4), corners[:, 0, :2], corners[:, 1, :2], around)
    order, backward = list[IntArray](), list[BoolArray]()
    here = around.here
    for option, then in zip(tour.tolist(), [*corners[tour[1:], 0], None], strict=True):
        of_column, side, from_last = columns[option // 4], option % 2, option % 4 >= 2
        between = Ends(here, around.home if then is None else then)
        found = _pass_order(ends[of_column], side, from_last, between, rig, transfers)
        order.append(of_column[found])
        backward.append((np.arange(len(found)) % 2 == 0) == (side == 1))
        here = _poses(ends[order[-1][-1:]], np.array([0 if backward[-1][-1] else 1]), leaving=True)[0]
    every = np.concatenate(order)
    return InTurn(every, np.concatenate(backward), column[every])


def shortest_tour(count: IntArray, enter: Array, leave: Array, around: Ends) -> IntArray:
    """The tour of places with several ways to enter and leave each, (n,) indices of these.

    Parameters
    ----------
    count
        (n,) how many ways each place has, place after place.
    enter, leave
        (k, 2) where each way enters and leaves.
    """
    first = np.concatenate([[0], count.cumsum()]).astype(np.int64)
    way_m = np.hypot(*(leave[:, None] - enter).transpose(2, 0, 1))
    options = Options(
        first, numbers(way_m), numbers(around.begin_m(enter)), numbers(around.finish_m(leave))
    )
    if len(count) <= MAX_EXACT_PLACES:
        return exact_tour(options)
    tour = _nearest_next(options)
    return tour if len(count) > MAX_PLACES else improved_tour(tour, options)


def _nearest_next(options: Options) -> IntArray:
    """A tour that goes on to the nearest place."""
    place = np.arange(len(options.first) - 1).repeat(np.diff(options.first))
    ahead, way_m, tour = np.ones(len(place), dtype=bool), options.begin_m, list[int]()
    for _ in range(len(options.first) - 1):
        tour.append(int(np.where(ahead, way_m, np.inf).argmin()))
        ahead[place == place[tour[-1]]] = False
        way_m = options.way_m[tour[-1]]
    return np.array(tour)


def _corners(ends: Array, columns: list[IntArray], rig: Rig) -> Array:
    """The poses in which each column is entered and left, (4k, 2, 3): begun at the start or the end of its first pass,
    or at the start or the end of its last one.
    """
    entered, left, sides, last_sides = list[int](), list[int](), list[int](), list[int]()
    for of_column in columns:
        n = len(of_column)
        last = int(level_order(n, rig)[-1])
        entered += of_column[[0, 0, n - 1, n - 1]].tolist()
        left += of_column[[last, last, n - 1 - last, n - 1 - last]].tolist()
        sides += [0, 1, 0, 1]
        last_sides += [n % 2, (n + 1) % 2] * 2
    enter = _poses(ends[entered], np.array(sides), leaving=False)
    return np.stack([enter, _poses(ends[left], np.array(last_sides), leaving=True)], axis=1)


def _poses(ends: Array, side: IntArray, *, leaving: bool) -> Array:
    """The poses at the starts (0) or ends (1) of passes where these are left or entered, (n, 3)."""
    at = ends[np.arange(len(ends)), side]
    step = np.where(((side == 0) == leaving)[:, None], -at[:, 2:], at[:, 2:])
    return np.column_stack([at[:, :2], np.arctan2(step[:, 1], step[:, 0])])


def _pass_order(
    ends: Array, side: int, from_last: bool, around: Ends, rig: Rig, transfers: Transfers
) -> IntArray:
    """The order of the passes of a column, (n,), begun at their starts (0) or ends (1)."""
    n = len(ends)
    level = level_order(n, rig).copy()  # kernels are compiled twice for what may not be written
    starts: tuple[IntArray, ...] = (n - 1 - level, level) if from_last else (level, n - 1 - level)
    if n == 1 or n > MAX_PASSES:
        return starts[0]
    turns = _Turns.about(ends, side, around, rig, transfers)
    expected_s = total_turning(tuple(level.tolist()), level_turns_s(rig))
    turns.look_along(starts[0])
    best, best_s = starts[0], float(order_s(starts[0], turns.turn_s))
    if best_s <= AS_EXPECTED * expected_s:
        return best
    for _ in range(MAX_LOOKS):
        order = _quickest(starts, turns)
        if not turns.look_along(order):
            return order
        true_s = float(order_s(order, turns.turn_s))
        if true_s < best_s:
            best, best_s = order, true_s
        starts = (order,)
    return best


def _quickest(starts: Sequence[IntArray], turns: _Turns) -> IntArray:
    """The order that takes the least time, for many passes as far as found from given ones."""
    if len(starts[0]) <= MAX_EXACT:
        return exact_order(turns.turn_s)
    found = [improved_order(order, turns.turn_s, turns.reach) for order in starts]
    return min(found, key=lambda order: float(order_s(order, turns.turn_s)))


@dataclass(frozen=True)
class _Turns:
    """What turns between the passes of a column take; until they are looked at, what they take about.

    Parameters
    ----------
    side
        The passes are begun at their starts (0) or ends (1).
    turn_s
        As `kernels.orders` takes it.
    reach
        Turns over so many strips and fewer are looked for.
    seen
        (2, n, n) whether turns have been looked at.
    seen_alone
        (2, n) whether the ways to the first pass and from the last one have been.
    """

    ends: Array
    side: int
    around: Ends
    rig: Rig
    transfers: Transfers
    turn_s: Array
    reach: int
    seen: BoolArray
    seen_alone: BoolArray

    @classmethod
    def about(cls, ends: Array, side: int, around: Ends, rig: Rig, transfers: Transfers) -> _Turns:
        """None looked at yet: turns over few strips as on a straight headland that slants as they do, over more a
        half circle and the straight way.
        """
        n, speed = len(ends), rig.turn_speed_m_per_s
        at = ends[:, [1 - side, side], :2].transpose(1, 0, 2)
        apart_m = np.hypot(*(at[:, :, None] - at[:, None]).transpose(3, 0, 1, 2))
        between_s = (apart_m + np.pi * rig.radius_m) / speed + rig.turn_extra_s
        strips = np.abs(np.subtract.outer(np.arange(n), np.arange(n)))
        near = np.broadcast_to(strips <= len(level_turns_s(rig)), apart_m.shape)
        across_m = np.broadcast_to(strips * rig.width_m, apart_m.shape)[near]
        ahead_m = np.sqrt(np.maximum(0.0, apart_m[near] ** 2 - across_m**2))
        between_s[near] = slanting_turns_s(rig, across_m, ahead_m)
        turn_s = np.zeros((2, n + 1, n + 1))
        turn_s[:, :n, :n] = between_s
        turn_s[:, n, :n] = around.begin_m(ends[:, side, :2]) / speed
        turn_s[:, :n, n] = around.finish_m(ends[:, (side + n) % 2, :2]) / speed
        seen, seen_alone = np.zeros((2, n, n), dtype=bool), np.zeros((2, n), dtype=bool)
        reach = min(n - 1, rig.skip + MORE_STRIPS)
        return cls(ends, side, around, rig, transfers, turn_s, reach, seen, seen_alone)

    def look_at(self, nth: IntArray, i: IntArray, j: IntArray) -> None:
        """Write what some turns take, the same way and back."""
        at = np.where(nth == 0, 1 - self.side, self.side)
        leave = _poses(self.ends[i], at, leaving=True)
        enter = _poses(self.ends[j], at, leaving=False)
        turn_s = turns_between(leave, enter, self.rig, self.transfers.room).turn_s
        none = ~np.isfinite(turn_s)
        transfers = self.transfers.between(leave[none], enter[none], none[none])
        turn_s[none] = [transfer.drive_s for transfer in transfers]
        for low, high in ((i, j), (j, i)):
            self.turn_s[nth, low, high] = turn_s + self.rig.turn_extra_s
            self.seen[nth, low, high] = True

    def look_along(self, order: IntArray) -> bool:
        """Look at what an order takes that was not looked at yet; whether there was any."""
        nth = np.arange(len(order) - 1) % 2
        new = ~self.seen[nth, order[:-1], order[1:]]
        self.look_at(nth[new], order[:-1][new], order[1:][new])
        return bool(new.any()) or self._look_at_ways(int(order[0]), int(order[-1]))

    def _look_at_ways(self, first: int, last: int) -> bool:
        """Look at the ways to the first pass and from the last one if that was not done yet; whether it was not."""
        here, home = self.around.here, self.around.home
        begins, finishes = here is not None and not self.seen_alone[0, first], False
        if here is not None and begins:
            enter = _poses(self.ends[[first]], np.array([self.side]), leaving=False)
            self.turn_s[:, -1, first] = self._way_s(here, enter[0])
        if home is not None and not self.seen_alone[1, last]:
            finishes = True
            side = np.array([(self.side + len(self.ends)) % 2])
            leave = _poses(self.ends[[last]], side, leaving=True)
            self.turn_s[:, last, -1] = self._way_s(leave[0], home)
        self.seen_alone[0, first] = self.seen_alone[1, last] = True
        return bool(begins or finishes)

    def _way_s(self, leave: Array, enter: Array) -> float:
        return self.transfers.between(leave[None, :], enter[None, :])[0].drive_s
