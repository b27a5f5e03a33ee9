"""What a person has put in so far: ground that was drawn or dropped, and the tables of the job file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from shapely.geometry.base import BaseGeometry

from fieldplan.web.tables import Place, Spot

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
    units
        Units that were chosen in boxes of the form whose number is not typed yet: a job file has no place for them.
    """

    ground: tuple[Drawn, ...] = ()
    tables: Mapping[str, Any] = field(default_factory=dict)
    units: Mapping[Spot, str] = field(default_factory=dict)

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

    def with_unit(self, spot: Spot, unit: str) -> Draft:
        """The draft with a unit chosen in a box that has no number yet; an empty one takes the choice back."""
        kept = {one: chosen for one, chosen in self.units.items() if one != spot}
        return replace(self, units={**kept, spot: unit} if unit else kept)

    def without_units_at(self, place: Place) -> Draft:
        """The draft without units that were chosen in a table, and in those below it."""
        return replace(
            self, units={spot: unit for spot, unit in self.units.items() if _below(spot, place) is None}
        )

    def with_units_copied(self, place: Place, other: Place) -> Draft:
        """The draft with the units that were chosen in one table chosen in another too."""
        copied = {
            ((*other, *below), spot[1]): unit
            for spot, unit in self.units.items()
            if (below := _below(spot, place)) is not None
        }
        return replace(self, units={**self.units, **copied})

    def with_units_moved_up(self, place: Place) -> Draft:
        """The draft with what was chosen in the tables of a list as it is when the one at a place is gone."""
        kept = self.without_units_at(place)
        listed, gone = place[:-1], int(place[-1])
        moved: dict[Spot, str] = {}
        for (where, key), unit in kept.units.items():
            below = _below((where, key), listed)
            number = below[0] if below else None
            if below and isinstance(number, int) and number > gone:
                where = (*listed, number - 1, *below[1:])
            moved[where, key] = unit
        return replace(kept, units=moved)


def _below(spot: Spot, place: Place) -> Place | None:
    """The place of a box's table counted from a table that it is in; ``None`` if it is not."""
    where, _ = spot
    return where[len(place) :] if where[: len(place)] == place else None
