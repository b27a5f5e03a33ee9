"""The plan for a phone: KML in folders with styles, loose or zipped as KMZ."""

from __future__ import annotations

import zipfile
from collections.abc import Mapping
from pathlib import Path
from xml.etree import ElementTree as ET

import shapely
from shapely.geometry.base import BaseGeometry

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.plane.frame import frame_near
from fieldplan.report.plain import plain
from fieldplan.units import ACRE_M2

_NAMESPACE = "http://www.opengis.net/kml/2.2"
_STYLES = {"fields": ("ff000000", 2.0), "headland": ("ff005ed5", 1.5), "passes": ("ffb27200", 1.0)}
"""Line colours as aabbggrr, and widths."""
_FIXED_TIME = (1980, 1, 1, 0, 0, 0)


def kml_bytes(plan: Plan) -> bytes:
    """KML 2.2: a folder a field with its outline, headland, passes, stops and gate."""
    ET.register_namespace("", _NAMESPACE)
    root = ET.Element(f"{{{_NAMESPACE}}}kml")
    document = _child(root, "Document")
    _text(document, "name", f"Plan for {plan.job.path.name}")
    for name, (colour, width) in _STYLES.items():
        style = _child(document, "Style")
        style.set("id", name)
        line = _child(style, "LineStyle")
        _text(line, "color", colour)
        _text(line, "width", f"{width:g}")
        _text(_child(style, "PolyStyle"), "fill", "0")
    for one in plan.fields:
        _field(document, one)
    ET.indent(root, " ")
    body: bytes = ET.tostring(root, encoding="utf-8")
    return b'<?xml version="1.0" encoding="UTF-8"?>\n' + body + b"\n"


def write_kmz(plan: Plan, path: Path) -> None:
    """The KML in a zip, the same bytes for the same plan."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(zipfile.ZipInfo("doc.kml", _FIXED_TIME), kml_bytes(plan), zipfile.ZIP_DEFLATED)


def _field(document: ET.Element, one: FieldPlan) -> None:
    frame = frame_near(one.field.ground)
    folder = _child(document, "Folder")
    _text(folder, "name", f"{one.field.field_id} {one.field.name}")
    acres = {"to_sow_acres": one.field.plantable_m2 / ACRE_M2, "meter_acres": one.coverage.audit.drilled_m2 / ACRE_M2}
    _placemark(folder, one.field.field_id, "fields", one.field.ground, acres)
    for kind, title in (("headland", "Headland"), ("pass", "Passes")):
        inner = _child(folder, "Folder")
        _text(inner, "name", title)
        legs = [timed.leg for timed in one.time.legs if timed.leg.kind == kind]
        for number, leg in enumerate(legs, start=1):
            _placemark(
                inner,
                f"{'headland side' if kind == 'headland' else 'pass'} {number}",
                "passes" if kind == "pass" else "headland",
                frame.to_lonlat(leg.line),
            )
    for refill in one.supply.refills:
        _placemark(folder, f"refill stop {refill.stop}", "", frame.to_lonlat(refill.sowing_stops_at))
    if one.is_drilled:
        _placemark(folder, "gate", "", shapely.Point(one.gate_lonlat))


def _placemark(
    parent: ET.Element, name: str, style: str, geometry: BaseGeometry, figures: Mapping[str, float] | None = None
) -> None:
    """A placemark; its parts stand in the order of the schema: figures before the geometry."""
    mark = _child(parent, "Placemark")
    _text(mark, "name", name)
    if style:
        _text(mark, "styleUrl", f"#{style}")
    if figures:
        data = _child(mark, "ExtendedData")
        for key, value in figures.items():
            item = _child(data, "Data")
            item.set("name", key)
            _text(item, "value", f"{value:.2f}")
    parts = shapely.get_parts(geometry)
    holder = _child(mark, "MultiGeometry") if len(parts) > 1 else mark
    for part in parts:
        if part.geom_type == "Polygon":
            polygon = _child(holder, "Polygon")
            for tag, ring in [("outerBoundaryIs", part.exterior), *(("innerBoundaryIs", hole) for hole in part.interiors)]:
                _coordinates(_child(_child(polygon, tag), "LinearRing"), ring)
        else:
            element = _child(holder, part.geom_type)
            if part.geom_type == "LineString":
                _text(element, "tessellate", "1")
            _coordinates(element, part)


def _coordinates(parent: ET.Element, geometry: BaseGeometry) -> None:
    _text(parent, "coordinates", " ".join(f"{x:.8f},{y:.8f}" for x, y in shapely.get_coordinates(geometry)))


def _child(parent: ET.Element, tag: str) -> ET.Element:
    return ET.SubElement(parent, f"{{{_NAMESPACE}}}{tag}")


def _text(parent: ET.Element, tag: str, text: str) -> None:
    _child(parent, tag).text = plain(text)
