"""What the map is told of a draft: each feature as areas, lines and points, and the marks of its fields."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import shapely
from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.web.draft import Draft, Drawn
from fieldplan.web.drawing import rings_of
from fieldplan.web.ground import gate_of, id_of, seed_place_of
from fieldplan.web.parts.where.ground_map import as_list

_ORDER = {"fields": 0, "exclusions": 1, "edges": 2, "guides": 3}
KIND = {
    "fields": "field",
    "exclusions": "ground not planted",
    "edges": "edge",
    "guides": "guide line",
}
"""What a feature of a layer is called."""


def shapes(geometry: BaseGeometry) -> dict[str, Any]:
    """A geometry as areas (each a list of rings), lines and points."""
    parts = list(_simple(geometry))
    return {
        "areas": [[as_list(r) for r in rings_of(part)] for part in parts if isinstance(part, Polygon)],
        "lines": [as_list(rings_of(part)[0]) for part in parts if isinstance(part, LineString)],
        "points": [as_list(rings_of(part)[0])[0] for part in parts if isinstance(part, Point)],
    }


def _simple(geometry: BaseGeometry) -> Iterator[BaseGeometry]:
    for part in shapely.get_parts(geometry):
        if hasattr(part, "geoms"):
            yield from _simple(part)
        elif not part.is_empty:
            yield part


def features(draft: Draft, chosen: str) -> list[dict[str, Any]]:
    """Every feature, those below first, the chosen one on top."""
    order = sorted(draft.ground, key=lambda one: (one.key == chosen, _ORDER[one.layer]))
    return [
        {
            "key": one.key,
            "layer": one.layer,
            "chosen": one.key == chosen,
            "open": one.attributes.get("edge") == "open",
            "text": name_of(one) if one.layer in ("fields", "exclusions") else "",
            "text_at": list(_text_at(one.geometry)),
            **shapes(one.geometry),
        }
        for one in order
    ]


def _text_at(geometry: BaseGeometry) -> tuple[float, float]:
    """Where the name of a feature stands: inside it, and not in a hole."""
    inside = geometry.representative_point()
    return inside.x, inside.y


def name_of(drawn: Drawn) -> str:
    """What a feature is called on the page."""
    match drawn.layer:
        case "fields":
            return str(drawn.attributes.get("name", id_of(drawn)))
        case "exclusions":
            return str(drawn.attributes.get("reason", KIND["exclusions"]))
        case "edges":
            return f"{drawn.attributes.get('edge', '')} edge".strip()
    return KIND[drawn.layer]


def marks(draft: Draft) -> list[dict[str, Any]]:
    """The gates, and the places of the seed."""
    found = []
    for one in draft.of_layer("fields"):
        for what, text, place in (
            ("gate", "gate", gate_of(draft, one)),
            ("seed", "seed", seed_place_of(draft, one)),
        ):
            if place is not None:
                found.append({"key": one.key, "what": what, "text": text, "place": list(place)})
    return found
