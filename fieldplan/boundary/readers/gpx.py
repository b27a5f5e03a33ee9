"""GPX 1.0 and 1.1 (the public schema at topografix.com): tracks, routes and waypoints, each a layer.

Read with the standard library: the geographic libraries take a coordinate that is no number for zero, and a
point whose name they do not know for none.
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
_CHILDREN = {
    "gpx": (
        "metadata",
        "wpt",
        "rte",
        "trk",
        "extensions",
        "name",
        "desc",
        "author",
        "email",
        "url",
        "urlname",
        "time",
        "keywords",
        "bounds",
    ),
    "trk": (*_TEXTS, "link", "extensions", "trkseg", "url", "urlname"),
    "rte": (*_TEXTS, "link", "extensions", "rtept", "url", "urlname"),
    "trkseg": ("trkpt", "extensions"),
}
"""What may stand in each element, of both versions of the schema."""


class _NowhereError(MisspelledError):
    """A point that lies nowhere: of its track or route nothing can be used, of the rest of the file all."""


def layers(path: Path, name: str, kind: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """Tracks, routes and waypoints, as far as there are any."""
    del name, kind, folder, encoding
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
            found = tuple(_feature(one, make) for one in named(root, tag))
            if len(found) > MAX_FEATURES:
                refuse_features()
            if found:
                yield Layer(name=layer, crs=crs, features=found)
    except MisspelledError as misspelt:
        raise BoundaryError.of("gpx-misspelled", why=misspelt.why) from None


def _only_known(parent: Element, within: str) -> None:
    for child in parent:
        space, _, own = str(child.tag).rpartition("}")
        if own not in _CHILDREN[within] and (not space or space[1:].startswith(_SPACE)):
            raise MisspelledError(fact("misspelt/holds", within=within, named=own[:40]))


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
    return (
        shapely.MultiLineString(lines)
        if lines or not any(segments)
        else shapely.MultiPoint([segment[0] for segment in segments if segment])
    )


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
