"""After which sown legs of a route to stop for seed, and how the drill gets there and back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Point

from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.stops import quickest_stops, seed_from_s, straight_trips_s
from fieldplan.model.coverage import Array, Leg, SeedStand
from fieldplan.model.work import SecondStand
from fieldplan.plane.ragged import begins, ends

MAX_PARTS = 20
"""Further stands, one for each part of a field that the drill cannot reach without leaving it."""
MIN_STOPS = 2
OUTSIDE_S = 3600.0
"""A trip that leads outside the field is taken only where every other one takes so much longer."""
SAVES_S = 1200.0
"""A second stand that saves less is not worth a word: somebody has to set it up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """Speed of driving lifted, what each turn takes besides, and the time of a stop."""

    speed_m_per_s: float
    turn_extra_s: float
    refill_s: float

    def lifted_s(self, leg: Leg) -> float:
        """How long a turn or a transfer takes."""
        extra_s = self.turn_extra_s if leg.kind == "turn" else 0.0
        return (leg.drive_s or leg.length_m / self.speed_m_per_s) + extra_s


@dataclass(frozen=True, slots=True)
class Trip:
    """A trip to a stand and back to the next sown leg."""

    stand: int
    to_seed: Leg
    from_seed: Leg

    @property
    def outside(self) -> bool:
        """Whether it leads outside the field."""
        return "outside" in (self.to_seed.shape, self.from_seed.shape)


@dataclass(frozen=True, slots=True)
class Stops:
    """After which of the sown legs to stop, the trips, none where seed follows, and the time of all that.

    The time is less what is driven from one leg to the next where there is no stop.
    """

    after: tuple[int, ...]
    trips: tuple[Trip, ...]
    spent_s: float


@dataclass(frozen=True, slots=True)
class Way:
    """A route, and what the boxes allow on it.

    Parameters
    ----------
    sown
        The n legs that take seed, in driving order.
    joined_s
        (n,) time from each to the next; 0 from the last one.
    done_m2, max_m2
        (n + 1,) ground sown before the first and after each of them, and the most that one fill may have sown
        by then.
    leave, enter
        Where each sown leg but the last is left, and where the next is entered, (n - 1, 2) each.
    """

    sown: Sequence[Leg]
    joined_s: Array
    done_m2: Array
    max_m2: Array
    pace: Pace
    leave: Array
    enter: Array

    @classmethod
    def of(cls, route: Sequence[Leg], done_m2: Array, max_m2: Array, pace: Pace) -> Way:
        """Those of a route."""
        sown = [leg for leg in route if leg.sown]
        points, line_of = shapely.get_coordinates([leg.line for leg in sown], return_index=True)
        leave, enter = numbers(points[ends(line_of)][:-1]), numbers(points[begins(line_of)][1:])
        return cls(sown, _joined_s(route, pace), done_m2, max_m2, pace, leave, enter)


def stops_for(way: Way, stands: Sequence[SeedStand]) -> Stops:
    """The stops that take the least time with no box too low.

    No trip is shorter than straight, so the time of stops with straight trips is a lower bound. The trips of
    the best ones are found, and the stops chosen again, until all trips of the best ones are known.

    Parameters
    ----------
    stands
        Where seed stands; a trip goes to the quickest. Empty if seed follows the drill.
    """
    stop_s = way.pace.refill_s - way.joined_s
    if not stands:
        spent_s, after = quickest_stops(way.done_m2, way.max_m2, np.full(len(stop_s), way.pace.refill_s))
        return Stops(tuple(after.tolist()), (), spent_s)
    trips_s = _straight_s(way, stands)
    known: dict[tuple[int, int], Trip] = {}
    while True:
        each_s = stop_s + np.append(trips_s.min(axis=0), 0.0)
        spent_s, after = quickest_stops(way.done_m2, way.max_m2, each_s)
        wanted = list(zip(trips_s[:, after].argmin(axis=0).tolist(), after.tolist(), strict=True))
        lacking = [one for one in wanted if one not in known]
        if not lacking:
            trips = tuple(known[one] for one in wanted)
            spent_s -= OUTSIDE_S * sum(trip.outside for trip in trips)
            return Stops(tuple(after.tolist()), trips, spent_s)
        new = _found(way.sown, lacking, stands)
        known |= new
        for one, trip in new.items():
            trips_s[one] = way.pace.lifted_s(trip.to_seed) + way.pace.lifted_s(trip.from_seed)
            trips_s[one] += OUTSIDE_S * trip.outside


