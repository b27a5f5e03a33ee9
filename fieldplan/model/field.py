"""A field as it was drawn: its ground in degrees and its acres."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from shapely import MultiPolygon

from fieldplan.model.checks import require
from fieldplan.model.notes import Note


@dataclass(frozen=True, slots=True, kw_only=True)
class Acreage:
    """One outline measured three ways, so that a wrong acreage can be traced to where it came from."""

    geodesic_m2: float
    web_mercator_m2: float
    own_coordinates_m2: float | None
    own_coordinates_name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A field to be sown.

    ``ground`` is the outline less its holes, in longitude and latitude on WGS84; ``mapped_m2`` its geodesic area.
    """

    field_id: str
    name: str
    ground: MultiPolygon
    mapped_m2: float
    acreage: Acreage
    mix: str | None = None

    def __post_init__(self) -> None:
        """Check that there is ground and that it has an area."""
        require(not self.ground.is_empty, "field-empty", f'field "{self.field_id}" has no ground')
        require(self.mapped_m2 > 0, "field-empty", f'field "{self.field_id}" has no area')


@dataclass(frozen=True, slots=True, kw_only=True)
class BoundaryFile:
    """What one boundary file held: its fields, and what was said on the way."""

    path: Path
    fields: tuple[Field, ...]
    notes: tuple[Note, ...] = ()
