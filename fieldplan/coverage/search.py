"""The sequence of columns and the order of their passes that take the least time where they lie.

`sequence` orders passes for turns on a level headland and drives the nearest column next; that is quick, and
enough to choose among headings. Here each turn takes what it takes between the edges of the field.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fieldplan.coverage.level_turns import level_turns_s, slants_of
from fieldplan.coverage.order import MAX_EXACT, total_turning
from fieldplan.coverage.poses import BothWays
from fieldplan.coverage.sequence import InTurn, level_order
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.transfers import Transfers
from fieldplan.coverage.turns import turns_found
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.level import turns_about
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


def passes_searched(
    passes: BothWays, column: IntArray, around: Ends, rig: Rig, transfers: Transfers
) -> InTurn:
    """Passes in the order that takes the least time, as far as found.

    The sequence of columns, each begun at one of its corners, is that of the shortest straight ways between
    them. Then the passes of each are ordered by the turns that fit.

    Parameters
    ----------
    passes, column
        (n,) at least one pass; columns as `sequence.passes_in_turn` takes them.
    """
    members = column.argsort(kind="stable")
    count = np.bincount(column - column[0])
    columns = np.split(members, count.cumsum()[:-1])
    enter, leave = _corners(passes, columns, rig)
    tour = shortest_tour(np.full(len(count), 4), enter[:, :2], leave[:, :2], around)
    order, backward = list[IntArray](), list[BoolArray]()
    here = around.here
    for option, then in zip(tour.tolist(), [*enter[tour[1:]], None], strict=True):
        of_column, side, from_last = columns[option // 4], option % 2, option % 4 >= 2
        between = Ends(here, around.home if then is None else then)
        found = _pass_order(passes.only(of_column), side, from_last, between, rig, transfers)
        order.append(of_column[found])
        backward.append((np.arange(len(found)) % 2 == 0) == (side == 1))
        here = passes.leave[order[-1][-1], 0 if backward[-1][-1] else 1]
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


def _corners(passes: BothWays, columns: list[IntArray], rig: Rig) -> tuple[Array, Array]:
    """The poses in which each column is entered and left, (4k, 3) each: begun at the start or the end of its first
    pass, or at the start or the end of its last one.
    """
    entered, left, last_sides = list[int](), list[int](), list[int]()
    for of_column in columns:
        n = len(of_column)
        last = int(level_order(n, rig)[-1])
        entered += of_column[[0, 0, n - 1, n - 1]].tolist()
        left += of_column[[last, last, n - 1 - last, n - 1 - last]].tolist()
        last_sides += [n % 2, (n + 1) % 2] * 2
    return passes.enter[entered, [0, 1] * (2 * len(columns))], passes.leave[left, last_sides]


def _pass_order(
    passes: BothWays, side: int, from_last: bool, around: Ends, rig: Rig, transfers: Transfers
) -> IntArray:
    """The order of the passes of a column, (n,), begun at their starts (0) or ends (1)."""
    n = len(passes.enter)
    level = level_order(n, rig).copy()  # kernels are compiled twice for what may not be written
    starts: tuple[IntArray, ...] = (n - 1 - level, level) if from_last else (level, n - 1 - level)
    if n == 1 or n > MAX_PASSES:
        return starts[0]
    turns = _Turns.about(passes, side, around, rig, transfers)
    expected_s = _level_s(n, rig)
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


@lru_cache(maxsize=4096)
def _level_s(n: int, rig: Rig) -> float:
    """What all turns of `level_order` take between level ends."""
    return total_turning(tuple(level_order(n, rig).tolist()), level_turns_s(rig))


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

    passes: BothWays
    side: int
    around: Ends
    rig: Rig
    transfers: Transfers
    turn_s: Array
    reach: int
    seen: BoolArray
    seen_alone: BoolArray

    @classmethod
    def about(cls, passes: BothWays, side: int, around: Ends, rig: Rig, transfers: Transfers) -> _Turns:
        """None looked at yet: turns over few strips as on a straight headland that slants as they do, over more a
        half circle and the straight way.
        """
        n, speed = len(passes.enter), rig.turn_speed_m_per_s
        places = passes.enter[..., :2]
        far_m = float(np.pi * rig.radius_m)
        turn_s = turns_about(passes.enter, side, slants_of(rig), far_m, float(rig.turn_extra_s))
        turn_s[:, n, :n] = around.begin_m(places[:, side]) / speed
        turn_s[:, :n, n] = around.finish_m(places[:, (side + n) % 2]) / speed
        seen, seen_alone = np.zeros((2, n, n), dtype=bool), np.zeros((2, n), dtype=bool)
        reach = min(n - 1, rig.skip + MORE_STRIPS)
        return cls(passes, side, around, rig, transfers, turn_s, reach, seen, seen_alone)

    def look_at(self, nth: IntArray, i: IntArray, j: IntArray) -> None:
        """Write what some turns take, the same way and back."""
        at = nth ^ self.side ^ 1
        leave, enter = self.passes.leave[i, at], self.passes.enter[j, at]
        turn_s = turns_found(leave, enter, self.rig, self.transfers.room)[:, 0]
        none = np.isinf(turn_s).nonzero()[0]
        if len(none):
            transfers = self.transfers.between(leave[none], enter[none], np.ones(len(none), dtype=bool))
            turn_s[none] = [transfer.drive_s for transfer in transfers]
        turn_s += self.rig.turn_extra_s
        for low, high in ((i, j), (j, i)):
            self.turn_s[nth, low, high] = turn_s
            self.seen[nth, low, high] = True

    def look_along(self, order: IntArray) -> bool:
        """Look at what an order takes that was not looked at yet; whether there was any."""
        nth = np.arange(len(order) - 1) % 2
        new = (~self.seen[nth, order[:-1], order[1:]]).nonzero()[0]
        if len(new):
            self.look_at(nth[new], order[new], order[new + 1])
        return bool(len(new)) or self._look_at_ways(int(order[0]), int(order[-1]))

    def _look_at_ways(self, first: int, last: int) -> bool:
        """Look at the ways to the first pass and from the last one if that was not done yet; whether it was not."""
        here, home = self.around.here, self.around.home
        begins, finishes = here is not None and not self.seen_alone[0, first], False
        if here is not None and begins:
            self.turn_s[:, -1, first] = self._way_s(here, self.passes.enter[first, self.side])
        if home is not None and not self.seen_alone[1, last]:
            finishes = True
            side = (self.side + len(self.passes.enter)) % 2
            self.turn_s[:, last, -1] = self._way_s(self.passes.leave[last, side], home)
        self.seen_alone[0, first] = self.seen_alone[1, last] = True
        return bool(begins or finishes)

    def _way_s(self, leave: Array, enter: Array) -> float:
        return self.transfers.between(leave[None, :], enter[None, :])[0].drive_s
