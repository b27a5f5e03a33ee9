"""Conversions to longitude and latitude on WGS84: looked for once for all places that have the same choice of them.

Looking for the most accurate one takes from 2 to 25 ms, as long as all else that is done with an outline. What is offered
for a place follows from which of the system's conversions are made for an area that holds it.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import wraps
from typing import Any, TypeVar

import numpy as np
from pyproj import CRS, Transformer
from pyproj.exceptions import ProjError
from pyproj.transformer import AreaOfInterest, TransformerGroup

Bounds = tuple[float, float, float, float]
_WGS84 = CRS("EPSG:4326")
_MOST_SYSTEMS = 64
_Answer = TypeVar("_Answer")


def once_a_system(ask: Callable[[CRS], _Answer]) -> Callable[[CRS], _Answer]:
    """A function of a reference system that is asked once of each object.

    A system is the same as another only if all of its text is: comparing takes longer than most questions.
    """
    known: dict[int, tuple[CRS, _Answer]] = {}

    @wraps(ask)
    def answer(crs: CRS) -> _Answer:
        found = known.get(id(crs))
        if found is None:
            if len(known) >= _MOST_SYSTEMS:
                known.clear()
            found = known[id(crs)] = crs, ask(crs)  # what is kept is not made anew at its address
        return found[1]

    return answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Conversion:
    """How a system's coordinates become longitude and latitude on WGS84.

    Parameters
    ----------
    is_best
        No better one is known, that would need a grid which is not here.
    """

    transformer: Transformer
    is_best: bool


@dataclass(frozen=True, slots=True)
class _Conversions:
    """All conversions of a system, and those that were looked for.

    Parameters
    ----------
    rough
        The one to take where the place does not matter much.
    areas
        Where each conversion is made for, in degrees; ``None`` if one does not say.
    """

    rough: Transformer
    areas: tuple[Bounds, ...] | None
    found: dict[tuple[bool, ...], Conversion] = field(default_factory=dict)


@once_a_system
def is_wgs84(crs: CRS) -> bool:
    """Whether coordinates are longitude and latitude on WGS84 as they stand, whatever order the system's axes have."""
    return crs.is_geographic and (crs.to_epsg() in (4326, 4979) or crs.to_authority() == ("OGC", "CRS84"))


def conversion_for(crs: CRS, bounds: Bounds) -> Conversion:
    """The most accurate conversion at hand for a place.

    Parameters
    ----------
    bounds
        West, south, east and north in the coordinates of the system, the x of each place first.

    Raises
    ------
    ProjError
        If they are outside the projection.
    """
    known = _conversions(crs)
    place = known.rough.transform_bounds(*bounds)
    if not np.isfinite(place).all():
        raise ProjError("outside the projection")
    choice = _choice(known.areas, place)
    if choice is None:
        return _looked_for(crs, known.rough, place)
    if choice not in known.found:
        known.found[choice] = _looked_for(crs, known.rough, place)
    return known.found[choice]


@once_a_system
def _conversions(crs: CRS) -> _Conversions:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        group = TransformerGroup(crs, _WGS84, always_xy=True)
    offered: list[Any] = [*group.transformers, *group.unavailable_operations]
    uses = [one.area_of_use for one in offered]
    if crs.area_of_use is not None:  # beyond it others are offered
        uses.insert(0, crs.area_of_use)
    areas = None if not uses or None in uses else tuple(use.bounds for use in uses)
    return _Conversions(Transformer.from_crs(crs, _WGS84, always_xy=True), areas)


def _choice(areas: tuple[Bounds, ...] | None, place: Bounds) -> tuple[bool, ...] | None:
    """Which areas hold a place; ``None`` if it lies across the edge of one, or outside the first."""
    if areas is None or not place[0] <= place[2]:
        return None
    found = []
    for west, south, east, north in areas:
        if west > east:  # across the date line
            return None
        holds = west <= place[0] and place[2] <= east and south <= place[1] and place[3] <= north
        apart = place[2] < west or east < place[0] or place[3] < south or north < place[1]
        if not (holds or apart):
            return None
        found.append(holds)
    return tuple(found) if found[0] else None


def _looked_for(crs: CRS, rough: Transformer, place: Bounds) -> Conversion:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        group = TransformerGroup(crs, _WGS84, always_xy=True, area_of_interest=AreaOfInterest(*place))
    return Conversion(
        transformer=group.transformers[0] if group.transformers else rough,
        is_best=bool(group.best_available),
    )
