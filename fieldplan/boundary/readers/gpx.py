"""GPX 1.0 and 1.1 (the public schema at topografix.com): tracks, routes and waypoints, each a layer.

Read with the standard library: the geographic libraries read a coordinate that is not a number as zero, and
skip a point whose name they do not know.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from pathlib import Path
from xml.etree.ElementTree import Element

import shapely
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.guard import BOUNDARY_FILE, MAX_FEATURES, refuse_features
from fieldplan.boundary.layer import Feature, Layer, MisspelledError, declared_crs
from fieldplan.boundary.markup import local, named, tree_of
from fieldplan.errors import BoundaryError
from fieldplan.facts import fact

_SPACE = "http://www.topografix.com/GPX/"
_TEXTS = ("name", "cmt", "desc", "src", "number", "type", "sym")
_OF_VERSION_1_0 = ("name", "desc", "author", "email", "url", "urlname", "time", "keywords", "bounds")
_CHILDREN = {
    "gpx": ("metadata", "wpt", "rte", "trk", "extensions", *_OF_VERSION_1_0),
    "trk": (*_TEXTS, "link", "extensions", "trkseg", "url", "urlname"),
    "rte": (*_TEXTS, "link", "extensions", "rtept", "url", "urlname"),
    "trkseg": ("trkpt", "extensions"),
}
"""What each element may contain, in either version of the schema."""


class _NowhereError(MisspelledError):
    """A point that lies nowhere: its track or route cannot be used, the rest of the file can."""


def layers(path: Path, name: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """A layer each for tracks, routes and waypoints, if there are any."""
    del name, folder, encoding
    root = tree_of(path, BOUNDARY_FILE)
    crs, _ = declared_crs("EPSG:4326")
    makers: dict[str, tuple[str, Callable[[Element], BaseGeometry]]] = {
        "tracks": ("trk", _track),
        "routes": ("rte", _route),
        "waypoints": ("wpt", _place),
    }
    try:
        _only_known(root, "gpx")
        for layer, (tag, make) in makers.items():
            found = tuple(_feature(element, make) for element in named(root, tag))
            if len(found) > MAX_FEATURES:
                refuse_features()
            if found:
                yield Layer(name=layer, crs=crs, features=found)
    except MisspelledError as misspelled:
        raise BoundaryError.of("gpx-misspelled", why=misspelled.why) from None


def _only_known(parent: Element, within: str) -> None:
    for child in parent:
        space, _, tag = str(child.tag).rpartition("}")
        if tag not in _CHILDREN[within] and (not space or space[1:].startswith(_SPACE)):
            raise MisspelledError(fact("misspelt/holds", within=within, named=tag[:40]))


def _feature(element: Element, make: Callable[[Element], BaseGeometry]) -> Feature:
    attributes = {local(child): (child.text or "").strip() for child in element if local(child) in _TEXTS}
    if local(element) != "wpt":
        _only_known(element, local(element))
    try:
        return Feature(attributes=attributes, geometry=make(element))
    except _NowhereError as nowhere:
        return Feature(attributes=attributes, geometry=None, unreadable=nowhere.why)
    except (ValueError, shapely.errors.ShapelyError) as problem:
        return Feature(attributes=attributes, geometry=None, unreadable=str(problem).splitlines()[0])


def _track(element: Element) -> BaseGeometry:
    segments = []
    for segment in named(element, "trkseg"):
        _only_known(segment, "trkseg")
        segments.append([_lonlat(point) for point in named(segment, "trkpt")])
    lines = [segment for segment in segments if len(segment) > 1]
    if not lines and any(segments):
        return shapely.MultiPoint([segment[0] for segment in segments if segment])
    return shapely.MultiLineString(lines)


def _route(element: Element) -> BaseGeometry:
    places = [_lonlat(point) for point in named(element, "rtept")]
    return shapely.Point(places[0]) if len(places) == 1 else shapely.LineString(places)


def _place(element: Element) -> BaseGeometry:
    return shapely.Point(_lonlat(element))


def _lonlat(point: Element) -> tuple[float, float]:
    try:
        lon, lat = (float(point.attrib[name]) for name in ("lon", "lat"))
    except KeyError as lacking:
        raise _NowhereError(fact("misspelt/point-lacks", name=str(lacking.args[0]))) from None
    except ValueError:
        raise _NowhereError(
            fact("misspelt/point", lat=str(point.get("lat")), lon=str(point.get("lon")))
        ) from None
    if not (math.isfinite(lon) and math.isfinite(lat) and -180 <= lon <= 180 and -90 <= lat <= 90):
        raise _NowhereError(fact("misspelt/point-nowhere", lat=lat, lon=lon))
    return lon, lat
