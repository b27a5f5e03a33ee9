"""GeoJSON (RFC 7946, and the 2008 format with its ``crs`` member).

Read with the standard library: a ``crs`` that is null, a link or unknown must stop the work, where the geographic
libraries take the coordinates for longitude and latitude without a word; and nothing remote can be opened.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from fieldplan.boundary.layer import Feature, Layer, declared_crs, feature_of
from fieldplan.errors import BoundaryError


def layers(path: Path, name: str, kind: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """The one layer of a GeoJSON file."""
    del kind, folder, encoding
    try:
        document = _parsed(path.read_text(encoding="utf-8-sig"))
    except UnicodeDecodeError:
        raise BoundaryError.of("not-utf8", f"{path}: GeoJSON must be UTF-8 text, and this is not.", "export it again") from None
    except RecursionError:
        raise BoundaryError.of("file-unreadable", f"{path}: nests deeper than any boundary.", "export it again") from None
    if not isinstance(document, dict):
        raise BoundaryError.of("file-unreadable", f"{path}: is JSON, but not GeoJSON.", "export it again as GeoJSON")
    crs, said = declared_crs("EPSG:4326") if "crs" not in document else _crs(document["crs"])
    yield Layer(name=name, crs=crs, crs_said=said, features=tuple(_features(document)))


def _parsed(text: str) -> Any:
    """The JSON of a text; a feature a line is as good as a collection of them."""
    try:
        return json.loads(text)
    except json.JSONDecodeError:
        lines = [line.strip("\x1e \t\r") for line in text.split("\n")]
        if sum(line.startswith("{") and line.endswith("}") for line in lines) < 2:
            raise
        return {"type": "FeatureCollection", "features": [json.loads(line) for line in lines if line]}


def _features(document: dict[str, Any]) -> Iterator[Feature]:
    kind = document.get("type")
    if kind == "FeatureCollection":
        members = document.get("features")
        for one in members if isinstance(members, list) else []:
            yield _feature(one)
    elif kind == "Feature":
        yield _feature(document)
    else:
        yield feature_of({}, document)


def _feature(one: Any) -> Feature:
    if not isinstance(one, dict):
        return Feature(attributes={}, geometry=None, unreadable="it is no GeoJSON feature")
    properties = one.get("properties")
    attributes = {str(key): value for key, value in properties.items()} if isinstance(properties, dict) else {}
    if one.get("id") is not None:
        attributes.setdefault("id", one["id"])
    return feature_of(attributes, one.get("geometry"))


def _crs(member: Any) -> tuple[Any, str]:
    said: dict[str, Any] = member if isinstance(member, dict) else {}
    properties: dict[str, Any] = said["properties"] if isinstance(said.get("properties"), dict) else {}
    if said.get("type") == "name":
        name = str(properties.get("name", ""))
        code = re.search(r"epsg\.xml#(\d+)$", name)
        return declared_crs(f"EPSG:{code[1]}" if code else name)
    if said.get("type") == "EPSG":
        return declared_crs(f"EPSG:{properties.get('code')}")
    if said.get("type") == "link":
        return None, "says that its reference system stands at another address, which is not looked up"
    return None, "says that its reference system is not known"
