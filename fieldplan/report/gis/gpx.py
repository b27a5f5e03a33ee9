"""The plan for a handheld (GPX 1.1): boundaries as tracks, a guidance line per block, stops and gates as
waypoints.
"""

from __future__ import annotations

from xml.etree import ElementTree as ET

import shapely

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.plane.date_line import wrapped_deg
from fieldplan.plane.frame import frame_near
from fieldplan.report.gis.guidance import guidance_line
from fieldplan.report.output import Output, PlanAsked, of_bytes
from fieldplan.report.words.money_and_places import heading_text
from fieldplan.report.words.on_maps import load_text
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import parcel

_NAMESPACE = "http://www.topografix.com/GPX/1/1"


def gpx_bytes(plan: Plan, q: Quantities) -> bytes:
    """GPX 1.1: waypoints, then routes, then tracks, as its schema orders them.

    Only one guidance line per block is a route: with every pass a handheld could not be read.

    Parameters
    ----------
    plan
        The plan to write.
    q
        Units of the loads at stops.
    """
    ET.register_namespace("", _NAMESPACE)
    root = ET.Element(f"{{{_NAMESPACE}}}gpx", {"version": "1.1", "creator": "fieldplan"})
    for field in plan.fields:
        _waypoints(root, field, q)
    for part in (_lines, _tracks):
        for field in plan.fields:
            part(root, field)
    ET.indent(root, " ")
    body: bytes = ET.tostring(root, encoding="utf-8")
    return b'<?xml version="1.0" encoding="UTF-8"?>\n' + body + b"\n"


def _waypoints(root: ET.Element, field: FieldPlan, q: Quantities) -> None:
    frame = frame_near(field.field.ground)
    places = [("gate", field.gate_lonlat, "")] if field.is_drilled else []
    places += [(f"seed stand {n}", at, "") for n, at in enumerate(field.further_stands_lonlat, start=2)]
    places += [
        (
            f"stop {stop.stop}",
            frame.point_to_lonlat(stop.sowing_stops_at.x, stop.sowing_stops_at.y),
            load_text(stop.load_kg, q),
        )
        for stop in field.supply.refills
    ]
    for name, (lon, lat), says in places:
        point = _point(root, "wpt", lon, lat)
        _text(point, "name", f"{field.field.field_id} {name}")
        if says:
            _text(point, "desc", says)


def _lines(root: ET.Element, field: FieldPlan) -> None:
    """The longest pass of each block, from A to B."""
    frame = frame_near(field.field.ground)
    for number, sowing in enumerate(field.coverage.sowings, start=1):
        for block in sowing.blocks:
            route = _child(root, "rte")
            name = f"{field.field.field_id} block {block.block} sowing {number}"
            way = "curve" if block.curves else f"{heading_text(block.heading_deg, 1)} deg"
            _text(route, "name", f"{name}: A to B, {way}")
            for lon, lat in guidance_line(block, frame):
                _point(route, "rtept", lon, lat)


def _tracks(root: ET.Element, field: FieldPlan) -> None:
    track = _child(root, "trk")
    _text(track, "name", f"{parcel(field)} boundary")
    for ring in shapely.get_rings(shapely.get_parts(field.field.ground)):
        segment = _child(track, "trkseg")
        for lon, lat in shapely.get_coordinates(ring):
            _point(segment, "trkpt", lon, lat)


def _point(parent: ET.Element, tag: str, lon: float, lat: float) -> ET.Element:
    element = _child(parent, tag)
    element.set("lat", f"{lat:.8f}")
    element.set("lon", f"{wrapped_deg(lon):.8f}")
    return element


def _child(parent: ET.Element, tag: str) -> ET.Element:
    return ET.SubElement(parent, f"{{{_NAMESPACE}}}{tag}")


def _text(parent: ET.Element, tag: str, text: str) -> None:
    _child(parent, tag).text = plain(text)


OUTPUT: Output[PlanAsked] = Output(
    name="gpx",
    words="for a handheld",
    make=lambda asked: {"plan.gpx": of_bytes(lambda: gpx_bytes(asked.plan, asked.q))},
)
