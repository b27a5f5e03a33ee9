"""GeoJSON (RFC 7946, and the 2008 format with its ``crs`` member).

Read with the standard library. A ``crs`` that is null, a link or unknown must stop the work, but geographic
libraries silently take the coordinates for longitude and latitude; and nothing remote can be opened. Names
and types must be spelled exactly as in the standard, because another spelling could mean another thing.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from pyproj import CRS

from fieldplan.boundary.guard import (
    BOUNDARY_FILE,
    LARGEST_TEXT_BYTES,
    MAX_FEATURES,
    MAX_FILE_VERTICES,
    refuse_features,
    refuse_vertices,
)
from fieldplan.boundary.layer import Feature, Layer, declared_crs, feature_of
from fieldplan.errors import BoundaryError
from fieldplan.facts import Fact, fact
from fieldplan.files import content_of

_SIMPLE = ("Point", "LineString", "Polygon")
_GEOMETRIES = (*_SIMPLE, *(f"Multi{kind}" for kind in _SIMPLE), "GeometryCollection")
_KINDS = {kind.casefold(): kind for kind in (*_GEOMETRIES, "Feature", "FeatureCollection")}


def layers(path: Path, name: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """The one layer of a GeoJSON file."""
    del folder, encoding
    content = content_of(path, replace(BOUNDARY_FILE, max_bytes=LARGEST_TEXT_BYTES))
    if content.count(b"[") > MAX_FILE_VERTICES:  # before they take up memory
        refuse_vertices()
    try:
        document = _parsed(content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise BoundaryError.of("not-utf8") from None
    except RecursionError:
        raise BoundaryError.of("file-unreadable/too-deep") from None
    if not isinstance(document, dict):
        raise BoundaryError.of("file-unreadable/other-json")
    crs, statement = declared_crs("EPSG:4326") if "crs" not in document else _crs(document["crs"])
    yield Layer(name=name, crs=crs, crs_statement=statement, features=tuple(_features(document)))


def _parsed(text: str) -> Any:
    """The JSON of a text; features on a line each become a collection."""
    try:
        return json.loads(text, object_pairs_hook=_without_twins)
    except json.JSONDecodeError:
        lines = [line.strip("\x1e \t\r") for line in text.split("\n")]
        n_whole = sum(line.startswith("{") and line.endswith("}") for line in lines)
        if n_whole < (1 if text.startswith("\x1e") else 2):
            raise
        features = [json.loads(line, object_pairs_hook=_without_twins) for line in lines if line]
        return {"type": "FeatureCollection", "features": features}


def _without_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        kind = found["type"] if isinstance(found.get("type"), str) else ""
        # readers differ in which of the two they take
        raise BoundaryError.of("json-name-twice", name=twice[:40], kind=kind)
    return found


def _features(document: dict[str, Any]) -> Iterator[Feature]:
    kind = document.get("type")
    if kind == "FeatureCollection":
        members = document.get("features")
        if not isinstance(members, list):
            raise _not_geojson(fact("misspelt/no-features"))
        if len(members) > MAX_FEATURES:
            refuse_features()
        yield from map(_feature, members)
    elif kind == "Feature":
        yield _feature(document)
    elif kind in _GEOMETRIES:
        yield feature_of({}, document)
    else:
        meant = _KINDS.get(str(kind).casefold())
        raise _not_geojson(fact("misspelt/json-type", kind=str(kind)[:40], meant=meant or ""))


def _feature(member: Any) -> Feature:
    if not isinstance(member, dict):
        return Feature(attributes={}, geometry=None, unreadable=fact("misspelt/no-feature"))
    properties = member.get("properties")
    attributes: dict[str, Any] = {}
    if isinstance(properties, dict):
        attributes = {str(key): value for key, value in properties.items()}
    if member.get("id") is not None:
        attributes.setdefault("id", member["id"])
    if wrong := _wrong_with(member):
        return Feature(attributes=attributes, geometry=None, unreadable=wrong)
    return feature_of(attributes, member["geometry"])


def _wrong_with(member: dict[str, Any]) -> Fact | None:
    if member.get("type") != "Feature":
        return fact("misspelt/not-feature", kind=str(member.get("type"))[:40])
    if "geometry" not in member:
        return fact("misspelt/lacks", name="geometry")
    stray = next((name for name in ("features", "geometries", "coordinates") if name in member), "")
    return fact("misspelt/beside-geometry", name=stray) if stray else None


def _not_geojson(why: Fact) -> BoundaryError:
    return BoundaryError.of("geojson-misspelled", why=why)


def _crs(member: Any) -> tuple[CRS | None, Fact | None]:
    """The reference system of the ``crs`` member of the 2008 format, or what it says instead."""
    statement: dict[str, Any] = member if isinstance(member, dict) else {}
    given = statement.get("properties")
    properties: dict[str, Any] = given if isinstance(given, dict) else {}
    if statement.get("type") == "name":
        name = str(properties.get("name", ""))
        code = re.search(r"epsg\.xml#(\d+)$", name)
        return declared_crs(f"EPSG:{code[1]}" if code else name)
    if statement.get("type") == "EPSG":
        return declared_crs(f"EPSG:{properties.get('code')}")
    if statement.get("type") == "link":
        return None, fact("crs-said/address")
    return None, fact("crs-said/not-known")
