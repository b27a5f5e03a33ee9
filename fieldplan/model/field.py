"""A field as it was drawn: its ground in degrees, its area, and the ground in it that must not be sown."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from shapely import LineString, MultiLineString, MultiPolygon

from fieldplan.model.checks import require

EdgeWord = Literal["fenced", "open"]
"""Whether turns and transfers must keep inside an edge, or may swing out over it."""
SearchWord = Literal["quick", "usual", "thorough"]
"""How many routes over a field are compared."""
PatternWord = Literal["best", "straight", "along edge", "guide", "rounds", "contour"]
HeadlandWord = Literal["yes", "no"]
SIDES_DEG = {
    "north": 0.0,
    "north-east": 45.0,
    "east": 90.0,
    "south-east": 135.0,
    "south": 180.0,
    "south-west": 225.0,
    "west": 270.0,
    "north-west": 315.0,
}
"""Compass sides of a field, and the true azimuth to which an edge on that side faces, within 45°."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Acreage:
    """The area of one outline as other methods measure it, to trace where a wrong acreage came from.

    ``own_coordinates_m2`` is the plane area in the file's own coordinates; ``None`` for degrees.
    """

    web_mercator_m2: float
    own_coordinates_m2: float | None
    own_coordinates_name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ExcludedGround:
    """Ground of a field that must not be sown, and why; those of one field do not overlap.

    ``cross`` is "lifted" where the drill may be driven over it lifted, else empty. ``headland`` says whether
    headland rounds are laid along it then, so that passes end there; ``None`` leaves that to the plan.
    ``set_back_m`` is the distance kept from what was drawn; it is part of ``ground``.
    """

    reason: str
    ground: MultiPolygon
    area_m2: float
    cross: Literal["", "lifted"] = ""
    headland: HeadlandWord | None = None
    set_back_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A field to be sown.

    Parameters
    ----------
    ground
        The outline without its holes, in longitude and latitude on WGS84.
    mapped_m2
        Geodesic area of ``ground``.
    plantable
        ``ground`` without the ``excluded`` ground; it can be empty.
    mix, gate_lonlat
        From the attributes of the feature; ``None`` if it has none.
    priority
        From the attributes; 1 is drilled first.
    exclusion_reasons
        From the attributes: the reasons for excluding ground that apply; ``None`` for all.
    edge
        From the attributes: whether the outer edge is open; ``None`` if they say nothing.
    pattern
        From the attributes: how passes run; ``None`` if they say nothing.
    guides
        Lines in longitude and latitude that passes follow.
    open_edges, fenced_edges
        Lines in longitude and latitude along stretches of the outer edge that are open, or fenced.

    Raises
    ------
    InputError
        If the ground is empty or has no area.
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
    edge: EdgeWord | None = None
    pattern: PatternWord | None = None
    guides: tuple[LineString, ...] = ()
    open_edges: MultiLineString = field(default_factory=MultiLineString)
    fenced_edges: MultiLineString = field(default_factory=MultiLineString)

    def __post_init__(self) -> None:
        """Check that there is ground and that it has an area."""
        require(not self.ground.is_empty, "field-empty/ground", about=f'field "{self.field_id}"')
        require(self.mapped_m2 > 0, "field-empty", about=f'field "{self.field_id}"')

    @property
    def excluded_m2(self) -> float:
        """Area of all ground that must not be sown."""
        return sum(excluded.area_m2 for excluded in self.excluded)

    @property
    def excluded_by_reason_m2(self) -> dict[str, float]:
        """Area that must not be sown, by reason; adds up to ``excluded_m2``."""
        by_reason_m2: dict[str, float] = {}
        for excluded in self.excluded:
            by_reason_m2[excluded.reason] = by_reason_m2.get(excluded.reason, 0.0) + excluded.area_m2
        return by_reason_m2

    @property
    def plantable_m2(self) -> float:
        """Mapped less excluded area; 0 if nothing is left to sow."""
        return 0.0 if self.plantable.is_empty else self.mapped_m2 - self.excluded_m2
