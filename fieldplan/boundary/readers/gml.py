"""GML (OGC 07-036 and 02-069), read with fiona once the elements of the document have been checked.

The library reads coordinates only as far as they are numbers, keeps one of two outer rings, and assumes one
reference system for all geometries.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from xml.etree.ElementTree import Element

import shapely

from fieldplan.boundary.guard import BOUNDARY_FILE, MAX_FILE_VERTICES, refuse_vertices
from fieldplan.boundary.layer import Layer, MisspelledError
from fieldplan.boundary.markup import local, named, tree_of
from fieldplan.boundary.readers.curves import STRAIGHTENED
from fieldplan.boundary.readers.listing import layer_names
from fieldplan.boundary.readers.one_layer import read_layer, under_fixed_name
from fieldplan.errors import BoundaryError, Problem, problem
from fieldplan.facts import fact

_GEOMETRIES = (
    "Point",
    "LineString",
    "LinearRing",
    "Curve",
    "CompositeCurve",
    "Polygon",
    "Surface",
    "PolyhedralSurface",
    "CompositeSurface",
    "MultiPoint",
    "MultiLineString",
    "MultiCurve",
    "MultiPolygon",
    "MultiSurface",
    "MultiGeometry",
    "Solid",
    "Box",
    "Envelope",
)
_WITH_RINGS = ("Polygon", "PolygonPatch", "Rectangle", "Triangle")
_ARCS = (
    "Arc",
    "ArcString",
    "ArcByCenterPoint",
    "ArcByBulge",
    "ArcStringByBulge",
    "Circle",
    "CircleByCenterPoint",
)
_FREE_CURVES = ("BSpline", "Bezier", "CubicSpline", "Clothoid", "OffsetCurve", "GeodesicString", "Geodesic")
_OUTER, _INNER = ("exterior", "outerBoundaryIs"), ("interior", "innerBoundaryIs")
_PLACES = ("pos", "posList", "coordinates", "coord")
_KNOWN = {
    name.casefold(): name for name in (*_GEOMETRIES, *_WITH_RINGS, *_ARCS, *_OUTER, *_INNER, *_PLACES)
}
_MEMBERS = ("featureMember", "featureMembers", "member", "members")
_CODE = re.compile(r"(\d{4,6})\D*$")
_OPTIONS = {"DOWNLOAD_SCHEMA": "NO"}
"""The library would fetch the schema that a file names."""


def layers(path: Path, name: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """Every layer that has geometry."""
    del encoding
    root = tree_of(path, BOUNDARY_FILE)
    bounds = {id(part) for bound in root.iter() if local(bound) == "boundedBy" for part in bound.iter()}
    elements = [element for element in root.iter() if id(element) not in bounds]
    n_vertices = _n_vertices(elements)
    _one_reference_system(root, elements)
    place = under_fixed_name(path, folder / "read" / "boundary.gml")
    names = layer_names(place) or _kinds_of_features(root)
    titles = {"boundary": name}  # of the copy: the file's own name
    found = [read_layer(place, "GML", key, titles.get(key, key), **_OPTIONS) for key in names]
    read = [layer for layer in found if layer is not None]
    curved = any(local(element) in _ARCS for element in elements)
    losses = tuple(_losses(root, read, None if curved else n_vertices))
    for layer in read:
        yield replace(
            layer,
            losses=(*layer.losses, *losses),
            remarks=(*layer.remarks, *((STRAIGHTENED,) if curved else ())),
        )
        losses, curved = (), False


def _kinds_of_features(root: Element) -> tuple[str, ...]:
    """Names of the elements that are features: the library makes a layer of each."""
    return tuple(
        dict.fromkeys(
            local(child) for member in root.iter() if local(member) in _MEMBERS for child in member
        )
    )


def _n_vertices(elements: list[Element]) -> int:
    """How many vertices all geometries have; each geometry is checked on the way."""
    total = number = 0
    for element in elements:
        tag = local(element)
        number += tag in _WITH_RINGS
        try:
            known = _KNOWN.get(tag.casefold(), tag)
            if tag != known and "opengis.net/gml" in str(element.tag):
                raise MisspelledError(fact("misspelt/element", named=tag, known=known, format="GML"))
            if tag in _FREE_CURVES:
                raise MisspelledError(fact("misspelt/curve", kind=tag))
            if tag in _WITH_RINGS:
                _check_rings(element)
            if tag in _PLACES:
                total += _n_places(element, tag)
        except MisspelledError as misspelled:
            raise BoundaryError.of("gml-misspelled", polygon=number, why=misspelled.why) from None
        if total > MAX_FILE_VERTICES:
            refuse_vertices()
    return total


def _check_rings(polygon: Element) -> None:
    outer, inner = list(named(polygon, *_OUTER)), list(named(polygon, *_INNER))
    if len(outer) != 1 and (outer or inner):
        raise MisspelledError(fact("misspelt/outer-rings", n_rings=len(outer)))
    for boundary in (*outer, *inner):
        if len(boundary) != 1 and (local(boundary) in _OUTER or len(boundary) == 0):
            raise MisspelledError(fact("misspelt/rings", n_rings=len(boundary)))
        positions = [element for element in boundary.iter() if local(element) in _PLACES]
        if not any((element.text or "").strip() or len(element) for element in positions):
            raise MisspelledError(fact("misspelt/empty-ring"))


def _n_places(element: Element, kind: str) -> int:
    if kind == "coord":
        numbers, dimension = [(child.text or "").strip() for child in element], len(element)
    elif len(element):
        raise MisspelledError(fact("misspelt/elements-inside"))
    elif kind == "coordinates":
        return _n_tuples(element)
    else:
        numbers = (element.text or "").split()
        dimension = len(numbers) if kind == "pos" else _dimension(element)
    _check_numbers(numbers)
    if numbers and (not 2 <= dimension <= 4 or (len(numbers) % dimension and len(numbers) % 3)):
        raise MisspelledError(fact("misspelt/no-places", n_numbers=len(numbers)))
    return len(numbers) // dimension if numbers else 0


def _dimension(element: Element) -> int:
    """How many numbers a position of a list has, as the list says; 2 if it does not say so."""
    statement = element.get("srsDimension") or element.get("dimension") or ""
    return int(statement) if statement.isdigit() and int(statement) else 2


def _n_tuples(element: Element) -> int:
    decimal, between, apart = element.get("decimal", "."), element.get("cs", ","), element.get("ts", " ")
    text = (element.text or "").replace("\n", " ").replace("\t", " ")
    positions = [position.strip() for position in text.split(apart) if position.strip()]
    for position in positions:
        numbers = [part.strip().replace(decimal, ".") for part in position.split(between)]
        _check_numbers(numbers)
        if not 2 <= len(numbers) <= 4:
            raise MisspelledError(fact("misspelt/no-place", given=position[:40]))
    return len(positions)


def _check_numbers(numbers: list[str]) -> None:
    for number in numbers:
        try:
            float(number)
        except ValueError:
            raise MisspelledError(fact("misspelt/no-number", given=number[:40])) from None


def _one_reference_system(root: Element, elements: list[Element]) -> None:
    """Raise an error if geometries are in several reference systems, or not in the document's."""
    of_parts = {
        statement for element in elements if (statement := element.get("srsName")) and element is not root
    }
    boxes = [element for element in root.iter() if local(element) in ("Envelope", "Box")]
    of_all = {statement for box in boxes if (statement := box.get("srsName"))}
    if of_parts and len({_system(statement) for statement in of_parts | of_all}) > 1:
        raise BoundaryError.of("crs-mixed/geometries", names=tuple(sorted(of_parts | of_all)[:4]))


