"""A field as it was drawn: its ground in degrees, its acres, and the ground in it that is not to be
sown.
"""

from __future__ import annotations

from dataclasses import dataclass

from shapely import MultiPolygon

from fieldplan.model.checks import require


@dataclass(frozen=True, slots=True, kw_only=True)
class Acreage:
    """One outline measured the ways that go wrong, so that a wrong acreage can be traced to where it came
    from.
    """

    web_mercator_m2: float
    own_coordinates_m2: float | None
    own_coordinates_name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ExcludedGround:
    """Ground of a field that is not to be sown, and why; no two of a field share ground."""

    reason: str
    ground: MultiPolygon
    area_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A field to be sown.

    ``ground`` is the outline less its holes, in longitude and latitude on WGS84, and ``mapped_m2`` its
    geodesic area; ``plantable`` is what is left of it when the ``excluded`` ground is cut out; that can be
    nothing. ``mix``, ``priority`` (1 is drilled first), ``gate_lonlat`` and ``exclusion_reasons`` (those
    that apply; all if ``None``) come from its attributes.
    """

    field_id: str
    name: str
    ground: MultiPolygon
    mapped_m2: float
    acreage: Acreage
    plantable: MultiPolygon
    excluded: tuple[ExcludedGround, ...] = ()
    mix: str | None = None
    priority: int | None = None
    gate_lonlat: tuple[float, float] | None = None
    exclusion_reasons: tuple[str, ...] | None = None

    def __post_init__(self) -> None:
        """Check that there is ground and that it has an area."""
        require(not self.ground.is_empty, "field-empty/ground", about=f'field "{self.field_id}"')
        require(self.mapped_m2 > 0, "field-empty", about=f'field "{self.field_id}"')

    @property
    def excluded_m2(self) -> float:
        """Area of all ground that is not to be sown."""
        return sum(one.area_m2 for one in self.excluded)

    @property
    def excluded_by_reason_m2(self) -> dict[str, float]:
        """Area that is not to be sown, by reason; adds up to ``excluded_m2``."""
        by_reason: dict[str, float] = {}
        for one in self.excluded:
            by_reason[one.reason] = by_reason.get(one.reason, 0.0) + one.area_m2
        return by_reason

    @property
    def plantable_m2(self) -> float:
        """Mapped less excluded."""
        return 0.0 if self.plantable.is_empty else self.mapped_m2 - self.excluded_m2
