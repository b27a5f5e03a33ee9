"""The plan for a phone: KML in folders with styles, loose or zipped as KMZ."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from xml.etree import ElementTree as ET

import shapely
from shapely.geometry.base import BaseGeometry

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.plane.date_line import as_written
from fieldplan.plane.frame import frame_near
from fieldplan.report.data.zips import zip_of
from fieldplan.report.output import Output, PlanAsked, of_bytes
from fieldplan.report.words.on_maps import excluded_text, load_text
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import parcel

_NAMESPACE = "http://www.opengis.net/kml/2.2"
_STYLES = {
    "fields": ("ff000000", 2.0),
    "excluded": ("ff4040c0", 2.0),
    "headland": ("ff005ed5", 1.5),
    "passes": ("ffb27200", 1.0),
}
"""Line colors as aabbggrr, and widths."""
_SOWN = (("headland", "Headland", "headland", "headland segment"), ("pass", "Passes", "passes", "pass"))
"""Kinds of sown legs: the name of their folder, their style, and what each is called."""


def kml_bytes(plan: Plan, q: Quantities) -> bytes:
    """KML 2.2: a folder for each field with its outline, excluded ground, headland, passes, stops with their loads,
    and gate.

    Parameters
    ----------
    plan
        The plan to write.
    q
        Units of the acres at each outline, of set-backs and of loads.
    """
    ET.register_namespace("", _NAMESPACE)
    root = ET.Element(f"{{{_NAMESPACE}}}kml")
    document = _child(root, "Document")
    _text(document, "name", f"Plan for {plan.job.path.name}")
    for name, (color, width) in _STYLES.items():
        style = _child(document, "Style")
        style.set("id", name)
        line = _child(style, "LineStyle")
        _text(line, "color", color)
        _text(line, "width", f"{width:g}")
        _text(_child(style, "PolyStyle"), "fill", "0")
    for field in plan.fields:
        _field(document, field, q)
    ET.indent(root, " ")
    body: bytes = ET.tostring(root, encoding="utf-8")
    return b'<?xml version="1.0" encoding="UTF-8"?>\n' + body + b"\n"


def write_kmz(plan: Plan, q: Quantities, path: Path) -> None:
    """Write the KML in a zip, the same bytes for the same plan.

    Parameters
    ----------
    plan
        The plan to write.
    q
        Units of the acres at each outline.
    path
        The file to write.
    """
    path.write_bytes(zip_of("doc.kml", kml_bytes(plan, q)))


def _field(document: ET.Element, field: FieldPlan, q: Quantities) -> None:
    frame = frame_near(field.field.ground)
    folder = _child(document, "Folder")
    _text(folder, "name", parcel(field))
    totals = field.totals
    figures = {
        f"to_sow_{q.area_word}": totals.plantable_m2 / q.area_unit_m2,
        f"meter_{q.area_word}": totals.drilled_m2 / q.area_unit_m2,
    }
    _placemark(folder, field.field.field_id, "fields", field.field.ground, figures)
    for piece in field.field.excluded:
        _placemark(folder, excluded_text(piece, q), "excluded", piece.ground)
    for kind, title, style, name in _SOWN:
        inner = _child(folder, "Folder")
        _text(inner, "name", title)
        for leg in (timed.leg for timed in field.time.legs if timed.leg.kind == kind):
            _placemark(inner, f"{name} {leg.number}", style, frame.to_lonlat(leg.line))
    for refill in field.supply.refills:
        place = frame.to_lonlat(refill.sowing_stops_at)
        _placemark(folder, f"refill stop {refill.stop}", "", place, says=load_text(refill.load_kg, q))
    if field.is_drilled:
        _placemark(folder, "gate", "", shapely.Point(field.gate_lonlat))
    for n, at in enumerate(field.further_stands_lonlat, start=2):
        _placemark(folder, f"seed stand {n}", "", shapely.Point(at))


def _placemark(
    parent: ET.Element,
    name: str,
    style: str,
    geometry: BaseGeometry,
    figures: Mapping[str, float] | None = None,
    says: str = "",
) -> None:
    """A placemark; its parts are in the order of the schema: text and figures before the geometry."""
    mark = _child(parent, "Placemark")
    _text(mark, "name", name)
    if says:
        _text(mark, "description", says)
    if style:
        _text(mark, "styleUrl", f"#{style}")
    if figures:
        data = _child(mark, "ExtendedData")
        for key, value in figures.items():
            item = _child(data, "Data")
            item.set("name", key)
            _text(item, "value", f"{value:.2f}")
    parts = shapely.get_parts(as_written(geometry))
    holder = _child(mark, "MultiGeometry") if len(parts) > 1 else mark
    for part in parts:
        if part.geom_type == "Polygon":
            polygon = _child(holder, "Polygon")
            rings = [
                ("outerBoundaryIs", part.exterior),
                *(("innerBoundaryIs", hole) for hole in part.interiors),
            ]
            for tag, ring in rings:
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


LOOSE: Output[PlanAsked] = Output(
    name="kml",
    words="for a phone",
    make=lambda asked: {"plan.kml": of_bytes(lambda: kml_bytes(asked.plan, asked.q))},
)
ZIPPED: Output[PlanAsked] = Output(
    name="kmz",
    words="the same, zipped",
    make=lambda asked: {"plan.kmz": lambda path: write_kmz(asked.plan, asked.q, path)},
)
