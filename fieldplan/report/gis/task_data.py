"""The plan for a cab terminal: ISO 11783-10 task data, version 4 and version 3.

Field, boundary with obstacles, a guidance line per block, products, and a planned task with one rate zone.
Version 3 has no guidance groups: its lines are in the field itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Literal
from xml.etree import ElementTree as ET

import shapely
from shapely import Polygon

from fieldplan.model.coverage import Block
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.plane.date_line import as_written, wrapped_deg
from fieldplan.plane.frame import Frame, frame_near
from fieldplan.report.data.zips import zip_of
from fieldplan.report.gis.guidance import guidance_line
from fieldplan.report.output import Output, PlanAsked, of_bytes
from fieldplan.report.words.money_and_places import heading_text
from fieldplan.report.words.on_maps import excluded_text, load_text
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import parcel
from fieldplan.version import VERSION

LONGEST = 32
OBSTACLE = "6"
"""The type of a polygon that is an obstacle."""
SETPOINT_MASS = "0006"
"""Data dictionary entity 6, setpoint mass per area, in mg/m²."""
_MG_PER_KG = 1_000_000
Version = Literal[3, 4] | int


def task_data(plan: Plan, version: Version, q: Quantities) -> bytes:
    """TASKDATA.XML of a whole job.

    Parameters
    ----------
    plan
        The plan to write.
    version
        Major version of the standard, 3 or 4.
    q
        Units of loads and set-backs in the names of stops and excluded ground.
    """
    root = ET.Element(
        "ISO11783_TaskData",
        {
            "VersionMajor": str(version),
            "VersionMinor": "3",
            "ManagementSoftwareManufacturer": "fieldplan",
            "ManagementSoftwareVersion": VERSION,
            "DataTransferOrigin": "1",
        },
    )
    products = {
        lot: f"PDT{n}"
        for n, lot in enumerate(dict.fromkeys((line.species, line.lot) for line in plan.order), start=1)
    }
    for (species, lot), key in products.items():
        ET.SubElement(root, "PDT", {"A": key, "B": _short(f"{species} {lot}")})
    for number, field in enumerate(plan.fields, start=1):
        _field(root, field, number, version, q)
    for number, field in enumerate(plan.fields, start=1):
        if field.is_drilled:
            _task(root, field, number, products)
    ET.indent(root, " ")
    body: bytes = ET.tostring(root, encoding="utf-8")
    return b'<?xml version="1.0" encoding="UTF-8"?>\n' + body + b"\n"


def _field(root: ET.Element, field: FieldPlan, number: int, version: int, q: Quantities) -> None:
    """A field with its boundary, excluded ground, lines, gate and stops, in the order of elements of its version."""
    name = _short(parcel(field))
    attributes = {"A": f"PFD{number}", "C": name, "D": str(round(field.field.mapped_m2))}
    element = ET.SubElement(root, "PFD", attributes)
    _boundary(element, field, version)
    _excluded(element, field, q)
    frame = frame_near(field.field.ground)
    blocks = [block for sowing in field.coverage.sowings for block in sowing.blocks]
    if version == 3:
        for block in blocks:
            _line(element, block, frame, field, version)
    lon, lat = field.gate_lonlat
    kind = "3" if version == 4 else "2"  # field access in version 4, any point in version 3
    ET.SubElement(element, "PNT", {"A": kind, "B": "gate", "C": f"{lat:.9f}", "D": f"{lon:.9f}"})
    _stops(element, field, frame, q)
    if version == 4:
        for k, block in enumerate(blocks, start=1):
            _line(_pattern(element, block, f"{number}{k:03d}"), block, frame, field, version)


def _boundary(element: ET.Element, field: FieldPlan, version: int) -> None:
    """Version 4 has a boundary for each part of a field, version 3 one for all of them."""
    parts = [part for part in as_written(field.field.ground).geoms if isinstance(part, Polygon)]
    if version == 4:
        for part in parts:
            _polygon(ET.SubElement(element, "PLN", {"A": "1", "C": str(round(_area(field, part)))}), part)
        return
    boundary = ET.SubElement(element, "PLN", {"A": "1", "C": str(round(field.field.mapped_m2))})
    for part in parts:
        _polygon(boundary, part)


def _excluded(element: ET.Element, field: FieldPlan, q: Quantities) -> None:
    """Excluded ground as obstacles, a polygon for each part, named by its reason and set-back."""
    for piece in field.field.excluded:
        for part in as_written(piece.ground).geoms:
            if isinstance(part, Polygon):
                about = {
                    "A": OBSTACLE,
                    "B": _short(excluded_text(piece, q)),
                    "C": str(round(_area(field, part))),
                }
                _polygon(ET.SubElement(element, "PLN", about), part)


def _stops(element: ET.Element, field: FieldPlan, frame: Frame, q: Quantities) -> None:
    """Where the drill leaves its pass for each refill, named by its number and load."""
    for refill in field.supply.refills:
        lon, lat = frame.point_to_lonlat(refill.sowing_stops_at.x, refill.sowing_stops_at.y)
        name = _short(f"stop {refill.stop}: {load_text(refill.load_kg, q)}")
        about = {"A": "2", "B": name, "C": f"{lat:.9f}", "D": f"{wrapped_deg(lon):.9f}"}
        ET.SubElement(element, "PNT", about)


def _pattern(element: ET.Element, block: Block, key: str) -> ET.Element:
    """The guidance pattern of a block: a straight line from A to B, or a curve."""
    group = ET.SubElement(element, "GGP", {"A": f"GGP{key}", "B": _short(f"block {block.block}")})
    if block.curves:
        name, kinds = _short("curve from A to B"), {"C": "3", "E": "1", "F": "1", "I": "16"}
        return ET.SubElement(group, "GPN", {"A": f"GPN{key}", "B": name, **kinds})
    name = _short(f"A to B {heading_text(block.heading_deg, 1)}")
    kinds = {"C": "1", "E": "1", "F": "1", "G": f"{block.heading_deg:.6f}", "I": "16"}
    return ET.SubElement(group, "GPN", {"A": f"GPN{key}", "B": name, **kinds})


def _area(field: FieldPlan, part: Polygon) -> float:
    return float(frame_near(field.field.ground).to_plane(part).area)


def _polygon(parent: ET.Element, part: Polygon) -> None:
    for kind, ring in (("1", part.exterior), *(("2", hole) for hole in part.interiors)):
        line = ET.SubElement(parent, "LSG", {"A": kind})
        for lon, lat in shapely.get_coordinates(ring):
            ET.SubElement(line, "PNT", {"A": "2", "C": f"{lat:.9f}", "D": f"{lon:.9f}"})


def _line(parent: ET.Element, block: Block, frame: Frame, field: FieldPlan, version: int) -> None:
    """The longest pass of a block, from A to B, as wide as the drill."""
    width_mm = str(round(field.coverage.drill_width_m * 1000))
    line = ET.SubElement(parent, "LSG", {"A": "5", "B": _short(f"block {block.block}"), "C": width_mm})
    points = guidance_line(block, frame)
    for point, (lon, lat) in zip(("6", *["9"] * (len(points) - 2), "7"), points, strict=True):
        kind = point if version == 4 else "2"
        ET.SubElement(line, "PNT", {"A": kind, "C": f"{lat:.9f}", "D": f"{wrapped_deg(lon):.9f}"})


def _task(root: ET.Element, field: FieldPlan, number: int, products: dict[tuple[str, str], str]) -> None:
    name = _short(f"sow {field.field.field_id}")
    planned = {"G": "1", "H": "1"}
    task = ET.SubElement(root, "TSK", {"A": f"TSK{number}", "B": name, "E": f"PFD{number}", **planned})
    zone = ET.SubElement(task, "TZN", {"A": "1", "B": "whole field"})
    for key, rate_mg in _rates(field, products):
        ET.SubElement(zone, "PDV", {"A": SETPOINT_MASS, "B": str(rate_mg), "C": key})


def _rates(field: FieldPlan, products: dict[tuple[str, str], str]) -> Iterator[tuple[str, int]]:
    for box in field.seed.boxes:
        for part in box.components:
            yield products[part.species, part.lot], round(part.bulk_kg_per_m2 * _MG_PER_KG)


def _short(text: str) -> str:
    """A designator: at most 32 characters, as the standard allows."""
    return plain(text).strip()[:LONGEST]


def _zipped(plan: Plan, version: Version, q: Quantities) -> bytes:
    return zip_of("TASKDATA/TASKDATA.XML", task_data(plan, version, q))


OUTPUT: Output[PlanAsked] = Output(
    name="taskdata",
    words="ISO 11783-10, version 4 and 3",
    make=lambda asked: {
        f"taskdata-v{version}.zip": of_bytes(partial(_zipped, asked.plan, version, asked.q))
        for version in (4, 3)
    },
)
