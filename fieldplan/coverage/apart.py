"""Parts of a field between which no way leads that is as wide as the drill needs: each is visited as rarely as may be."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import shapely
from shapely import MultiPolygon, Point

from fieldplan.coverage.room import InsideFence, clearance_m
from fieldplan.model.coverage import Array, HeadlandRound, IntArray, LegKind, Lines, Sowing
from fieldplan.plane.offsets import offset, polygons_of

POCKETS_FRAC = 0.0005
"""Nobody leaves the field, through a fence, for parts that are no more than this share of it, all together."""


class Visit(NamedTuple):
    """The headland of a part of the field, or its passes: ``part`` is what of a sowing, counted from 1, lies there."""

    number: int
    part: Sowing
    kind: LegKind


def orders_of_visits(
    sowings: Sequence[Sowing], kinds: tuple[LegKind, LegKind], room: InsideFence, here: Array | None
) -> list[list[Visit]]:
    """Orders in which the parts may be driven: one after the other, the nearest next; or the others before the first
    one or between its headland and its passes. None of them leads out of a part more often than another.

    Parameters
    ----------
    kinds
        What is sown first on each part, and what then.
    here
        (2,) where the drill comes from; if ``None``, the largest part is the first.
    """
    orders: list[list[Visit]] = [[], [], []]
    for number, sowing in enumerate(sowings, start=1):
        parts = _parts_in_turn(sowing, room, here)
        own, others = (
            [Visit(number, part, kind) for part, kind in itertools.product(some, kinds)]
            for some in (parts[:1], parts[1:])
        )
        for order, visits in zip(
            orders, (own + others, own[:1] + others + own[1:], others + own), strict=True
        ):
            order += visits
    return orders if len(orders[0]) > len(kinds) * len(sowings) else orders[:1]


def pockets_of(room: InsideFence, gate_xy: Array | None) -> MultiPolygon:
    """The ground of the parts that are too small to leave the largest for, but for one to which the gate, (2,), opens."""
    parts = shapely.get_parts(room.clear)
    if len(parts) < 2:
        return MultiPolygon()
    parts = parts[shapely.area(parts).argsort(kind="stable")][:-1]
    if gate_xy is not None:
        parts = parts[~shapely.dwithin(parts, Point(gate_xy), room.opening_m)]
    if len(parts) == 0:
        return MultiPolygon()
    grounds = offset(parts, clearance_m(room.rig))
    small = shapely.area(grounds).cumsum() <= POCKETS_FRAC * room.ground.area
    return polygons_of(shapely.union_all(grounds[small]))


def not_within(pockets: MultiPolygon, rounds: Sequence[HeadlandRound]) -> tuple[HeadlandRound, ...]:
    """Those of headland rounds that do not lie in pockets altogether."""
    if pockets.is_empty:
        return tuple(rounds)
    return tuple(one for one in rounds if not shapely.covers(pockets, one.segments.lines).all())


def _parts_in_turn(sowing: Sowing, room: InsideFence, here: Array | None) -> list[Sowing]:
    """What is sown on each part, as a sowing of its own."""
    if len(room.clear.geoms) < 2:
        return [sowing]
    parts = np.asarray(room.clear.geoms, dtype=object)
    round_on = _nearest(parts, [one.segments.lines[0] for one in sowing.headland])
    block_on = _nearest(parts, [block.runs.lines[0] for block in sowing.blocks])
    sown_on = np.union1d(round_on, block_on)
    if len(sown_on) < 2:
        return [sowing]
    return [
        replace(
            sowing,
            headland=tuple(sowing.headland[i] for i in (round_on == part).nonzero()[0]),
            blocks=tuple(sowing.blocks[i] for i in (block_on == part).nonzero()[0]),
        )
        for part in sown_on[_in_turn(parts[sown_on], here)]
    ]


def _nearest(parts: Lines, lines: Sequence[shapely.LineString]) -> IntArray:
    """The part on which each line begins, (n,)."""
    starts = shapely.get_point(np.array(lines, dtype=object), 0)
    return np.asarray(shapely.STRtree(parts).nearest(starts), dtype=np.int64)


def _in_turn(parts: Lines, here: Array | None) -> list[int]:
    """Indices of the parts, (n,), the nearest to the last one next."""
    first = shapely.area(parts).argmax() if here is None else shapely.distance(parts, Point(here)).argmin()
    order, ahead = [int(first)], [i for i in range(len(parts)) if i != first]
    while ahead:
        away_m = shapely.distance(parts[ahead], parts[order[-1]])
        order.append(ahead.pop(int(away_m.argmin())))
    return order
