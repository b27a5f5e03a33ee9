"""Where a route begins: near which corner and, if no gate is given, which corner stands for the gate.

Likely ones are found by straight ways; their ways in and out and their trips to the seed are then driven.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely
from shapely import Point

from fieldplan.coverage.gate import (
    SAVES_FRAC,
    Gaps,
    SownLines,
    corners_of,
    from_gates_s,
    likely_gates,
    one_fill,
)
from fieldplan.coverage.layout import Layout
from fieldplan.coverage.route import Route, from_gate, in_other_orders, route, sown_in_order
from fieldplan.coverage.transfers import transfers_at
from fieldplan.model.coverage import Sowing

N_STARTS = 4
"""Corners near which the order may begin."""
MIN_WAYS_FRAC, SLOW_TURN_S = 0.07, 45.0
"""Another start is driven, too, where ways, and what turns take beyond so much each, are this share of the time."""
_NEAR_M = 1.0
N_TRIPS = 8
"""About so many trips are driven; the others are as much longer than straight as these."""


def begun_elsewhere(layout: Layout, sowings: tuple[Sowing, ...], driven: Route) -> Route | None:
    """A route in plain order begun at another segment of the outer edge, the one that is quickest by straight ways;
    ``None`` where little of the time goes for ways.
    """
    rig, outer = layout.site.rig, [one.segments.lines for one in layout.rounds if one.round == 1]
    if not outer or _ways_s(driven) < MIN_WAYS_FRAC * driven.drive_s:
        return None
    lines = np.concatenate(outer)
    longest = np.argsort(-shapely.length(lines).round(2), kind="stable")[:N_STARTS]
    starts = shapely.get_coordinates(shapely.get_point(lines[longest], 0))
    own = driven.sown.enter[(driven.tracks.column < 0).argmax(), :2]
    starts = starts[np.hypot(*(starts - own).T) > _NEAR_M]
    if not len(starts):
        return None
    about_s = np.array([_about_s(layout, sown_in_order(layout, sowings, rig, start)) for start in starts])
    return route(layout, sowings, rig, starts[int(about_s.round(1).argmin())], driven.order)


def begun_best(layout: Layout, sowings: tuple[Sowing, ...], driven: Route) -> Route:
    """A route, or the same ground driven from another corner, or part by part in another order, where that is quicker
    with trips to the seed.
    """
    site, sown = layout.site, driven.sown
    each = [driven, *in_other_orders(layout, sowings, site.rig, driven)]
    if site.gate is None and not one_fill(site, sown):
        each += _begun_elsewhere(layout, sowings, driven, sown)
        each = [one for some in each for one in _with_gates(layout, some)]
    if len(each) == 1:
        return driven
    return min(each, key=lambda one: one.drive_s + _trips_s(layout, one))


def _ways_s(driven: Route) -> float:
    """What ways take, and turns beyond `SLOW_TURN_S`."""
    is_turn = driven.lifted.is_turn
    over_s = np.maximum(0.0, driven.lifted_s - SLOW_TURN_S)
    return float(np.where(is_turn, over_s, driven.lifted_s).sum())


def _begun_elsewhere(
    layout: Layout, sowings: tuple[Sowing, ...], driven: Route, sown: SownLines
) -> Iterator[Route]:
    """The route begun near another corner that saves most by straight ways, if it saves enough."""
    site = layout.site
    corners = corners_of(layout.around, N_STARTS)
    about_s = [_about_s(layout, sown_in_order(layout, sowings, site.rig, corner)) for corner in corners]
    best = int(np.argmin(about_s))
    if _about_s(layout, sown) - about_s[best] > SAVES_FRAC * driven.drive_s:
        yield route(layout, sowings, site.rig, corners[best])


def _about_s(layout: Layout, sown: SownLines) -> float:
    """Time of all that is driven lifted from the best gate, and of stops, if every way is straight."""
    site = layout.site
    between_m = np.hypot(*(sown.enter[1:] - sown.leave[:-1])[:, :2].T).sum()
    gate = likely_gates(layout, sown)[:1]
    return float(between_m / site.rig.turn_speed_m_per_s + from_gates_s(site, sown, gate)[0])


def _with_gates(layout: Layout, driven: Route) -> list[Route]:
    """A route from each of its likely gates."""
    gates = map(Point, likely_gates(layout, driven.sown))
    return [driven if gate == driven.gate else from_gate(layout, driven, gate) for gate in gates]


def _trips_s(layout: Layout, driven: Route) -> float:
    """Time of stops and trips to the seed, where straight trips are the quickest, with some of them driven."""
    site = layout.site
    seed = np.array((site.seed_at or driven.gate).coords[0])
    gaps = Gaps.of(site, driven.sown)
    stops = gaps.stops(seed, site)
    some = stops[:: max(1, math.ceil(len(stops) / N_TRIPS))]
    there = np.tile([*seed, np.nan], (len(some), 1))
    transfers = transfers_at(layout.room, seed)
    trips = transfers.between(gaps.leave[some], there) + transfers.between(there, gaps.enter[some])
    straight_s = gaps.trips_s(seed, site)
    longer_frac = sum(trip.drive_s for trip in trips) / max(straight_s[some].sum(), 1e-9)
    spent_s = longer_frac * straight_s[stops] + site.working.refill_time_s - gaps.joined_s[stops]
    return float(spent_s.sum())
