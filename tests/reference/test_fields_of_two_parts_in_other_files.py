"""A field of two parts stays one field of two parts in files for others: ISO 11783-10 task data of both versions, and
fiboa against the text of its schemas.

Version 4 of the task data gives each part a polygon of its own with one exterior line; version 3 has one boundary
polygon a field, with an exterior line for each part (as a public description of the differences, docs/ISOXML_quirks.md
of Josephinum-Research/isoxml-py, says).
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest
import shapely
from conftest import TODAY
from shapely import MultiPolygon, Polygon, box

from fieldplan.boundary.load import load_fields
from fieldplan.model.job import Job
from fieldplan.model.plan import Plan
from fieldplan.plane.frame import Frame
from fieldplan.planner import plan_job
from fieldplan.report.gis.fiboa import fiboa_json
from fieldplan.report.gis.task_data import task_data
from fieldplan.report.words.quantities import Quantities

US = Quantities("us")
PARTS = MultiPolygon([box(0, 0, 90, 120) - box(30, 40, 60, 70), box(120, 0, 180, 100)])
"""Two parts 30 m apart; the first has a hole."""
VECOREL = {"schemas": dict, "collection": str, "id": str}
"""Required by https://vecorel.org/specification/v0.1.0/schema.yaml, besides a geometry."""
FIBOA: Mapping[str, Mapping[str, Any]] = {
    "category": {
        "type": list,
        "items": {"conceptual", "operational", "economic", "administrative", "other"},
    },
    "metrics:area": {"type": float, "above": 0, "maximum": 1_000_000_000},
    "metrics:perimeter": {"type": float, "above": 0, "maximum": 1_250_000_000},
    "determination:method": {
        "type": str,
        "enum": {"manual", "driven", "surveyed", "auto-operation", "auto-imagery", "unknown"},
    },
    "determination:details": {"type": str},
}
"""Properties of v0.3.0/schema.yaml in the repository fiboa/specification: types, values, limits. The items of
category are unique; area and perimeter stand with the features only.
"""


@pytest.fixture(scope="module")
def plan(job: Job, tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """A field of two parts, and one of a single part."""
    frame = Frame(-95.0, 44.0)
    shapes = {"two": PARTS, "one": box(300, 0, 380, 100)}
    features = [
        {
            "type": "Feature",
            "properties": {"id": name},
            "geometry": shapely.geometry.mapping(frame.to_lonlat(shape)),
        }
        for name, shape in shapes.items()
    ]
    path = tmp_path_factory.mktemp("parts") / "parts.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
    return plan_job(load_fields(path), job, today=TODAY)


def _rings(polygon: ET.Element, kind: str) -> Iterator[Polygon]:
    """The lines of a polygon that are of a kind: 1 is its exterior, 2 an interior."""
    for line in polygon.findall(f"LSG[@A='{kind}']"):
        yield Polygon([(float(point.get("D", "")), float(point.get("C", ""))) for point in line])


def _fields(plan: Plan, version: int) -> dict[str, ET.Element]:
    root = ET.fromstring(task_data(plan, version, US))
    return {field.get("C", "").split()[0]: field for field in root.findall("PFD")}


@pytest.mark.parametrize(("version", "polygons"), [(4, [1, 1]), (3, [2])])
def test_a_field_of_two_parts_is_one_field_with_both(version: int, polygons: list[int], plan: Plan) -> None:
    """All of its ground and no more, the hole included; one task for it, and no second field."""
    fields = _fields(plan, version)
    assert set(fields) == {"two", "one"}
    boundaries = fields["two"].findall("PLN[@A='1']")
    assert [len(list(_rings(one, "1"))) for one in boundaries] == polygons
    drawn = shapely.union_all([ring for one in boundaries for ring in _rings(one, "1")])
    holes = [ring for one in boundaries for ring in _rings(one, "2")]
    assert len(holes) == 1
    ground = next(one.field.ground for one in plan.fields if one.field.field_id == "two")
    assert shapely.symmetric_difference(drawn - holes[0], ground).area < 1e-6 * ground.area
    areas_m2 = [int(one.get("C", "0")) for one in boundaries]
    assert sum(areas_m2) == pytest.approx(90 * 120 - 30 * 30 + 60 * 100, rel=1e-3)
    root = ET.fromstring(task_data(plan, version, US))
    assert [task.get("E") for task in root.findall("TSK")] == [field.get("A") for field in fields.values()]


def test_the_cab_file_of_two_parts_is_valid_against_the_schema(plan: Plan) -> None:
    """The schema comes with an installed package and is never kept here; without it the test is skipped."""
    xmlschema = pytest.importorskip("xmlschema")
    package = pytest.importorskip("isoxml_writer")
    found = sorted(Path(package.__file__).parent.rglob("ISO11783_TaskFile_V4-3.xsd"))
    if not found:
        pytest.skip("the package carries no schema of version 4.3")
    xmlschema.XMLSchema(str(found[0])).validate(task_data(plan, 4, US).decode("utf-8"))


def test_fiboa_follows_the_text_of_its_schemas(plan: Plan) -> None:
    """Each property that the schema names has its type, values and limits; what is required is there; the two parts
    are one feature.
    """
    found = json.loads(fiboa_json(plan))
    assert found["type"] == "FeatureCollection"
    assert not {"metrics:area", "metrics:perimeter", "id"} & set(found)
    for one in found["features"]:
        properties = one["properties"]
        has = {"schemas": found["schemas"], "collection": properties["collection"], "id": one["id"]}
        for name, kind in VECOREL.items():
            assert isinstance(has[name], kind)
            assert has[name]
        schemas = found["schemas"][properties["collection"]]
        assert "https://vecorel.org/specification/v0.1.0/schema.yaml" in schemas
        assert "https://fiboa.org/specification/v0.3.0/schema.yaml" in schemas
        for name, rule in FIBOA.items():
            if name not in properties:
                continue
            value = properties[name]
            assert isinstance(value, rule["type"]), name
            assert "enum" not in rule or value in rule["enum"], name
            assert "above" not in rule or rule["above"] < value <= rule["maximum"], name
            if "items" in rule:
                assert len(set(value)) == len(value)
                assert set(value) <= rule["items"]
        assert {"category", "metrics:area", "metrics:perimeter"} <= set(properties)
    two = next(one for one in found["features"] if one["id"] == "two")
    assert two["geometry"]["type"] == "MultiPolygon"
    assert len(two["geometry"]["coordinates"]) == 2
