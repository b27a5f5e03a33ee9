"""Fields that lie far from the others or from the place given: a question, with the likely slip."""

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
"""Fields of one job that are farther than this from every other are asked about."""
FAR_FROM_HOME_M = 500_000.0
"""Fields farther than this from the place given with ``--near`` are asked about."""
MAX_QUESTIONS = 20
_AT_ONCE = 2_000
_EQUATOR_M, _ECCENTRICITY2 = 6_378_137.0, 0.0066943799901413165
"""Of WGS84: the radius of the equator, and the first eccentricity squared."""
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
        Pairs of a field's id and the longitude and latitude of a point in it.
    file_label
        The file as the user knows it, for the questions.

    Returns
    -------
    list
        At most `MAX_QUESTIONS` questions, in the order of the groups.
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
    for number in range(len(sizes)):
        members = np.flatnonzero(group == number)
        if beyond[members].any() and terms.near is not None:
            members, target = members[beyond[members]], np.array([terms.near])
            from_what = fact("from-what/near")
            problems.append(_question(file_label, places, members, target, FAR_FROM_HOME_M, from_what))
        elif number != home:
            target, from_what = lonlat[group == home], fact("from-what/others")
            asked = _question(file_label, places, members, target, FAR_APART_M, from_what)
            if sizes[number] == sizes[home] and terms.near is None:
                asked = _or_other_group(asked, places, np.flatnonzero(group == home), lonlat[members])
            problems.append(asked)
        if len(problems) == MAX_QUESTIONS:
            break
    return problems


def groups(points: Points, reach_m: float) -> npt.NDArray[np.int64]:
    """The number of the group that each point belongs to.

    Points within reach of each other are in one group, however long the chain of them. Points are sorted
    into cells so small that all in a cell are within reach, and only cells within reach of each other are
    compared.

    Parameters
    ----------
    points
        x, y and z in m, shape (n, 3).

    Returns
    -------
    ndarray
        Shape (n,); groups are numbered in the order of their first points.

    Examples
    --------
    >>> groups(np.array([[0.0, 0.0, 0.0], [9.0, 0.0, 0.0], [0.6, 0.0, 0.0], [1.2, 0.0, 0.0]]), 1.0).tolist()
    [0, 1, 0, 0]
    """
    if len(points) == 1:
        return np.zeros(1, dtype=np.int64)
    cells, cell = np.unique(
        np.floor(points / (reach_m / 3**0.5)).astype(np.int64), axis=0, return_inverse=True
    )
    cell = cell.reshape(-1)
    number = {tuple(corner): k for k, corner in enumerate(cells.tolist())}
    order = np.argsort(cell, kind="stable")
    members = np.split(order, np.cumsum(np.bincount(cell))[:-1])
    root = list(range(len(cells)))  # a union-find forest: each cell points toward the top of its group

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
    return np.argsort(np.argsort(first))[which.reshape(-1)]  # the rank of each group's first point


_AHEAD = [step for step in product(range(-2, 3), repeat=3) if step > (0, 0, 0)]
"""Steps to half of the cells around a cell: each pair of cells is compared once."""


def _within(first: Points, second: Points, reach_m: float) -> bool:
    """Whether any two points are within reach; of very many, only those nearest to the middle of the others
    are compared.
    """
    a, b = _nearest_to(first, second.mean(axis=0)), _nearest_to(second, first.mean(axis=0))
    return bool((np.linalg.norm(a[:, None] - b[None], axis=2) <= reach_m).any())


def _nearest_to(points: Points, middle: Points) -> Points:
    if len(points) <= _AT_ONCE // 4:
        return points
    order = np.argpartition(np.linalg.norm(points - middle, axis=1), _AT_ONCE // 4)
    nearest: Points = points[order[: _AT_ONCE // 4]]
    return nearest


def _in_space(lonlat: Points) -> Points:
    """Places in meters from the center of the Earth, shape (n, 3).

    A straight line between two of them is the distance on the ground, to within a meter in 100 km.
    """
    lon, lat = np.radians(lonlat).T
    across = _EQUATOR_M / np.sqrt(1 - _ECCENTRICITY2 * np.sin(lat) ** 2)
    return np.column_stack(
        [
            across * np.cos(lat) * np.cos(lon),
            across * np.cos(lat) * np.sin(lon),
            across * (1 - _ECCENTRICITY2) * np.sin(lat),
        ]
    )


def _away_m(places: Points, targets: Points) -> Points:
    """How far in m each place is from the nearest target, straight through the Earth, so right if near."""
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
    members: npt.NDArray[np.int64],
    home: Points,
    reach_m: float,
    from_what: Fact,
) -> Problem:
    """The question about the places whose numbers are ``members``, asked about the first of them."""
    field_id, place = places[int(members[0])]
    nearest = home[np.linalg.norm(_in_space(home) - _in_space(np.array([place])), axis=1).argmin()]
    slip, why = _slip(place, home, reach_m)
    far = "far-from-home" if reach_m == FAR_FROM_HOME_M else "field-far"
    return problem(
        "axes-in-doubt/field" if slip and slip.swapped else far,
        file=file_label,
        field=field_id,
        beside=fact("with-more", n_more=len(members) - 1) if len(members) > 1 else "",
        place_lonlat=place,
        away_m=distance_m(place, (float(nearest[0]), float(nearest[1]))),
        from_what=from_what,
        slip=why,
    )


def _or_other_group(
    asked: Problem, places: Sequence[tuple[str, Place]], members: npt.NDArray[np.int64], others: Points
) -> Problem:
    """The question where two groups are equally large: the other one may be in the wrong place instead."""
    field_id, place = places[int(members[0])]
    slip, why = _slip(place, others, FAR_APART_M)
    if slip is None:
        return asked
    or_else = fact("or-else-field", field=field_id, place_lonlat=place, slip=why)
    return replace(asked, values={**asked.values, "or_else": or_else})


def _slip(place: Place, home: Points, reach_m: float) -> tuple[Slip | None, Fact]:
    """The usual slip that would explain where a place lies, and the sentence about it."""
    for slip, moved in _moved(place):
        if _away_m(np.array([moved]), home)[0] <= reach_m:
            return slip, fact("belongs/near", slip=slip.what, place_lonlat=moved)
    return None, fact("belongs/nowhere")


def _moved(place: Place) -> Iterator[tuple[Slip, Place]]:
    for slip in SLIPS:
        lon, lat = slip.undone(*place)
        if abs(lat) <= 90:
            yield slip, (lon, lat)
