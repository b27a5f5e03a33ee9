"""What goes wrong with longitude and latitude when they are typed or exported, most likely slip first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from fieldplan.facts import Fact, fact


@dataclass(frozen=True, slots=True)
class Slip:
    """A slip and how to undo it.

    Parameters
    ----------
    what
        What went wrong, as part of a sentence.
    undone
        From longitude and latitude as given to those that were meant; numbers or arrays.
    swapped
        The two numbers changed places.

    Examples
    --------
    >>> SLIPS[0].undone(95.0, 44.0)
    (-95.0, 44.0)
    """

    what: Fact
    undone: Callable[[Any, Any], tuple[Any, Any]]
    swapped: bool = False


_SWAPPED = fact("slip/swapped")
_SWAPPED_SIGN = fact("slip/swapped-sign")
_SWAPPED_SIGNS = fact("slip/swapped-signs")
SLIPS = (
    Slip(fact("slip/longitude-sign"), lambda lon, lat: (-lon, lat)),
    Slip(fact("slip/latitude-sign"), lambda lon, lat: (lon, -lat)),
    Slip(_SWAPPED, lambda lon, lat: (lat, lon), swapped=True),
    Slip(fact("slip/signs"), lambda lon, lat: (-lon, -lat)),
    Slip(_SWAPPED_SIGN, lambda lon, lat: (-lat, lon), swapped=True),
    Slip(_SWAPPED_SIGN, lambda lon, lat: (lat, -lon), swapped=True),
    Slip(_SWAPPED_SIGNS, lambda lon, lat: (-lat, -lon), swapped=True),
)
