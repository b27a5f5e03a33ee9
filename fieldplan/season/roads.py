"""Road between places: as a district's table of distances says, else the straight distance times the
drill's road factor.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from pyproj import Geod

from fieldplan.errors import InputError, problem
from fieldplan.jobfile.lists import read_list
from fieldplan.model.season import Request, SeasonDrill
from fieldplan.units import MILE_M

_WGS84 = Geod(ellps="WGS84")
COLUMNS = {
    "from": "a request, a renter or a drill",
    "to": "another",
    "miles": "miles by road, such as 12.4",
}
LONGEST_MILES, MAX_DISTANCES = 500.0, 100_000

Distances = Mapping[tuple[str, str], float]
"""Metres of road by two names in small letters, from one to the other."""


def read_distances(path: Path) -> Distances:
    """A CSV of distances by road with the columns from, to and miles; names are requests, renters or drills
    (their home).

    A row holds both ways unless the other way has a row of its own.

    Raises
    ------
    InputError
        With every row that cannot be used.
    """
    found: dict[tuple[str, str], float] = {}
    problems = []
    for row in read_list(path, "distances", columns=COLUMNS, needed=tuple(COLUMNS), maximum=MAX_DISTANCES):
        where = f"row {row.number}"
        a, b, text = (row.cells.get(name, "") for name in COLUMNS)
        miles = _miles(text)
        if not a or not b or miles is None:
            problems.append(
                problem(
                    "distance-row",
                    file=str(path),
                    about=where,
                    start=a,
                    end=b,
                    miles=text[:40],
                    n_most_miles=LONGEST_MILES,
                )
            )
        elif (a.casefold(), b.casefold()) in found:
            problems.append(problem("distance-twice", file=str(path), about=where, start=a, end=b))
        else:
            found[a.casefold(), b.casefold()] = miles * MILE_M
    if problems:
        raise InputError(tuple(problems))
    return found


def _miles(text: str) -> float | None:
    try:
        miles = float(text)
    except ValueError:
        return None
    return miles if 0 <= miles <= LONGEST_MILES else None


def roads_of(requests: Sequence[Request], drill: SeasonDrill, distances: Distances) -> list[list[float]]:
    """Metres of road from each place to each: requests in their order, then the drill's home."""
    places = [*(request.place_lonlat for request in requests), drill.home_lonlat]
    names = [
        *((request.request_id.casefold(), request.renter.casefold()) for request in requests),
        (drill.name.casefold(),),
    ]
    factor = drill.job.working.road_factor
    return [
        [
            0.0
            if i == j
            else known
            if (known := _known(a, b, distances)) is not None
            else float(_WGS84.inv(*places[i], *places[j])[2]) * factor
            for j, b in enumerate(names)
        ]
        for i, a in enumerate(names)
    ]


def farthest_of(
    requests: Sequence[Request], drills: Sequence[SeasonDrill], distances: Distances
) -> list[dict[str, float]]:
    """For each request and drill, metres of road from the farthest place that the drill could come from:
    any request's, or its home.
    """
    roads = {drill.name: roads_of(requests, drill, distances) for drill in drills}
    return [
        {name: max(row[i] for row in metres) for name, metres in roads.items()}
        for i in range(len(requests))
    ]


def _known(a: Sequence[str], b: Sequence[str], distances: Distances) -> float | None:
    """What the table has from one place to the other, else back; each may stand under several names."""
    there = [(one, other) for one in a for other in b]
    back = [(other, one) for one, other in there]
    return next((distances[pair] for pair in (*there, *back) if pair in distances), None)
