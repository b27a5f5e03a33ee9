"""Where the boxes are filled again: at pass ends, in the least time, before a box falls below its minimum.

A box that is swept at the end may fall below its minimum level only when it already holds all that is still
to be sown of its contents.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from shapely import LineString, Point

from fieldplan.model.budget import BoxBudget
from fieldplan.model.coverage import Array, Leg, LegKind, SeedStand
from fieldplan.model.notes import Note
from fieldplan.model.work import Refill, SeedSupply
from fieldplan.plane.travel import stretch
from fieldplan.work.stops import Pace, Stops, Way, second_stand, stands_in_parts, stops_for

ROUNDING_KG = 1e-9
"""A load is nothing below this: what is left of a difference of equal numbers."""


def supply(
    field_id: str,
    legs: tuple[Leg, ...],
    boxes: Sequence[BoxBudget],
    width_m: float,
    stands: Sequence[SeedStand],
    *,
    pace: Pace,
    places: Callable[[], Sequence[SeedStand]] = tuple,
    beside: Callable[[Point], Sequence[SeedStand]] | None = None,
    in_boxes_m3: Mapping[str, float],
    later_m3: Mapping[str, float] | None = None,
) -> SeedSupply:
    """The route with a trip to the seed and back at each stop where the boxes must be filled.

    All boxes are filled together. Each gets what it sows until the next stop plus what it should keep then,
    less what it already holds. It keeps its minimum level or, if it is swept, no more than is still to be
    sown. Of all choices of stops in which no box falls below that, the one with the least time for driving
    and filling is taken. A sown leg that takes more than a whole fill is split into equal parts, with a
    note, because no plan avoids a stop in the middle of it.

    Parameters
    ----------
    legs
        The route without stops.
    boxes
        The boxes that sow on this field.
    width_m
        Effective width: sown length × width is the ground that takes seed.
    stands
        Where the seed stands, in the plane of the route; none if a vehicle with the seed meets the drill
        wherever it stops.
    pace
        Time of a stop, and how fast the drill is driven there and back.
    places
        Where else seed could stand.
    beside
        Where it could stand beside the part of the field in which a place lies; if given, seed stands beside
        each part from which trips would lead outside the field.
    in_boxes_m3
        What each box holds of the same contents from the field before.
    later_m3
        What each box will sow of the same contents on later fields.

    Returns
    -------
    SeedSupply
        The route with stops, the loads of each box, and what is left in the boxes.
    """
    if not boxes:
        return SeedSupply(legs=legs, first_load_kg={}, refills=(), notes=())
    fill_m2 = min(box.area_per_fill_m2 for box in boxes)
    route, n_split = _split_long(legs, fill_m2 / width_m)
    sown = [leg for leg in route if leg.sown]
    areas = np.array([leg.length_m * width_m for leg in sown])
    later = later_m3 or {}
    done_m2 = np.concatenate([[0.0], np.cumsum(areas)])
    keeps_m3 = {box.box: _keeps_m3(box, done_m2, later.get(box.box, 0.0)) for box in boxes}
    # ground that a full load of the scarcest box may have sown by the end of each sown leg
    max_m2 = np.min(
        [(box.working_m3 + box.min_m3 - keeps_m3[box.box]) / box.volume_m3_per_m2 for box in boxes],
        axis=0,
    )
    way = Way.of(route, done_m2, max_m2, pace)
    if beside is None or not stands:
        stops = stops_for(way, stands)
    else:
        stands, stops = stands_in_parts(way, stands, beside)
    bounds = [0, *(stop + 1 for stop in stops.after), len(sown)]
    loads = [_load_kg(boxes, done_m2, keeps_m3, start, end) for start, end in pairwise(bounds)]
    placed, refills = _place(route, stops, loads[1:], stands)
    notes = tuple(_notes(field_id, n_split, route, placed))
    kept_kg = {
        box.box: (float(keeps_m3[box.box][0]) - in_boxes_m3.get(box.box, 0.0)) * box.load_kg_per_m3
        for box in boxes
    }
    return SeedSupply(
        legs=placed,
        first_load_kg={name: max(0.0, kg + kept_kg[name]) for name, kg in loads[0].items()},
        refills=refills,
        left_kg={box.box: float(keeps_m3[box.box][-1]) * box.load_kg_per_m3 for box in boxes},
        stands=tuple(stand.at for stand in stands),
        second=second_stand(way, stands, places, stops),
        notes=notes,
    )


def _notes(field_id: str, n_split: int, route: Sequence[Leg], placed: Sequence[Leg]) -> Iterator[Note]:
    if n_split:
        yield Note(code="box-empties-in-pass", field_id=field_id, values={"n_stretches": n_split})
    outside = [leg for leg in placed if leg.shape == "outside"]
    driven = {id(leg) for leg in route} if outside else set()
    n_outside = sum(id(leg) not in driven for leg in outside)
    if n_outside:
        values = {"n_outside": n_outside}
        yield Note(code="route-outside", case="seed", field_id=field_id, warning=True, values=values)


def _keeps_m3(box: BoxBudget, done_m2: Array, later_m3: float) -> Array:
    """What a box should hold before the first and after each sown leg: shape (n + 1,)."""
    still_to_sow_m3 = (done_m2[-1] - done_m2) * box.volume_m3_per_m2 + later_m3
    return np.array([box.keeps_m3(float(volume_m3)) for volume_m3 in still_to_sow_m3])


def _load_kg(
    boxes: Sequence[BoxBudget], done_m2: Array, keeps_m3: Mapping[str, Array], start: int, end: int
) -> dict[str, float]:
    """What is poured into each box to sow the legs from ``start`` to ``end`` and then hold what it should.

    It is what these legs sow plus the change of what the box should keep: nothing where these are the same.
    """
    load_kg = {
        box.box: float(done_m2[end] - done_m2[start]) * box.load_kg_per_m2
        + float(keeps_m3[box.box][end] - keeps_m3[box.box][start]) * box.load_kg_per_m3
        for box in boxes
    }
    return {box: kg if abs(kg) > ROUNDING_KG else 0.0 for box, kg in load_kg.items()}


def _split_long(legs: tuple[Leg, ...], longest_m: float) -> tuple[list[Leg], int]:
    """The route with each sown leg longer than a fill cut into equal parts, and how many were cut."""
    if not any(leg.length_m > longest_m and leg.sown for leg in legs):
        return list(legs), 0
    route: list[Leg] = []
    n_cut = 0
    for leg in legs:
        parts = math.ceil(leg.length_m / longest_m - 1e-9) if leg.sown else 1
        if parts <= 1:
            route.append(leg)
            continue
        n_cut += 1
        length = leg.line.length
        for k in range(parts):
            line = stretch(leg.line, length * k / parts, length * (k + 1) / parts)
            route.append(replace(leg, line=line, length_m=leg.length_m / parts))
    return route, n_cut


def _place(
    route: Sequence[Leg], stops: Stops, loads_kg: Sequence[dict[str, float]], stands: Sequence[SeedStand]
) -> tuple[tuple[Leg, ...], tuple[Refill, ...]]:
    """The route with stops after some of its sown legs.

    A stop replaces what followed by a path to the seed, the stop, and a path to the next sown leg; where the
    seed comes to the drill, the stop alone is put in.
    """
    if not stops.after:
        return tuple(route), ()
    legs: list[Leg] = []
    refills: list[Refill] = []
    load_after = dict(zip(stops.after, loads_kg, strict=True))
    trip_after = dict(zip(stops.after, stops.trips, strict=False))
    n_sown, away = -1, False
    for leg in route:
        if not leg.sown and away:
            continue
        legs.append(leg)
        n_sown, away = n_sown + leg.sown, False
        if not leg.sown or n_sown not in load_after:
            continue
        trip, end = trip_after.get(n_sown), Point(leg.line.coords[-1])
        at = end if trip is None else stands[trip.stand].at
        if trip is not None:
            legs.append(replace(trip.to_seed, sowing=leg.sowing))
        legs.append(_lifted("refill", LineString([at, at]), leg))
        refills.append(
            Refill(stop=len(refills) + 1, leg=len(legs), sowing_stops_at=end, load_kg=load_after[n_sown])
        )
        if trip is not None:
            legs.append(replace(trip.from_seed, sowing=leg.sowing))
            away = True
    return tuple(legs), tuple(refills)


def _lifted(kind: LegKind, line: LineString, near: Leg) -> Leg:
    return replace(near, kind=kind, line=line, length_m=float(line.length), block=0, number=0)