def _system(statement: str) -> tuple[str, bool]:
    """A reference system's code, and whether its name keeps the system's order of axes."""
    code = _CODE.search(statement)
    keeps_axes = statement.lower().startswith(("urn:", "http://www.opengis.net/def/crs"))
    return (code[1] if code else statement), keeps_axes


def _losses(root: Element, layers_read: list[Layer], n_vertices: int | None) -> Iterator[Problem]:
    """What the document says it has and was not read."""
    features = [feature for layer in layers_read for feature in layer.features]
    members = [member for holder in root.iter() if local(holder) in _MEMBERS for member in holder]
    for attribute in ("numberReturned", "numberOfFeatures"):
        statement = root.get(attribute, "")
        if statement.isdigit() and members and int(statement) != len(members):
            yield problem("features-lost/stated", n_stated=int(statement), n_held=len(members))
    matched, returned = root.get("numberMatched", ""), root.get("numberReturned", "")
    if matched.isdigit() and returned.isdigit() and int(returned) < int(matched):
        yield problem("features-lost/part", n_held=int(returned), n_stated=int(matched))
    n_drawn = sum(
        any(local(part) in _GEOMETRIES and local(part) not in ("Envelope", "Box") for part in member.iter())
        for member in members
    )
    n_read = sum(feature.geometry is not None or bool(feature.unreadable) for feature in features)
    if n_read < n_drawn:
        yield problem("features-lost/drawn", n_held=n_drawn, n_read=n_read)
    elif n_vertices is not None and not any(feature.unreadable for feature in features):
        drawn = [feature.geometry for feature in features if feature.geometry is not None]
        read = int(shapely.get_num_coordinates(drawn).sum())
        if read < n_vertices:
            yield problem("features-lost/places", n_held=n_vertices, n_read=read)
