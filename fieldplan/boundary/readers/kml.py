"""KML (OGC 12-007r2), each folder of it a layer, read with the standard library.

The geographic libraries keep one of two outer rings, one of two geometries, and as much as they understand
of coordinates. Here a placemark follows the standard exactly or is unreadable, except for mistakes so
common that they are read: a missing or other namespace, several rings in one inner boundary, and rings that
stand alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

from fieldplan.boundary.guard import (
    BOUNDARY_FILE,
    MAX_FEATURES,
    MAX_FILE_VERTICES,
    refuse_features,
    refuse_vertices,
)
from fieldplan.boundary.layer import MAX_NESTED, Feature, Layer, MisspelledError, declared_crs, feature_of
from fieldplan.boundary.markup import POINTERS, local, named, refuse_pointer, tree_of
from fieldplan.errors import BoundaryError
from fieldplan.facts import Fact, fact

_FOUR_NUMBERS = re.compile(r"(?:^|(?<=\s))[-\d.]+,[-\d.]+,[-\d.]+,[-\d.]+")
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_PLACE = re.compile(rf"\s*({_NUMBER})\s*,\s*({_NUMBER})(?:\s*,\s*(?:{_NUMBER}))?(?=\s|$)")
_CONTAINERS = ("Document", "Folder")
_GEOMETRIES = (
    "Point",
    "LineString",
    "LinearRing",
    "Polygon",
    "MultiGeometry",
    "Track",
    "MultiTrack",
    "Model",
)
_PARTS = ("outerBoundaryIs", "innerBoundaryIs", "coordinates")
_KNOWN = {name.casefold(): name for name in (*_CONTAINERS, *_GEOMETRIES, *_PARTS, "Placemark")}
_NO_GEOMETRY_INSIDE = ("ExtendedData", "Schema", "Style", "StyleMap", "description")
Spelled = dict[str, Any]
"""A geometry as GeoJSON spells it."""


def layers(path: Path, name: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """A layer for each folder that holds placemarks."""
    del folder, encoding
    root = tree_of(path, BOUNDARY_FILE)
    _check_texts(root, path)
    _check_spelling(root)
    links = sum(local(element) == "NetworkLink" for element in root.iter())
    remarks = (fact("links-not-followed", n_links=links),) if links else ()
    crs, _ = declared_crs("EPSG:4326")
    for container in root.iter():
        marks = list(named(container, "Placemark"))
        if len(marks) > MAX_FEATURES:
            refuse_features()
        if marks:
            layer_name = _text(container, "name") or name
            yield Layer(name=layer_name, crs=crs, features=tuple(map(_feature, marks)), remarks=remarks)
            remarks = ()
    if remarks:  # nothing but links, which must be said all the same
        yield Layer(name=name, crs=crs, features=(), remarks=remarks)


def _check_texts(root: Element, path: Path) -> None:
    """Raise an error for pointers hidden by an encoding, decimal commas, and too many vertices."""
    places = 0
    for element in root.iter():
        for text in (element.text, element.tail, str(element.tag), *element.attrib.values()):
            if text and any(mark.decode() in text for mark in POINTERS):
                refuse_pointer(path)
        if local(element) == "coordinates" and element.text:
            places += element.text.count(",")
            pair = _FOUR_NUMBERS.search(element.text)
            if pair:
                raise BoundaryError.of("decimal-commas", given=pair[0][:60])
    if places > 2 * MAX_FILE_VERTICES:
        refuse_vertices()


def _check_spelling(root: Element) -> None:
    """Raise an error for placemarks in the wrong place, and for names in the wrong case."""
    for parent in root.iter():
        tag = local(parent)
        known = _KNOWN.get(tag.casefold(), tag)
        if tag != known:
            raise _misspelled(fact("misspelt/element", named=tag, known=known, format="KML"))
        for child in named(parent, "Placemark"):
            if tag not in (*_CONTAINERS, "kml"):
                raise _misspelled(fact("misspelt/placemark", name=_text(child, "name"), within=tag))


def _misspelled(why: Fact) -> BoundaryError:
    return BoundaryError.of("kml-misspelled", why=why)


def _feature(mark: Element) -> Feature:
    attributes = dict(_attributes(mark))
    try:
        found = [child for child in mark if local(child) in _GEOMETRIES]
        for child in mark:
            if child not in found and local(child) not in _NO_GEOMETRY_INSIDE:
                _refuse_geometry_in(child)
        if len(found) > 1:
            raise MisspelledError(fact("misspelt/geometries", n_geometries=len(found)))
        return feature_of(attributes, _geometry(found[0], 0) if found else None)
    except MisspelledError as misspelled:
        why = misspelled.why
        if "name" in attributes:
            why = fact("unread/placemark", name=attributes["name"][:40], why=why)
        return Feature(attributes=attributes, geometry=None, unreadable=why)


def _refuse_geometry_in(child: Element) -> None:
    stray = next((local(part) for part in child.iter() if local(part) in (*_GEOMETRIES, *_PARTS)), "")
    if stray:
        raise MisspelledError(fact("misspelt/stray-geometry", named=stray))


def _attributes(mark: Element) -> Iterator[tuple[str, str]]:
    """Name, description, id and extended data of a placemark."""
    for tag in ("name", "description"):
        if text := _text(mark, tag):
            yield tag, text
    if mark.get("id"):
        yield "id", str(mark.get("id"))
    for extended in named(mark, "ExtendedData"):
        for data in extended.iter():
            if local(data) == "Data" and data.get("name"):
                yield str(data.get("name")), _text(data, "value")
            elif local(data) == "SimpleData" and data.get("name"):
                yield str(data.get("name")), (data.text or "").strip()


def _text(parent: Element, tag: str) -> str:
    return next((("".join(child.itertext())).strip() for child in named(parent, tag)), "")


def _geometry(element: Element, nested: int) -> Spelled:
    """A geometry as GeoJSON spells it; ``nested`` is in how many others it lies."""
    kind = local(element)
    if kind == "MultiGeometry":
        if nested > MAX_NESTED:
            raise MisspelledError(fact("misspelt/too-deep"))
        parts = [_geometry(child, nested + 1) for child in element if _is_part(child)]
        return {"type": "GeometryCollection", "geometries": parts}
    if kind == "Polygon":
        return {"type": "Polygon", "coordinates": _polygon(element)}
    if kind == "Point":
        places = _places(element)
        if len(places) > 1:
            raise MisspelledError(fact("misspelt/point-of-many", n_places=len(places)))
        return {"type": "Point", "coordinates": places[0] if places else []}
    if kind in ("LineString", "LinearRing"):
        return {"type": "LineString", "coordinates": _places(element)}
    if kind == "MultiTrack":
        tracks = [_geometry(track, nested) for track in named(element, "Track")]
        return {"type": "GeometryCollection", "geometries": tracks}
    if kind == "Track":
        return {"type": "LineString", "coordinates": _spaced(element)}
    return {"type": "Point", "coordinates": []}  # a model of a building has no outline


def _spaced(track: Element) -> list[list[float]]:
    """Positions of a track, whose numbers have spaces between them, not commas."""
    try:
        return [
            [float(number) for number in (coord.text or "").split()[:2]] for coord in named(track, "coord")
        ]
    except ValueError:
        raise MisspelledError(fact("misspelt/track")) from None


def _is_part(child: Element) -> bool:
    if local(child) in _PARTS:
        raise MisspelledError(fact("misspelt/no-geometry", named=local(child)))
    return local(child) in _GEOMETRIES


def _polygon(element: Element) -> list[list[list[float]]]:
    """The rings of a polygon, the outer one first."""
    for child in element:
        if local(child) in (*_GEOMETRIES, "coordinates"):
            raise MisspelledError(fact("misspelt/outside-boundaries", named=local(child)))
    outer = [ring for boundary in named(element, "outerBoundaryIs") for ring in _rings(boundary)]
    inner = [ring for boundary in named(element, "innerBoundaryIs") for ring in _rings(boundary)]
    if len(outer) != 1 and (outer or inner):
        raise MisspelledError(fact("misspelt/polygon-rings", n_rings=len(outer)))
    return [*outer, *inner]


def _rings(boundary: Element) -> list[list[list[float]]]:
    for child in boundary:
        if local(child) in (*_GEOMETRIES, *_PARTS) and local(child) != "LinearRing":
            raise MisspelledError(fact("misspelt/no-ring", named=local(child)))
    return [_places(ring) for ring in named(boundary, "LinearRing")]


def _places(element: Element) -> list[list[float]]:
    found = list(named(element, "coordinates"))
    if len(found) > 1:
        raise MisspelledError(fact("misspelt/lists", kind=local(element), n_lists=len(found)))
    if any(len(coordinates) for coordinates in found):
        raise MisspelledError(fact("misspelt/elements-inside"))
    text = (found[0].text or "").strip() if found else ""
    places, at = [], 0
    while at < len(text):
        match = _PLACE.match(text, at)
        if match is None:
            raise MisspelledError(fact("misspelt/coordinates", given=text[at : at + 40].split()[0]))
        places.append([float(match[1]), float(match[2])])
        at = match.end()
    return places
