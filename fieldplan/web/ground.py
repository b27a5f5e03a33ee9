"""What is on the map of a draft: measured as a boundary file is, named, split, joined; each edit gives a draft."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import shapely
from pyproj import CRS
from shapely import MultiPolygon, Point
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.attributes import text_of
from fieldplan.boundary.exclusions import exclusions_in
from fieldplan.boundary.layer import Feature, Layer
from fieldplan.boundary.load import examine_layers
from fieldplan.boundary.outlines import polygons_in
from fieldplan.boundary.overlaps import without_overlaps
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import FieldplanError, InputError, Problem
from fieldplan.model.notes import Note
from fieldplan.web.cutting import joined, split
from fieldplan.web.draft import Draft, Drawn, LayerName
from fieldplan.web.drawing import Place, settled

Attributes = Mapping[str, str | int | float]
_LINES: tuple[LayerName, ...] = ("edges", "guides")
_WGS84 = CRS("EPSG:4326")
_DIGITS = 7
"""Of degrees in attributes and tables: about a centimeter."""
_OF_ITS_PLACE = ("gate", "seed_at")
"""Keys of ``[field.ID]`` that name a place of the field."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What one field measures, in m²: mapped, not planted, and left to plant."""

    mapped_m2: float
    excluded_m2: float
    plantable_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """What the map of a draft comes to.

    Parameters
    ----------
    fields
        By the key of each field.
    problems, notes
        What `fieldplan.boundary.load.examine` finds in the same ground.
    """

    fields: Mapping[str, Measured]
    problems: tuple[Problem, ...] = ()
    notes: tuple[Note, ...] = ()


def survey(draft: Draft) -> Survey:
    """The acres of every field, and what is wrong between them, as a boundary file of them would give.

    Fields far from each other are not asked about: where they lie was seen when they were drawn or dropped.
    """
    fields = draft.of_layer("fields")
    if not fields:
        return Survey(fields={})
    try:
        exclusions = draft.of_layer("exclusions")
        layer = (_layer_of("exclusions", exclusions),)
        files = (
            [exclusions_in(Path("exclusions"), layer, ReadingTerms(skip_bad=True))] if exclusions else []
        )
        terms = ReadingTerms(place_is_right=True, id_field="id")
        lines = [(name, draft.of_layer(name)) for name in _LINES]
        layers = [_layer_of(name, drawn) for name, drawn in (("fields", fields), *lines) if drawn]
        found = examine_layers(Path("the map"), "map", tuple(layers), terms, files)
    except FieldplanError as error:
        return replace(mapped(draft), problems=error.problems)
    by_id = {field.field_id: field for field in found.fields}
    measured = {}
    for one in fields:
        field = by_id.get(id_of(one))
        measured[one.key] = (
            _alone(one)
            if field is None
            else Measured(
                mapped_m2=field.mapped_m2, excluded_m2=field.excluded_m2, plantable_m2=field.plantable_m2
            )
        )
    return Survey(fields=measured, problems=found.problems, notes=found.notes)


def mapped(draft: Draft) -> Survey:
    """The mapped acres of every field alone: no overlaps, and nothing cut out."""
    return Survey(fields={one.key: _alone(one) for one in draft.of_layer("fields")})


def _alone(drawn: Drawn) -> Measured:
    area_m2 = geodesic_area_m2(drawn.geometry)
    return Measured(mapped_m2=area_m2, excluded_m2=0.0, plantable_m2=area_m2)


def _layer_of(name: LayerName, features: Sequence[Drawn]) -> Layer:
    """Features as a layer of a file has them."""
    return Layer(
        name=name,
        crs=_WGS84,
        features=tuple(Feature(attributes=one.attributes, geometry=one.geometry) for one in features),
    )


def new_key(draft: Draft, layer: LayerName) -> str:
    """A key that no feature of a draft has."""
    taken = {one.key for one in draft.ground}
    n = 1
    while f"{layer}-{n}" in taken:
        n += 1
    return f"{layer}-{n}"


def id_of(field: Drawn) -> str:
    """The id of a field."""
    return text_of(field.attributes, "id") or field.key


def free_id(draft: Draft, wanted: str = "") -> str:
    """An id that no field of a draft has: the wanted one, or it with a number."""
    taken = {id_of(one) for one in draft.of_layer("fields")}
    if wanted and wanted not in taken:
        return wanted
    stem, n = wanted or "field", 2 if wanted else 1
    while f"{stem}-{n}" in taken:
        n += 1
    return f"{stem}-{n}"


def feature(draft: Draft, key: str) -> Drawn | None:
    """The feature with a key; ``None`` if there is none."""
    return next((one for one in draft.ground if one.key == key), None)


