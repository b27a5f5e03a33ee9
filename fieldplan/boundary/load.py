"""A boundary file → fields: reference system settled, polygons only, valid, named, measured."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import shapely
from pyproj import CRS, Transformer
from pyproj.exceptions import CRSError
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.acreage import acreage_of, geodesic_area_m2
from fieldplan.boundary.read import Feature, read_features
from fieldplan.errors import BoundaryError, Problem
from fieldplan.model.field import BoundaryFile, Field
from fieldplan.model.notes import Note
from fieldplan.units import ACRE_M2

LEAST_PART_M2 = 1e-3
"""Parts and holes smaller than this have no area to speak of: they are specks left by an export, not ground."""
LARGEST_REPAIR_FRAC = 0.005
LONGEST_EDGE_M = 400.0
"""Longer edges of a projected file get extra vertices: straight there is not straight on the ground. In a file of degrees
an edge is taken as the geodesic between its vertices, which is how its acres are measured."""
MOST_VERTICES = 2_000_000
_ID_NAMES = ("field_id", "fieldid", "id", "fid", "name")
_NAME_NAMES = ("name", "field_name", "fieldname", "label", "title")
_LONLAT = CRS("EPSG:4326")


def load_fields(path: Path, *, crs: str | None = None, mix_field: str = "mix") -> BoundaryFile:
    """The fields of a boundary file.

    Parameters
    ----------
    path
        A file of any format that `fieldplan.boundary.guard` recognises.
    crs
        Reference system of the coordinates, such as ``"EPSG:32615"``: needed if the file declares none, and taken
        instead of what it declares.
    mix_field
        Attribute that names the seed mix of a field.

    Raises
    ------
    BoundaryError
        With every problem found, each naming the feature and what would be right.
    """
    features = read_features(path)
    declared = _asked_crs(crs) if crs else None
    problems: list[Problem] = []
    notes: list[Note] = []
    fields: list[Field] = []
    left_out: Counter[str] = Counter()
    taken: Counter[str] = Counter()
    if declared is None and features:
        _require_reference_system(path, features)
    for number, feature in enumerate(features, start=1):
        kind = "nothing" if feature.geometry is None or feature.geometry.is_empty else feature.geometry.geom_type
        if kind not in ("Polygon", "MultiPolygon", "GeometryCollection"):
            left_out[kind] += 1
            continue
        name, field_id = _names(feature, number, taken)
        try:
            fields.append(_field(path, feature, declared or feature.crs or _LONLAT, name, field_id, mix_field, notes))
        except BoundaryError as error:
            problems.extend(error.problems)
    if problems:
        raise BoundaryError(tuple(problems))
    notes += [
        Note(
            code="features-left-out",
            text=f"{n} feature(s) of {path.name} are {_KINDS.get(kind, kind)}, no field: left out.",
        )
        for kind, n in sorted(left_out.items())
    ]
    if not fields:
        found = ", ".join(f"{n} {_KINDS.get(kind, kind)}" for kind, n in sorted(left_out.items())) or "nothing"
        raise BoundaryError.of("no-fields", f"{path}: holds no polygon (found: {found}).",
                               "export the field outlines as polygons")  # fmt: skip
    if crs:
        notes.append(Note(code="crs-given", text=f"The coordinates were read as {crs}, as you asked."))
    return BoundaryFile(path=path, fields=tuple(fields), notes=tuple(notes))


_KINDS = {"Point": "points", "MultiPoint": "points", "LineString": "lines", "MultiLineString": "lines",
          "nothing": "without geometry"}  # fmt: skip


def _asked_crs(text: str) -> CRS:
    try:
        return CRS.from_user_input(text)
    except CRSError:
        raise BoundaryError.of("crs-unknown", f'--crs "{text}" is no reference system.', "such as --crs EPSG:4326") from None


def _require_reference_system(path: Path, features: Iterable[Feature]) -> None:
    """Stop with a question if coordinates have no reference system, or cannot be what they claim to be."""
    geometries = [f.geometry for f in features if f.geometry is not None and not f.geometry.is_empty]
    if not geometries:
        return
    west, south, east, north = shapely.total_bounds(np.array(geometries, dtype=object))
    where = f"x from {west:,.5f} to {east:,.5f}, y from {south:,.5f} to {north:,.5f}"
    degrees = west >= -180 and east <= 180 and south >= -90 and north <= 90
    crs = next((f.crs for f in features if f.crs is not None), None)
    if crs is None:
        guess = "they look like longitude and latitude: --crs EPSG:4326" if degrees else "such as --crs EPSG:32615"
        raise BoundaryError.of(
            "crs-missing", f"{path}: does not say what its coordinates are measured in ({where}).",
            f"say so with --crs; {guess}",
        )  # fmt: skip
    if crs.is_geographic and not (west >= -540 and east <= 540 and south >= -90 and north <= 90):
        raise BoundaryError.of(
            "crs-not-degrees", f"{path}: is labelled as degrees ({crs.name}) but runs {where}.",
            "say what the numbers are with --crs, such as --crs EPSG:32615",
        )  # fmt: skip


def _names(feature: Feature, number: int, taken: Counter[str]) -> tuple[str, str]:
    """Name and unique id of a feature, from its attributes or its number."""
    lower = {key.lower(): value for key, value in feature.attributes.items() if _is_text(value)}
    found_id = next((str(lower[key]).strip() for key in _ID_NAMES if key in lower), f"field-{number}")
    name = next((str(lower[key]).strip() for key in _NAME_NAMES if key in lower), found_id)
    taken[found_id] += 1
    return name, found_id if taken[found_id] == 1 else f"{found_id}-{taken[found_id]}"


def _is_text(value: object) -> bool:
    return value is not None and value == value and str(value).strip() != ""


def _field(path: Path, feature: Feature, crs: CRS, name: str, field_id: str, mix_field: str, notes: list[Note]) -> Field:
    where = f'{path}: field "{field_id}"'
    assert feature.geometry is not None
    own: BaseGeometry = shapely.force_2d(feature.geometry)
    if not np.isfinite(shapely.get_coordinates(own)).all():
        raise BoundaryError.of("coordinates-not-finite", f"{where} has coordinates that are no numbers.", "draw it again")
    if shapely.get_num_coordinates(own) > MOST_VERTICES:
        raise BoundaryError.of("too-many-vertices", f"{where} has over {MOST_VERTICES:,} vertices.", "thin the outline")
    ground = _to_lonlat(own, crs)
    if not np.isfinite(shapely.get_coordinates(ground)).all():
        raise BoundaryError.of("coordinates-off-earth", f"{where} lies outside what {crs.name} covers.",
                               "check the reference system with --crs")  # fmt: skip
    clean = _polygons(ground, where, field_id, notes)
    mix = feature.attributes.get(mix_field)
    return Field(
        field_id=field_id,
        name=name,
        ground=clean,
        mapped_m2=geodesic_area_m2(clean),
        acreage=acreage_of(clean, own, crs),
        mix=str(mix).strip() if _is_text(mix) else None,
    )


def _to_lonlat(geometry: BaseGeometry, crs: CRS) -> BaseGeometry:
    if crs == _LONLAT or (crs.is_geographic and crs.to_epsg() in (4326, 4979)):
        return geometry
    transform = Transformer.from_crs(crs, _LONLAT, always_xy=True).transform
    if crs.is_projected:
        geometry = shapely.segmentize(geometry, LONGEST_EDGE_M / crs.axis_info[0].unit_conversion_factor)
    return shapely.transform(geometry, lambda xy: np.column_stack(transform(xy[:, 0], xy[:, 1])))


def _polygons(ground: BaseGeometry, where: str, field_id: str, notes: list[Note]) -> MultiPolygon:
    """Valid polygons without specks; a repair makes a note, a large one is refused."""
    parts = _flat(ground)
    before = sum(geodesic_area_m2(part) for part in parts)
    whole: BaseGeometry = MultiPolygon(parts)
    if not whole.is_valid:
        reason = shapely.is_valid_reason(whole)
        parts = _flat(shapely.make_valid(whole))
        after = sum(geodesic_area_m2(part) for part in parts)
        if abs(after - before) > LARGEST_REPAIR_FRAC * max(before, after):
            raise BoundaryError.of(
                "outline-invalid",
                f"{where} crosses itself ({reason}): {before / ACRE_M2:.2f} acres as drawn, {after / ACRE_M2:.2f} mended.",
                "mend the outline where you drew it: the acreage depends on which was meant",
            )
        notes.append(Note(code="outline-mended", field_id=field_id, text=(
            f"The outline crossed itself ({reason}) and was mended: {before / ACRE_M2:.3f} acres before, "
            f"{after / ACRE_M2:.3f} after.")))  # fmt: skip
    kept = [_without_specks(part) for part in parts if geodesic_area_m2(part) >= LEAST_PART_M2]
    if not kept:
        raise BoundaryError.of("outline-no-area", f"{where} encloses no ground.", "draw its outline again")
    if len(kept) < len(parts):
        notes.append(Note(code="specks-left-out", field_id=field_id,
                          text=f"{len(parts) - len(kept)} part(s) without area were left out."))  # fmt: skip
    return MultiPolygon(kept)


def _flat(geometry: BaseGeometry) -> list[Polygon]:
    """Every polygon in a geometry, however nested."""
    if isinstance(geometry, Polygon):
        return [] if geometry.is_empty else [geometry]
    if hasattr(geometry, "geoms"):
        return [polygon for part in geometry.geoms for polygon in _flat(part)]
    return []


def _without_specks(polygon: Polygon) -> Polygon:
    holes = [hole for hole in polygon.interiors if geodesic_area_m2(Polygon(hole)) >= LEAST_PART_M2]
    return Polygon(polygon.exterior, holes)
