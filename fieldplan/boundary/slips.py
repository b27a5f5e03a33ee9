"""What goes wrong with the two numbers of a place when they are typed or exported, the likeliest first."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

SLIPS: tuple[tuple[str, Callable[[Any, Any], tuple[Any, Any]]], ...] = (
    ("its longitude has lost its sign", lambda lon, lat: (-lon, lat)),
    ("its latitude has lost its sign", lambda lon, lat: (lon, -lat)),
    ("latitude and longitude are swapped", lambda lon, lat: (lat, lon)),
    ("both its numbers have lost their signs", lambda lon, lat: (-lon, -lat)),
    ("latitude and longitude are swapped and a sign is lost", lambda lon, lat: (-lat, lon)),
    ("latitude and longitude are swapped and a sign is lost", lambda lon, lat: (lat, -lon)),
    ("latitude and longitude are swapped and both signs are lost", lambda lon, lat: (-lat, -lon)),
)
"""Each as words that follow "if", and where the place belongs then: longitude and latitude, as numbers or arrays."""
