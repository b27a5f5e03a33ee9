"""Fields that lie far from the others, or from the place given: a question, with the slip that would
explain it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product

import numpy as np
import numpy.typing as npt

from fieldplan.boundary.acreage import distance_m
from fieldplan.boundary.slips import SLIPS, Slip
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import Problem, problem
from fieldplan.facts import Fact, fact

FAR_APART_M = 100_000.0
"""Fields of one job farther than this from every other are asked about."""
FAR_FROM_HOME_M = 500_000.0
"""Fields farther than this from the place given with ``--near`` are asked about."""
MAX_QUESTIONS = 20
_AT_ONCE = 2_000
_EQUATOR_M, _SQUASHED = 6_378_137.0, 0.0066943799901413165
"""Of WGS84: the radius of the equator and the first eccentricity squared."""
Points = npt.NDArray[np.float64]
Place = tuple[float, float]


def doubtful_places(
    places: Sequence[tuple[str, Place]], terms: ReadingTerms, file_label: str
) -> list[Problem]:
    """Questions about fields that lie far from the others, or from the place given.

    Fields within `FAR_APART_M` of each other belong together, however long the row of them. The largest
    such group (or the one nearest to the place given) is taken to be right; every other is asked about,
    unless ``terms.place_is_right``.

    Parameters
    ----------
    places
        Pairs of a field's id and a point of it (longitude, latitude).
    """
    if not places or terms.place_is_right:
        return []
    lonlat = np.array([place for _, place in places])
    group = groups(_in_space(lonlat), FAR_APART_M)
    sizes = np.bincount(group)
    if terms.near is not None:
        from_near_m = _away_m(lonlat, np.array([terms.near]))
        home = int(group[from_near_m.argmin()])
        beyond = from_near_m > FAR_FROM_HOME_M
    else:
        home, beyond = int(sizes.argmax()), np.zeros(len(places), dtype=bool)
    problems = []
    for one in range(len(sizes)):
        own = np.flatnonzero(group == one)
        if beyond[own].any() and terms.near is not None:
            own = own[beyond[own]]
            problems.append(
                _question(
                    file_label, places, own, np.array([terms.near]), FAR_FROM_HOME_M, fact("from-what/near")
                )
            )
        elif one != home:
            to = lonlat[group == home]
            problems.append(_question(file_label, places, own, to, FAR_APART_M, fact("from-what/others")))
            if sizes[one] == sizes[home] and terms.near is None:
                problems[-1] = _either(problems[-1], places, np.flatnonzero(group == home), lonlat[own])
        if len(problems) == MAX_QUESTIONS:
            break
    return problems


def groups(points: Points, reach_m: float) -> npt.NDArray[np.int64]:
    """The number of the group that each point belongs to: points within reach of each other, however long
    the chain of them.

    Groups are numbered in the order of their first points. Points are sorted into cells so small that all
    in one cell are within reach, and only cells within reach of each other are compared.
    """
    cells, cell = np.unique(
        np.floor(points / (reach_m / 3**0.5)).astype(np.int64), axis=0, return_inverse=True
    )
    cell = cell.reshape(-1)
    number = {tuple(one): k for k, one in enumerate(cells.tolist())}
    order = np.argsort(cell, kind="stable")
    members = np.split(order, np.cumsum(np.bincount(cell))[:-1])
    root = list(range(len(cells)))

    def top(k: int) -> int:
        while root[k] != k:
            root[k] = root[root[k]]
            k = root[k]
        return k

    for (x, y, z), k in number.items():
        for dx, dy, dz in _AHEAD:
            other = number.get((x + dx, y + dy, z + dz))
            if other is None or top(other) == top(k):
                continue
            if _within(points[members[k]], points[members[other]], reach_m):
                root[top(other)] = top(k)
    tops = np.array([top(k) for k in range(len(cells))])[cell]
    _, first, which = np.unique(tops, return_index=True, return_inverse=True)
    return np.argsort(np.argsort(first))[which.reshape(-1)]


_AHEAD = [step for step in product(range(-2, 3), repeat=3) if step > (0, 0, 0)]


def _within(one: Points, other: Points, reach_m: float) -> bool:
    """Whether any two points are within reach; of very many, those nearest to the middle of the others are
    looked at.
    """
    near = [_nearest_to(a, b.mean(axis=0)) for a, b in ((one, other), (other, one))]
    return bool((np.linalg.norm(near[0][:, None] - near[1][None], axis=2) <= reach_m).any())


def _nearest_to(points: Points, middle: Points) -> Points:
    if len(points) <= _AT_ONCE // 4:
        return points
    nearest: Points = points[
        np.argpartition(np.linalg.norm(points - middle, axis=1), _AT_ONCE // 4)[: _AT_ONCE // 4]
    ]
    return nearest


def _in_space(lonlat: Points) -> Points:
    """Places in metres from the middle of the Earth, where the straight way is the distance to a metre in
    100 km.
    """
    lon, lat = np.radians(lonlat).T
    across = _EQUATOR_M / np.sqrt(1 - _SQUASHED * np.sin(lat) ** 2)
    return np.column_stack(
        [
            across * np.cos(lat) * np.cos(lon),
            across * np.cos(lat) * np.sin(lon),
            across * (1 - _SQUASHED) * np.sin(lat),
        ]
    )


def _away_m(places: Points, targets: Points) -> Points:
    """How far each place is from the nearest target, straight through the Earth, which is right where it is
    near.
    """
    here, there = _in_space(places), _in_space(targets)
    rows = max(1, _AT_ONCE**2 // len(there))
    return np.concatenate(
        [
            np.linalg.norm(here[i : i + rows, None] - there[None], axis=2).min(axis=1)
            for i in range(0, len(here), rows)
        ]
    )


def _question(
    file_label: str,
    places: Sequence[tuple[str, Place]],
    own: npt.NDArray[np.int64],
    home: Points,
    reach_m: float,
    from_what: Fact,
) -> Problem:
    field_id, place = places[int(own[0])]
    nearest = home[np.linalg.norm(_in_space(home) - _in_space(np.array([place])), axis=1).argmin()]
    slip, why = _slip(place, home, reach_m)
    return problem(
        "axes-in-doubt/field"
        if slip and slip.swapped
        else "far-from-home"
        if reach_m == FAR_FROM_HOME_M
        else "field-far",
        file=file_label,
        field=field_id,
        beside=fact("with-more", n_more=len(own) - 1) if len(own) > 1 else "",
        place_lonlat=place,
        away_m=distance_m(place, (float(nearest[0]), float(nearest[1]))),
        from_what=from_what,
        slip=why,
    )


def _either(
    asked: Problem, places: Sequence[tuple[str, Place]], own: npt.NDArray[np.int64], others: Points
) -> Problem:
    """The question, where no group of fields is larger: the fault may as well lie with the other."""
    field_id, place = places[int(own[0])]
    slip, why = _slip(place, others, FAR_APART_M)
    if slip is None:
        return asked
    return replace(
        asked,
        values={
            **asked.values,
            "or_else": fact("or-else-field", field=field_id, place_lonlat=place, slip=why),
        },
    )


def _slip(place: Place, home: Points, reach_m: float) -> tuple[Slip | None, Fact]:
    """The usual slip that would bring a place within reach of where it should be, and what to say of it."""
    for slip, moved in _moved(place):
        if _away_m(np.array([moved]), home)[0] <= reach_m:
            return slip, fact("belongs/near", slip=slip.what, place_lonlat=moved)
    return None, fact("belongs/nowhere")


def _moved(place: Place) -> Iterator[tuple[Slip, Place]]:
    for slip in SLIPS:
        lon, lat = slip.undone(*place)
        if abs(lat) <= 90:
            yield slip, (lon, lat)
