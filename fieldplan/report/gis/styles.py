"""Default styles inside a GeoPackage, in the table ``layer_styles`` that desktop maps look for."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from xml.etree import ElementTree as ET

from fieldplan.report.gis.layers import KINDS

_TIME = "2000-01-01T00:00:00.000Z"
_LINES = {
    "headland": ("213,94,0", "0.4", "dash"),
    "passes": ("0,114,178", "0.3", "solid"),
    "turns": ("102,102,102", "0.2", "dot"),
    "drive_line": ("0,0,0", "0.2", "dash"),
    "over_grade": ("204,121,167", "0.8", "solid"),
    "guides": ("0,0,0", "0.5", "dot"),
}
_LOOKS = {
    "turns": (
        ("backing", "\"shape\" = 'backing'", ("0,0,0", "0.3", "dash")),
        ("outside", "\"shape\" = 'outside'", ("204,121,167", "1", "solid")),
    )
}
"""Looks of their own within a layer: label, which features have it, and the line."""
_AREAS = {
    "fields": ("255,255,255", "0", "solid"),
    "missed": ("0,0,0", "255", "solid"),
    "slope": ("120,94,60", "40", "solid"),
    "excluded": ("0,0,0", "255", "f_diagonal"),
}
_POINTS = {"refills": ("240,228,66", "circle"), "gates": ("0,158,115", "triangle")}
_COLUMNS = (
    "id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL",
    "f_table_catalog TEXT(256)",
    "f_table_schema TEXT(256)",
    "f_table_name TEXT(256)",
    "f_geometry_column TEXT(256)",
    "styleName TEXT(30)",
    "styleQML TEXT",
    "styleSLD TEXT",
    "useAsDefault BOOLEAN",
    "description TEXT",
    "owner TEXT(30)",
    "ui TEXT(30)",
    "update_time DATETIME",
)


def add_styles(path: Path) -> None:
    """Add a default style for each layer.

    Parameters
    ----------
    path
        A GeoPackage that holds the layers of `KINDS`.
    """
    with closing(sqlite3.connect(path)) as base, base:
        base.execute(f"CREATE TABLE layer_styles ({', '.join(_COLUMNS)})")
        base.execute(
            "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change) VALUES (?, ?, ?, ?, ?)",
            ("layer_styles", "attributes", "layer_styles", "", _TIME),
        )
        for layer in KINDS:
            base.execute(
                "INSERT INTO layer_styles (f_table_catalog, f_table_schema, f_table_name, f_geometry_column, styleName, styleQML, styleSLD,"
                " useAsDefault, description, owner, ui, update_time) VALUES ('', '', ?, 'geom', ?, ?, '', 1, '', '', '', ?)",
                (layer, layer, _qml(layer), _TIME),
            )


def _qml(layer: str) -> str:
    """One symbol for the layer, or one for each of its looks, in the style language of the table."""
    root = ET.Element("qgis", {"version": "3.28"})
    looks = _LOOKS.get(layer, ())
    kind = "RuleRenderer" if looks else "singleSymbol"
    renderer = ET.SubElement(root, "renderer-v2", {"type": kind, "symbollevels": "0"})
    if looks:
        rules = ET.SubElement(renderer, "rules", {"key": layer})
        chosen = [("others", "ELSE"), *((label, which) for label, which, _ in looks)]
        for n, (label, which) in enumerate(chosen):
            rule = {"key": f"{layer}{n}", "symbol": str(n), "label": label, "filter": which}
            ET.SubElement(rules, "rule", rule)
    symbols = ET.SubElement(renderer, "symbols")
    for n, symbol in enumerate([_symbol_of(layer), *(_line(*look) for *_, look in looks)]):
        _draw(symbols, str(n), *symbol)
    return ET.tostring(root, encoding="unicode")


def _symbol_of(layer: str) -> tuple[str, str, dict[str, str]]:
    """Kind of symbol, what draws it, and how."""
    if layer in _LINES:
        return _line(*_LINES[layer])
    if layer in _AREAS:
        color, opacity, fill = _AREAS[layer]
        outline = {"outline_color": "0,0,0,255", "outline_width": "0.5"}
        return "fill", "SimpleFill", {"color": f"{color},{opacity}", "style": fill, **outline}
    color, mark = _POINTS[layer]
    look = {"color": f"{color},255", "name": mark, "size": "3", "outline_color": "0,0,0,255"}
    return "marker", "SimpleMarker", look


def _line(color: str, width: str, dash: str) -> tuple[str, str, dict[str, str]]:
    look = {"line_color": f"{color},255", "line_width": width, "line_style": dash}
    return "line", "SimpleLine", look


def _draw(symbols: ET.Element, name: str, kind: str, drawn_by: str, look: dict[str, str]) -> None:
    shape = ET.SubElement(
        symbols, "symbol", {"type": kind, "name": name, "alpha": "1", "clip_to_extent": "1"}
    )
    drawn = ET.SubElement(shape, "layer", {"class": drawn_by, "enabled": "1", "locked": "0", "pass": "0"})
    listed = ET.SubElement(drawn, "Option", {"type": "Map"})
    for option, value in look.items():
        ET.SubElement(listed, "Option", {"type": "QString", "name": option, "value": value})
