"""GPX 1.0 and 1.1 (the public schema at topografix.com): tracks, routes and waypoints, each a layer.

Read with the standard library: the geographic libraries take a coordinate that is no number for zero, and a point whose
name they do not know for none.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from xml.etree.ElementTree import Element

import shapely
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.guard import BOUNDARY_FILE, MOST_FEATURES, refuse_features
from fieldplan.boundary.layer import Feature, Layer, declared_crs
from fieldplan.boundary.markup import local, named, tree_of
from fieldplan.errors import BoundaryError

_SPACE = "http://www.topografix.com/GPX/"
_TEXTS = ("name", "cmt", "desc", "src", "number", "type", "sym")
_CHILDREN = {
    "gpx": ("metadata", "wpt", "rte", "trk", "extensions", "name", "desc", "author", "email", "url", "urlname", "time", "keywords", "bounds"),
    "trk": (*_TEXTS, "link", "extensions", "trkseg", "url", "urlname"),
    "rte": (*_TEXTS, "link", "extensions", "rtept", "url", "urlname"),
    "trkseg": ("trkpt", "extensions"),
}  # fmt: skip
"""What may stand in each element, of both versions of the schema."""


@dataclass(frozen=True, slots=True)
class _MisspeltError(Exception):
    """An element that the schema does not have there."""

    what: str


def layers(path: Path, name: str, kind: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """Tracks, routes and waypoints, as far as there are any."""
    del name, kind, folder, encoding
    root = tree_of(path, BOUNDARY_FILE)
    crs, _ = declared_crs("EPSG:4326")
    makers: dict[str, tuple[str, Callable[[Element], BaseGeometry]]] = {"tracks": ("trk", _track), "routes": ("rte", _route), "waypoints": ("wpt", _place)}  # fmt: skip
    try:
        _only_known(root, "gpx")
        for layer, (tag, make) in makers.items():
            found = tuple(_feature(one, make) for one in named(root, tag))
            if len(found) > MOST_FEATURES:
                refuse_features(path)
            if found:
                yield Layer(name=layer, crs=crs, features=found)
    except _MisspeltError as problem:
        raise BoundaryError.of(
            "gpx-misspelled", f"{path}: is not as GPX is written: {problem.what}.", "export it again"
        ) from None


def _only_known(parent: Element, within: str) -> None:
    for child in parent:
        space, _, own = str(child.tag).rpartition("}")
        if own not in _CHILDREN[within] and (not space or space[1:].startswith(_SPACE)):
            raise _MisspeltError(f'"{within}" holds an element "{own[:40]}"')


def _feature(element: Element, make: Callable[[Element], BaseGeometry]) -> Feature:
    attributes = {local(child): (child.text or "").strip() for child in element if local(child) in _TEXTS}
    if local(element) != "wpt":
        _only_known(element, local(element))
    try:
        return Feature(attributes=attributes, geometry=make(element))
    except (ValueError, KeyError, shapely.errors.ShapelyError) as problem:
        reason = f"a point has no {problem.args[0]}" if isinstance(problem, KeyError) else str(problem).splitlines()[0]
        return Feature(attributes=attributes, geometry=None, unreadable=reason)


def _track(element: Element) -> BaseGeometry:
    segments = []
    for segment in named(element, "trkseg"):
        _only_known(segment, "trkseg")
        segments.append([_lonlat(point) for point in named(segment, "trkpt")])
    lines = [one for one in segments if len(one) > 1]
    return (
        shapely.MultiLineString(lines) if lines or not any(segments) else shapely.MultiPoint([one[0] for one in segments if one])
    )


def _route(element: Element) -> BaseGeometry:
    places = [_lonlat(point) for point in named(element, "rtept")]
    return shapely.Point(places[0]) if len(places) == 1 else shapely.LineString(places)


def _place(element: Element) -> BaseGeometry:
    return shapely.Point(_lonlat(element))


def _lonlat(point: Element) -> tuple[float, float]:
    try:
        lon, lat = float(point.attrib["lon"]), float(point.attrib["lat"])
    except ValueError:
        raise ValueError(f'a point at "{point.get("lat")}, {point.get("lon")}" has no numbers') from None
    if not (math.isfinite(lon) and math.isfinite(lat) and -180 <= lon <= 180 and -90 <= lat <= 90):
        raise ValueError(f"a point at {lat}, {lon} lies nowhere on Earth")
    return lon, lat
