"""The route from gate to gate: headland, passes, turns and transfers in one order.

Routes are compared by numbers; legs with their lines are drawn for one that is kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from shapely import Point

from fieldplan.coverage.gate import SownLines, likely_gates
from fieldplan.coverage.layout import Layout
from fieldplan.coverage.lifted import Lifted, lifted_between, lifted_s
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.tracks import Tracks, orders_of, tracks_of
from fieldplan.coverage.transfers import transfers_at
from fieldplan.model.coverage import SOWING_KINDS, Array, Leg, LegKind, Sowing


@dataclass(frozen=True)
class Route:
    """Sown lines in driving order, and what is driven lifted before each and after the last one.

    Parameters
    ----------
    begun_near
        (2,) the place near which sowing was to begin, ``None`` if that was the gate, or the first segment.
    order
        In which of the orders of `orders_of_visits` parts are driven.
    """

    tracks: Tracks
    lifted: Lifted
    gate: Point
    rig: Rig
    begun_near: Array | None = None
    order: int = 0

    @property
    def sown(self) -> SownLines:
        """Poses and lengths of the sown lines."""
        return self.tracks.sown

    @cached_property
    def drive_s(self) -> float:
        """Time to drive it: see `route_s`."""
        sown_s = self.tracks.length_m / self.rig.field_speed_m_per_s
        each_s = np.append(np.column_stack([self.lifted_s[:-1], sown_s]).ravel(), self.lifted_s[-1])
        return float(sum(each_s.tolist()))

    @cached_property
    def lifted_s(self) -> Array:
        """Time of what is driven before each sown line, and after the last one, (n + 1,)."""
        return self.lifted.driven_s(self.rig)

    @cached_property
    def legs(self) -> tuple[Leg, ...]:
        """Its legs in driving order, with their lines."""
        return tuple(_legs(self.tracks, self.lifted.legs()))


def route(
    layout: Layout, sowings: tuple[Sowing, ...], rig: Rig, begun_near: Array | None = None, order: int = 0
) -> Route:
    """The route through all sowings, from the gate and back to it.

    Without a gate it is the corner of the outline from which this order takes about the least time.

    Parameters
    ----------
    sowings
        At least one of them must have a swath.
    begun_near
        (2,) where sowing starts; by default near the gate or, without one, at the first segment.
    """
    tracks, gate = tracks_of(layout, sowings, rig, begun_near, order), layout.site.gate
    if gate is None:
        gate = Point(likely_gates(layout, tracks.sown)[0])
    return Route(tracks, lifted_between(layout, tracks, gate, rig), gate, rig, begun_near, order)


def in_other_orders(
    layout: Layout, sowings: tuple[Sowing, ...], rig: Rig, driven: Route
) -> Iterator[Route]:
    """A route with the parts of the field in other orders; none where it has one part."""
    for order in range(len(orders_of(layout, sowings, driven.begun_near))):
        if order != driven.order:
            yield route(layout, sowings, rig, driven.begun_near, order)


def in_searched_order(layout: Layout, sowings: tuple[Sowing, ...], rig: Rig, driven: Route) -> Route:
    """A route with its passes in the order that the turns which fit take the least time in, as far as found."""
    tracks = tracks_of(layout, sowings, rig, driven.begun_near, driven.order, searched_to=driven.gate)
    if np.array_equal(tracks.enter, driven.tracks.enter):
        return driven
    return replace(driven, tracks=tracks, lifted=lifted_between(layout, tracks, driven.gate, rig))


def sown_in_order(layout: Layout, sowings: tuple[Sowing, ...], rig: Rig, begun_near: Array) -> SownLines:
    """The sown lines of a route that is begun near a place, (2,)."""
    return tracks_of(layout, sowings, rig, begun_near).sown


def from_gate(layout: Layout, driven: Route, gate: Point) -> Route:
    """The same route with another gate."""
    sown, at_gate = driven.sown, np.array([[gate.x, gate.y, np.nan]])
    into, out = transfers_at(layout.room, at_gate[0, :2]).between(
        np.concatenate([at_gate, sown.leave[-1:]]), np.concatenate([sown.enter[:1], at_gate])
    )
    return replace(driven, lifted=driven.lifted.at_gate(into, out), gate=gate)


def route_s(legs: Sequence[Leg], rig: Rig) -> float:
    """Time to drive a route: Σ sown length / field speed + Σ lifted length / turning speed + time per turn.

    The time per turn is `Rig.turn_extra_s`, once for each turn.
    """
    return sum(leg_s(leg, rig) for leg in legs)


def leg_s(leg: Leg, rig: Rig) -> float:
    """Time to drive a leg: see `route_s`."""
    if leg.sown:
        return leg.length_m / rig.field_speed_m_per_s
    return lifted_s(leg.kind, leg.length_m, leg.drive_s, rig)


def _legs(tracks: Tracks, lifted: dict[int, Leg]) -> Iterator[Leg]:
    """The sown lines with what leads to each, and home."""
    columns = (
        column.tolist()
        for column in (tracks.column, tracks.length_m, tracks.block, tracks.sowing, tracks.over_gap)
    )
    numbers: dict[LegKind, int] = dict.fromkeys(SOWING_KINDS, 0)
    each = zip(tracks.lines, *columns, strict=True)
    for i, (line, column, length_m, block, sowing, over_gap) in enumerate(each):
        kind: LegKind = "headland" if column < 0 else "pass"
        if i in lifted:
            yield lifted[i]
        numbers[kind] += int(not over_gap)
        yield Leg(kind=kind, line=line, length_m=length_m, block=block, sowing=sowing, number=numbers[kind])
    if len(tracks.laid) in lifted:
        yield lifted[len(tracks.laid)]
