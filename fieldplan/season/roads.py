"""Road between places: from the district's table of distances, else the straight-line distance times the
drill's road factor.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from pyproj import Geod

from fieldplan.errors import InputError, problem
from fieldplan.jobfile.lists import read_list
from fieldplan.model.rental_program import SeasonDrill
from fieldplan.model.request import Request
from fieldplan.units import MILE_M

_WGS84 = Geod(ellps="WGS84")
COLUMNS = {
    "from": "a request, a renter or a drill",
    "to": "another",
    "miles": "miles by road, such as 12.4",
}
LONGEST_MILES, MAX_DISTANCES = 500.0, 100_000

Distances = Mapping[tuple[str, str], float]
"""Meters of road by two names in lower case, from the first to the second."""


def read_distances(path: Path) -> Distances:
    """Read a CSV of distances by road, with the columns from, to and miles.

    Places are named by request, by renter or by drill (its home). A row counts in both directions unless
    the other direction has a row of its own.

    Returns
    -------
    Mapping
        Meters of road by two names in lower case.

    Raises
    ------
    InputError
        With every row that cannot be used.
    """
    distances: dict[tuple[str, str], float] = {}
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
        elif (a.casefold(), b.casefold()) in distances:
            problems.append(problem("distance-twice", file=str(path), about=where, start=a, end=b))
        else:
            distances[a.casefold(), b.casefold()] = miles * MILE_M
    if problems:
        raise InputError(tuple(problems))
    return distances


def _miles(text: str) -> float | None:
    try:
        miles = float(text)
    except ValueError:
        return None
    return miles if 0 <= miles <= LONGEST_MILES else None


def roads_of(requests: Sequence[Request], drill: SeasonDrill, distances: Distances) -> list[list[float]]:
    """Meters of road between all places.

    Parameters
    ----------
    distances
        As `read_distances` gives them; they come before the straight-line distance.

    Returns
    -------
    list of list
        A square matrix: row and column i are request i, the last row and column the drill's home.
    """
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
    """Meters of road from the farthest place that a drill could come from: any request, or its home.

    Returns
    -------
    list of dict
        For each request, meters by the drill's name.
    """
    roads = {drill.name: roads_of(requests, drill, distances) for drill in drills}
    return [
        {name: max(row[i] for row in meters) for name, meters in roads.items()}
        for i in range(len(requests))
    ]


def _known(a: Sequence[str], b: Sequence[str], distances: Distances) -> float | None:
    """Distance in the table from one place to the other, else back; a place may have several names."""
    there = [(start, end) for start in a for end in b]
    back = [(end, start) for start, end in there]
    return next((distances[pair] for pair in (*there, *back) if pair in distances), None)