def best_place(
    way: Way, stands: Sequence[SeedStand], places: Sequence[SeedStand]
) -> tuple[SeedStand, float]:
    """The place of all these where one more stand of seed saves most, and the time of stops with it, if all trips
    were straight.
    """
    xy = shapely.get_coordinates([place.at for place in places])
    own = np.tile(shapely.get_coordinates([stand.at for stand in stands]), (len(places), 1, 1))
    sets = numbers(np.concatenate([own, xy[:, None]], axis=1))
    pace = way.pace
    each_s = seed_from_s(
        sets,
        way.leave,
        way.enter,
        way.done_m2,
        way.max_m2,
        way.joined_s[:-1],
        pace.refill_s,
        pace.speed_m_per_s,
    )
    return places[int(each_s.argmin())], float(each_s.min())


def second_stand(
    way: Way, stands: Sequence[SeedStand], places: Callable[[], Sequence[SeedStand]], stops: Stops
) -> SecondStand | None:
    """The place of all these where one more stand of seed saves most, if that is worth setting one up."""
    if not stands or len(stops.after) < MIN_STOPS or stops.spent_s - _at_hand_s(way) < SAVES_S:
        return None
    found = places()
    if not found:
        return None
    place, least_s = best_place(way, stands, found)
    if stops.spent_s - least_s < SAVES_S:
        return None
    both = stops_for(way, [*stands, place])
    n_there = sum(trip.stand == len(stands) for trip in both.trips)
    saved_s = stops.spent_s - both.spent_s
    return SecondStand(at=place.at, saved_s=saved_s, n_stops=n_there) if saved_s >= SAVES_S else None


def _at_hand_s(way: Way) -> float:
    """Time of the stops if seed stood wherever the drill stops, which no stand can better."""
    least_s, _ = quickest_stops(way.done_m2, way.max_m2, way.pace.refill_s - way.joined_s)
    return float(least_s)


def stands_in_parts(
    way: Way, stands: Sequence[SeedStand], beside: Callable[[Point], Sequence[SeedStand]]
) -> tuple[Sequence[SeedStand], Stops]:
    """The stands and, where trips lead outside the field, one more beside each part to which they lead; the stops."""
    stops = stops_for(way, stands)
    for _ in range(MAX_PARTS):
        outside = [after for after, trip in zip(stops.after, stops.trips, strict=False) if trip.outside]
        if not outside:
            break
        end = Point(way.sown[outside[0]].line.coords[-1])
        more = [*stands, best_place(way, stands, beside(end))[0]]
        other = stops_for(way, more)
        if sum(trip.outside for trip in other.trips) >= len(outside):
            break
        stands, stops = more, other
    return stands, stops


def _straight_s(way: Way, stands: Sequence[SeedStand]) -> Array:
    """Time of a straight trip to each stand after each sown leg but the last, (s, n - 1)."""
    places = numbers(shapely.get_coordinates([stand.at for stand in stands]))
    m_per_s = way.pace.speed_m_per_s
    return np.array([straight_trips_s(place[None, :], way.leave, way.enter, m_per_s) for place in places])


def _joined_s(route: Sequence[Leg], pace: Pace) -> Array:
    """Time from each sown leg to the next: shape (n,); from the last one it is nothing."""
    joined_s: list[float] = []
    for leg in route:
        if leg.sown:
            joined_s.append(0.0)
        elif joined_s:
            joined_s[-1] += pace.lifted_s(leg)
    joined_s[-1] = 0.0
    return np.array(joined_s)


def _found(
    sown: Sequence[Leg], wanted: Sequence[tuple[int, int]], stands: Sequence[SeedStand]
) -> dict[tuple[int, int], Trip]:
    """The trips to some stands after some sown legs."""
    found: dict[tuple[int, int], Trip] = {}
    for number, stand in enumerate(stands):
        own = [stop for at, stop in wanted if at == number]
        if not own:
            continue
        there = stand.to_seed([sown[stop].line for stop in own])
        back = stand.from_seed([sown[stop + 1].line for stop in own])
        found |= {(number, stop): Trip(number, *ways) for stop, *ways in zip(own, there, back, strict=True)}
    return found
