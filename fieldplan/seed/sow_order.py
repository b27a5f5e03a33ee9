"""The order of parcels in which the fewest boxes are emptied and set again."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import groupby, pairwise

from fieldplan.model.budget import BoxBudget, ChangeCount, SeedBudget
from fieldplan.seed.carry_over import set_for

MAX_STATES = 4096
"""So many partial orders are followed at once: all there are up to about nine mixes."""
MAX_MOVED = 30
"""Parcels up to which the way between them is shortened."""
_ALIKE_M = 1.0
"""Ways that differ by less are alike."""
_Set = tuple[tuple[tuple[str, str, float], ...], float]
_Held = tuple[tuple[str, _Set], ...]


def change_count(order: Sequence[SeedBudget]) -> ChangeCount:
    """How often a box is emptied, and how often set again, when parcels are sown in an order.

    A box is emptied before a parcel that sows other contents from it, and set again before one that sows
    other contents or another rate. Boxes that a parcel does not use keep what they held.
    """
    held: dict[str, _Set] = {}
    n_emptied = n_reset = 0
    for box in (box for seed in order for box in seed.boxes):
        wanted = set_for(box)
        if (before := held.get(box.box)) is not None:
            n_emptied += before[0] != wanted[0]
            n_reset += before != wanted
        held[box.box] = wanted
    return ChangeCount(n_emptied=n_emptied, n_reset=n_reset)


def sow_order(
    parcels: Sequence[SeedBudget],
    priorities: Sequence[int | None],
    away_m: Callable[[int, int], float],
) -> tuple[int, ...]:
    """The order in which parcels are sown: fewest emptied boxes, then fewest set again, then least way.

    Parcels keep the order they are given in if no other has fewer changes. A parcel with a priority comes
    before all with a later one or none.

    Parcels that are set alike are sown one after the other: taking one out of a run and putting it beside
    its like never adds a change, because what a box changes from and to either agrees or does not. So
    orders of kinds of parcels are compared, step by step, and of those that lead to the same boxes the best
    is kept. With over `MAX_STATES` of them at once the best are followed.

    Parameters
    ----------
    parcels
        Seed of each, in the order of the file.
    priorities
        The priority of each; ``None`` comes last.
    away_m
        The way from one parcel to another, by their places in ``parcels``.
    """
    given = tuple(sorted(range(len(parcels)), key=lambda i: _level(priorities[i])))
    kinds = _kinds(parcels, given, priorities)
    fewest = _fewest(parcels, kinds)
    found = tuple(i for kind in fewest for i in kind)
    if _cost(parcels, found) >= _cost(parcels, given):
        return given
    return _nearer(parcels, found, priorities, away_m)


def _level(priority: int | None) -> tuple[bool, int]:
    return priority is None, priority or 0


def _cost(parcels: Sequence[SeedBudget], order: Sequence[int]) -> tuple[int, int]:
    count = change_count([parcels[i] for i in order])
    return count.n_emptied, count.n_reset


def _kinds(
    parcels: Sequence[SeedBudget], given: Sequence[int], priorities: Sequence[int | None]
) -> list[list[tuple[int, ...]]]:
    """Parcels that are set alike, for each priority, in the order of the file."""
    levels = []
    for _, members in groupby(given, key=lambda i: _level(priorities[i])):
        alike: dict[tuple[tuple[str, _Set], ...], list[int]] = {}
        for i in members:
            alike.setdefault(tuple((box.box, set_for(box)) for box in parcels[i].boxes), []).append(i)
        levels.append([tuple(kind) for kind in alike.values()])
    return levels


def _fewest(
    parcels: Sequence[SeedBudget], levels: Sequence[Sequence[tuple[int, ...]]]
) -> tuple[tuple[int, ...], ...]:
    """The order of kinds with the fewest changes; of several, the one nearest to the order of the file."""
    held: Mapping[_Held, tuple[tuple[int, int], tuple[tuple[int, ...], ...]]] = {(): ((0, 0), ())}
    for level in levels:
        states = {(boxes, frozenset(range(len(level)))): best for boxes, best in held.items()}
        for _ in level:
            following: dict[
                tuple[_Held, frozenset[int]], tuple[tuple[int, int], tuple[tuple[int, ...], ...]]
            ]
            following = {}
            for (boxes, ahead), (cost, so_far) in states.items():
                for k in sorted(ahead):
                    then, more = _after(boxes, parcels[level[k][0]].boxes)
                    key = (then, ahead - {k})
                    candidate = ((cost[0] + more[0], cost[1] + more[1]), (*so_far, level[k]))
                    if key not in following or candidate < following[key]:
                        following[key] = candidate
            kept = sorted(following.items(), key=lambda item: item[1])[:MAX_STATES]
            states = dict(kept)
        held = {boxes: best for (boxes, _), best in states.items()}
    return min(held.values())[1]


def _after(held: _Held, boxes: Sequence[BoxBudget]) -> tuple[_Held, tuple[int, int]]:
    """What boxes are set for after a parcel, and how many were emptied and set again for it."""
    now = dict(held)
    n_emptied = n_reset = 0
    for box in boxes:
        wanted, before = set_for(box), now.get(box.box)
        if before is not None:
            n_emptied += before[0] != wanted[0]
            n_reset += before != wanted
        now[box.box] = wanted
    return tuple(sorted(now.items())), (n_emptied, n_reset)


def _nearer(
    parcels: Sequence[SeedBudget],
    order: tuple[int, ...],
    priorities: Sequence[int | None],
    away_m: Callable[[int, int], float],
) -> tuple[int, ...]:
    """The order with runs of it moved or turned round as long as that shortens the way and adds no change.

    Of an order and its reverse that are as good, the one that begins nearer to the beginning of the file.
    """
    fewest, way_m = _cost(parcels, order), _way_m(order, away_m)

    def may_be(other: tuple[int, ...]) -> bool:
        levels = [_level(priorities[i]) for i in other]
        return levels == sorted(levels) and _cost(parcels, other) <= fewest

    improved = len(order) <= MAX_MOVED
    while improved:
        improved = False
        for other in _moved(order):
            shorter_m = _way_m(other, away_m)
            if shorter_m < way_m - _ALIKE_M and may_be(other):
                order, way_m, improved = other, shorter_m, True
                break
    turned = order[::-1]
    as_good = turned < order and abs(_way_m(turned, away_m) - way_m) <= _ALIKE_M and may_be(turned)
    return turned if as_good else order


def _way_m(order: Sequence[int], away_m: Callable[[int, int], float]) -> float:
    return sum(away_m(here, there) for here, there in pairwise(order))


def _moved(order: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """The order with each run of it turned round, or taken out and put in elsewhere."""
    n = len(order)
    for start in range(n):
        for end in range(start + 1, n + 1):
            run, rest = order[start:end], order[:start] + order[end:]
            yield order[:start] + run[::-1] + order[end:]
            for at in range(len(rest) + 1):
                if at != start:
                    yield rest[:at] + run + rest[at:]
