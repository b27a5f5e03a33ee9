"""What a person has put in so far: ground that was drawn or dropped, and the tables of the job file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from shapely.geometry.base import BaseGeometry

LayerName = Literal["fields", "exclusions", "edges", "guides"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """One feature on the map.

    Parameters
    ----------
    key
        Names the feature as long as the draft lives; no two of a draft are the same.
    layer
        "fields" are polygons or multipolygons with holes; "exclusions" areas, lines or points; "edges" and "guides"
        lines.
    geometry
        In longitude and latitude on WGS84.
    attributes
        As a boundary file has them: ``id``, ``name``, ``mix``, ``priority``, ``gate_lat``, ``gate_lon``, ``edge``,
        ``pattern`` of a field; ``reason``, ``set_back``, ``cross`` of an exclusion; ``edge`` of an edge.
    """

    key: str
    layer: LayerName
    geometry: BaseGeometry
    attributes: Mapping[str, str | int | float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """Fields and job as they stand; the same can be written as a boundary file and a job file and read again.

    Parameters
    ----------
    ground
        Everything on the map.
    tables
        The tables of the job file, as TOML gives them: ``{"drill": {"rows": 16, "row_spacing": "7.5 in"}, …}``.
    """

    ground: tuple[Drawn, ...] = ()
    tables: Mapping[str, Any] = field(default_factory=dict)

    def of_layer(self, layer: LayerName) -> tuple[Drawn, ...]:
        """The features of one layer."""
        return tuple(drawn for drawn in self.ground if drawn.layer == layer)

    def with_drawn(self, drawn: Drawn) -> Draft:
        """The draft with a feature added, or in the place of the one with the same key."""
        if any(one.key == drawn.key for one in self.ground):
            ground = tuple(drawn if one.key == drawn.key else one for one in self.ground)
        else:
            ground = (*self.ground, drawn)
        return replace(self, ground=ground)

    def without(self, key: str) -> Draft:
        """The draft without one feature."""
        return replace(self, ground=tuple(one for one in self.ground if one.key != key))
