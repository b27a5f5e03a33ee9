"""The fields of every request. Those that cannot be used are refused by row, all together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from pyproj import Geod

from fieldplan.errors import InputError, Problem, problem
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.rental_program import RentalProgram, SeasonDrill
from fieldplan.model.request import Request
from fieldplan.season.durations import boundary_of

_WGS84 = Geod(ellps="WGS84")
FARTHEST_M = 200_000.0
"""A place farther than this from every drill is a typing mistake."""


def grounds_of(program: RentalProgram, requests: Sequence[Request]) -> list[BoundaryFile]:
    """The fields of every request, in the order of the list.

    Raises
    ------
    InputError
        With each drill far from every request; else with each request far from every drill, and each
        whose fields cannot be used.
    """
    astray = list(_drills_astray(program, requests))
    if astray:
        raise InputError(tuple(astray))
    found: list[BoundaryFile] = []
    problems: list[Problem] = []
    for request in requests:
        row = f"row {request.row}"
        away_m = min(_away_m(request, drill) for drill in program.drills)
        if away_m > FARTHEST_M:
            where = f"{row}, lat and lon"
            problems.append(
                problem("request-far", file=str(program.requests_path), about=where, away_m=away_m)
            )
        try:
            found.append(boundary_of(request))
        except InputError as error:
            column = f'{program.requests_path}: {row}, column "fields"'
            problems += [
                replace(fault, file=f"{column}: {fault.file}" if fault.file else column)
                for fault in error.problems
            ]
    if problems:
        raise InputError(tuple(problems))
    return found


def _drills_astray(program: RentalProgram, requests: Sequence[Request]) -> Iterator[Problem]:
    """Drills far from every request. If all drills are, the requests are at fault instead."""
    nearest_m = [
        min((_away_m(request, drill) for request in requests), default=0.0) for drill in program.drills
    ]
    for drill, away_m in zip(program.drills, nearest_m, strict=True):
        if away_m > FARTHEST_M >= min(nearest_m):
            yield problem("drill-far", file=str(program.path), drill=drill.name, away_m=away_m)


def _away_m(request: Request, drill: SeasonDrill) -> float:
    return float(_WGS84.inv(*request.place_lonlat, *drill.home_lonlat)[2])