def with_field(
    draft: Draft, ground: BaseGeometry, attributes: Attributes | None = None
) -> tuple[Draft, str]:
    """The draft with a field more, and its key; its id is changed if it is taken."""
    given = dict(attributes or {})
    given["id"] = free_id(draft, str(given.get("id", "")))
    given.setdefault(
        "name", str(given["id"]).replace("-", " ").capitalize() if not attributes else given["id"]
    )
    return with_feature(draft, "fields", ground, given)


def with_feature(
    draft: Draft, layer: LayerName, geometry: BaseGeometry, attributes: Attributes
) -> tuple[Draft, str]:
    """The draft with a feature more, and its key."""
    key = new_key(draft, layer)
    drawn = Drawn(key=key, layer=layer, geometry=geometry, attributes=dict(attributes))
    return draft.with_drawn(drawn), key


def with_geometry(draft: Draft, key: str, geometry: BaseGeometry) -> tuple[Draft, list[Note]]:
    """The draft with another geometry of one feature, mended as one from a file would be.

    Raises
    ------
    InputError
        If only the person can know which ground is meant.
    """
    drawn = _there(draft, key)
    whole, notes = settled(geometry, id_of(drawn))
    return draft.with_drawn(replace(drawn, geometry=whole)), notes


def with_attribute(draft: Draft, key: str, name: str, value: str | float | None) -> Draft:
    """The draft with one attribute of a feature set, or taken away if the value is blank.

    Raises
    ------
    InputError
        If it is an id that another field has.
    """
    drawn = _there(draft, key)
    if name == "id":
        return _renamed(draft, drawn, str(value or "").strip())
    left = {known: was for known, was in drawn.attributes.items() if known != name}
    if value not in (None, ""):
        left[name] = value
    return draft.with_drawn(replace(drawn, attributes=left))


def _renamed(draft: Draft, drawn: Drawn, field_id: str) -> Draft:
    was = id_of(drawn)
    if not field_id or field_id == was:
        return draft
    if field_id in {id_of(one) for one in draft.of_layer("fields")}:
        raise InputError.of("drawn-id-taken", given=field_id)
    draft = draft.with_drawn(replace(drawn, attributes={**drawn.attributes, "id": field_id}))
    tables = dict(_field_tables(draft))
    if was in tables:
        tables[field_id] = tables.pop(was)
        draft = _with_field_tables(draft, tables)
    return draft


def without_feature(draft: Draft, key: str) -> Draft:
    """The draft without a feature; what the job file says of a field goes with it."""
    drawn = _there(draft, key)
    draft = draft.without(key)
    if drawn.layer != "fields":
        return draft
    tables = _field_tables(draft)
    if id_of(drawn) not in tables:
        return draft
    return _with_field_tables(draft, {name: t for name, t in tables.items() if name != id_of(drawn)})


def nearest_field(draft: Draft, place: Place) -> Drawn:
    """The field in which a place lies, or else the one nearest to it.

    Raises
    ------
    InputError
        If there is no field.
    """
    fields = draft.of_layer("fields")
    if not fields:
        raise InputError.of("drawn-no-field")
    at = Point(place)
    return min(fields, key=lambda one: (one.geometry.distance(at), one.geometry.area))


def with_gate(draft: Draft, key: str, place: Place) -> Draft:
    """The draft with the gate of a field at a place, which then stands with its outline."""
    drawn = _there(draft, key)
    lon, lat = (round(number, _DIGITS) for number in place)
    attributes = {**drawn.attributes, "gate_lat": lat, "gate_lon": lon}
    attributes.pop("gate", None)
    draft = draft.with_drawn(replace(drawn, attributes=attributes))
    return _with_field_key(draft, id_of(drawn), "gate", None)


def with_seed_place(draft: Draft, key: str, place: Place) -> Draft:
    """The draft with the seed of a field at a place."""
    lon, lat = (round(number, _DIGITS) for number in place)
    return _with_field_key(draft, id_of(_there(draft, key)), "seed_at", {"lat": lat, "lon": lon})


def without_place(draft: Draft, key: str, what: str) -> Draft:
    """The draft without the "gate" or the place of the seed ("seed_at") of a field."""
    drawn = _there(draft, key)
    if what == "gate":
        left = {k: v for k, v in drawn.attributes.items() if k not in ("gate", "gate_lat", "gate_lon")}
        draft = draft.with_drawn(replace(drawn, attributes=left))
    return _with_field_key(draft, id_of(drawn), what, None)


