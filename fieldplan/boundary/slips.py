"""What goes wrong with the two numbers of a place when they are typed or exported, the likeliest first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from fieldplan.facts import Fact, fact


@dataclass(frozen=True, slots=True)
class Slip:
    """What went wrong, and where the place belongs then: longitude and latitude, as numbers or arrays."""

    what: Fact
    undone: Callable[[Any, Any], tuple[Any, Any]]
    swapped: bool = False


_TURNED, _ONE_SIGN, _BOTH_SIGNS = (
    fact("slip/swapped"),
    fact("slip/swapped-sign"),
    fact("slip/swapped-signs"),
)
SLIPS = (
    Slip(fact("slip/longitude-sign"), lambda lon, lat: (-lon, lat)),
    Slip(fact("slip/latitude-sign"), lambda lon, lat: (lon, -lat)),
    Slip(_TURNED, lambda lon, lat: (lat, lon), swapped=True),
    Slip(fact("slip/signs"), lambda lon, lat: (-lon, -lat)),
    Slip(_ONE_SIGN, lambda lon, lat: (-lat, lon), swapped=True),
    Slip(_ONE_SIGN, lambda lon, lat: (lat, -lon), swapped=True),
    Slip(_BOTH_SIGNS, lambda lon, lat: (-lat, -lon), swapped=True),
)