def gate_of(draft: Draft, drawn: Drawn) -> Place | None:
    """Where the gate of a field is: as the job file says, or else its attributes."""
    found = _place_in(_field_tables(draft).get(id_of(drawn), {}).get("gate"))
    lat, lon = drawn.attributes.get("gate_lat"), drawn.attributes.get("gate_lon")
    if found is None and isinstance(lat, int | float) and isinstance(lon, int | float):
        return float(lon), float(lat)
    return found


def seed_place_of(draft: Draft, drawn: Drawn) -> Place | None:
    """Where the seed of a field stands, if the job file says so."""
    return _place_in(_field_tables(draft).get(id_of(drawn), {}).get("seed_at"))


def _place_in(table: Any) -> Place | None:
    if not isinstance(table, Mapping):
        return None
    lat, lon = table.get("lat"), table.get("lon")
    if isinstance(lat, int | float) and isinstance(lon, int | float):
        return float(lon), float(lat)
    return None


def split_field(draft: Draft, key: str, line: Sequence[Place]) -> tuple[Draft, tuple[str, ...]]:
    """The draft with a field cut along a line, and the keys of its pieces.

    The largest piece keeps the id, and what the job file says of the field; the gate stays with the piece that
    it is nearest to.

    Raises
    ------
    InputError
        If the line does not cross it from edge to edge.
    """
    drawn = _there(draft, key)
    pieces = split(drawn.geometry, line)
    gate = gate_of(draft, drawn)
    away = [0.0 if gate is None else piece.distance(Point(gate)) for piece in pieces]
    at_gate = away.index(min(away))
    if gate is not None and at_gate > 0:
        draft = without_place(draft, key, "gate")
        drawn = _there(draft, key)
    draft = draft.with_drawn(replace(drawn, geometry=pieces[0]))
    keys = [key]
    shared = {k: v for k, v in drawn.attributes.items() if k not in ("id", "gate", "gate_lat", "gate_lon")}
    for number, piece in enumerate(pieces[1:], start=1):
        field_id = free_id(draft, id_of(drawn))
        name = f"{drawn.attributes.get('name', id_of(drawn))} {number + 1}"
        draft, new = with_field(draft, piece, {**shared, "id": field_id, "name": name})
        keys.append(new)
        if gate is not None and number == at_gate:
            draft = with_gate(draft, new, gate)
    return draft, tuple(keys)


def join_fields(draft: Draft, keys: Sequence[str]) -> tuple[Draft, list[Note]]:
    """The draft with fields made one, which is called as the first is.

    Raises
    ------
    InputError
        If one of them touches no other.
    """
    first, *others = [_there(draft, key) for key in keys]
    ground, notes = settled(joined([one.geometry for one in (first, *others)]), id_of(first))
    for one in others:
        draft = without_feature(draft, one.key)
    return draft.with_drawn(replace(first, geometry=ground)), notes


def without_shared_ground(draft: Draft) -> Draft:
    """The draft with ground that two fields share left to the one that comes first."""
    fields = draft.of_layer("fields")
    left, _, _ = without_overlaps(
        {one.key: MultiPolygon(polygons_in(one.geometry)) for one in fields}, repair=True
    )
    for one in fields:
        if one.key not in left:
            draft = without_feature(draft, one.key)
        elif not left[one.key].equals(one.geometry):
            draft = draft.with_drawn(replace(one, geometry=left[one.key]))
    return draft


def shared_ground(grounds: Sequence[BaseGeometry]) -> list[BaseGeometry]:
    """Ground that lies in two of several outlines."""
    tree = shapely.STRtree(grounds)
    pairs = zip(*tree.query(grounds, predicate="intersects").tolist(), strict=True)
    shared = [shapely.intersection(grounds[a], grounds[b]) for a, b in pairs if a < b]
    return [MultiPolygon(parts) for ground in shared if (parts := polygons_in(ground))]


def _there(draft: Draft, key: str) -> Drawn:
    found = feature(draft, key)
    if found is None:
        raise InputError.of("drawn-no-vertex")
    return found


def _field_tables(draft: Draft) -> Mapping[str, Mapping[str, Any]]:
    found = draft.tables.get("field", {})
    return found if isinstance(found, Mapping) else {}


def _with_field_tables(draft: Draft, tables: Mapping[str, Any]) -> Draft:
    left = {name: table for name, table in draft.tables.items() if name != "field"}
    return replace(draft, tables={**left, "field": dict(tables)} if tables else left)


def _with_field_key(draft: Draft, field_id: str, key: str, value: Any) -> Draft:
    tables = _field_tables(draft)
    table = {k: v for k, v in tables.get(field_id, {}).items() if k != key}
    if value is not None:
        table[key] = value
    if table == tables.get(field_id, {}):
        return draft
    changed = {name: t for name, t in tables.items() if name != field_id}
    return _with_field_tables(draft, {**changed, field_id: table} if table else changed)
