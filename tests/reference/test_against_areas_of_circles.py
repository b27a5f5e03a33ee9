"""Arcs in every format that has them enclose what circles enclose.

Authority: closed forms. A circle of radius r: π r². A square of side a with a half circle on each side: a²
+ π a²/2. An ellipse of half axes a and b: π a b. A quarter circle as a rational spline of degree 2 with
weights 1, √½, 1 is a circle exactly.
"""

from __future__ import annotations

import math
import sqlite3
import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

import boundary_builders as s
import pytest
from shapely import Polygon, box

from fieldplan.boundary.read import read_layers

PART = 1e-5
"""One part in 100,000."""
R, X, Y = 400.0, 500_000.0, 4_900_000.0
CORNERS = [(X + R, Y), (X, Y + R), (X - R, Y), (X, Y - R), (X + R, Y)]
TEXT = ", ".join(f"{x} {y}" for x, y in CORNERS)
CIRCLE, WITH_HALF_CIRCLES = math.pi * R * R, R * R * (1 + math.pi / 2)
WKB = struct.pack("<BIIBII", 1, 10, 1, 1, 8, 5) + b"".join(struct.pack("<dd", *one) for one in CORNERS)
"""A curve polygon of one circular string (OGC 06-103r4)."""


def _drawing(*entities: Any) -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        path = folder / "a.dxf"
        path.write_text(
            "\n".join(map(str, [0, "SECTION", 2, "ENTITIES", *entities, 0, "ENDSEC", 0, "EOF", ""])),
            encoding="utf-8",
        )
        return path

    return make


def _bulges(begin: list[Any], vertex: list[Any], end: list[Any]) -> Callable[[Path], Path]:
    vertices = [[*vertex, 10, X + x * R, 20, Y + y * R, 42, 1] for x, y in ((0, 0), (1, 0), (1, 1), (0, 1))]
    return _drawing(*begin, *[code for vertex in vertices for code in vertex], *end)


def _spline() -> Callable[[Path], Path]:
    half = math.sqrt(0.5)
    points = [
        (1, 0, 1),
        (1, 1, half),
        (0, 1, 1),
        (-1, 1, half),
        (-1, 0, 1),
        (-1, -1, half),
        (0, -1, 1),
        (1, -1, half),
        (1, 0, 1),
    ]
    knots = [code for knot in (0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4) for code in (40, knot)]
    weights = [code for *_, weight in points for code in (41, weight)]
    places = [code for x, y, _ in points for code in (10, X + x * R, 20, Y + y * R)]
    return _drawing(0, "SPLINE", 8, 0, 70, 0, 71, 2, 72, 12, 73, 9, 74, 0, *knots, *weights, *places)


def _table(text: str) -> Callable[[Path], Path]:
    return lambda folder: s.table(folder / "a.csv", f"SRID=32615;{text}")


def _geopackage(folder: Path) -> Path:
    path = s.vector(folder / "a.gpkg", Polygon(CORNERS), driver="GPKG", crs=32615)
    with sqlite3.connect(path) as database:
        for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            database.execute(f'DROP TRIGGER "{name}"')
        database.execute("UPDATE gpkg_geometry_columns SET geometry_type_name = 'GEOMETRY'")
        database.execute("UPDATE a SET geom = ?", (b"GP\x00\x01" + struct.pack("<i", 32615) + WKB,))
    return path


def _gml(folder: Path) -> Path:
    places = " ".join(f"{x} {y}" for x, y in CORNERS)
    (folder / "a.gml").write_text(
        '<gml:FeatureCollection xmlns:gml="http://www.opengis.net/gml"><gml:featureMember><f><gml:geom><gml:Polygon srsName="EPSG:32615">'
        f"<gml:exterior><gml:Ring><gml:curveMember><gml:Curve><gml:segments><gml:ArcString><gml:posList>{places}</gml:posList>"
        "</gml:ArcString></gml:segments></gml:Curve></gml:curveMember></gml:Ring></gml:exterior></gml:Polygon></gml:geom></f>"
        "</gml:featureMember></gml:FeatureCollection>",
        encoding="utf-8",
    )
    return folder / "a.gml"


def _flatgeobuf(folder: Path) -> Path:
    import numpy as np
    import pyogrio

    pyogrio.raw.write(
        str(folder / "a.fgb"),
        np.array([WKB], dtype=object),
        [np.array(["a"], dtype=object)],
        ["name"],
        geometry_type="Unknown",
        driver="FlatGeobuf",
        crs="EPSG:32615",
    )
    return folder / "a.fgb"


HALVES = f"CIRCULARSTRING({X + R} {Y}, {X} {Y + R}, {X - R} {Y}), ({X - R} {Y}, {X + R} {Y})"
CURVED: dict[str, tuple[Callable[[Path], Path], float]] = {
    "circle": (_drawing(0, "CIRCLE", 8, 0, 10, X, 20, Y, 40, R), CIRCLE),
    "bulges": (_bulges([0, "LWPOLYLINE", 8, 0, 90, 4, 70, 1], [], []), WITH_HALF_CIRCLES),
    "bulges of vertices": (
        _bulges([0, "POLYLINE", 8, 0, 66, 1, 70, 1], [0, "VERTEX", 8, 0], [0, "SEQEND"]),
        WITH_HALF_CIRCLES,
    ),
    "ellipse": (
        _drawing(0, "ELLIPSE", 8, 0, 10, X, 20, Y, 11, R, 21, 0, 40, 0.5, 41, 0, 42, 2 * math.pi),
        CIRCLE / 2,
    ),
    "spline": (_spline(), CIRCLE),
    "table, circular string": (_table(f"CURVEPOLYGON(CIRCULARSTRING({TEXT}))"), CIRCLE),
    "table, whole circle": (
        _table(f"CURVEPOLYGON(CIRCULARSTRING({X} {Y}, {X + 2 * R} {Y}, {X} {Y}))"),
        CIRCLE,
    ),
    "table, compound curve": (_table(f"CURVEPOLYGON(COMPOUNDCURVE({HALVES}))"), CIRCLE / 2),
    "table, with heights": (
        _table(f"MULTISURFACE Z(CURVEPOLYGON Z(CIRCULARSTRING Z({TEXT.replace(',', ' 7,')} 7)))"),
        CIRCLE,
    ),
    "GeoPackage": (_geopackage, CIRCLE),
    "FlatGeobuf": (_flatgeobuf, CIRCLE),
    "GML": (_gml, CIRCLE),
}


@pytest.mark.parametrize("name", CURVED)
def test_curves_enclose_what_they_should_and_it_is_said(name: str, tmp_path: Path) -> None:
    """To one part in 100,000, with a note."""
    make, area_m2 = CURVED[name]
    _, (layer,) = read_layers(make(tmp_path))
    geometry = layer.features[0].geometry
    assert geometry is not None, layer.features[0].unreadable
    ground = Polygon(geometry) if geometry.geom_type == "LineString" else geometry
    assert ground.area == pytest.approx(area_m2, rel=PART)
    assert [remark.code for remark in layer.remarks] == ["curves-straightened"]


def test_straight_outlines_are_not_called_curved(tmp_path: Path) -> None:
    """No note where nothing was curved."""
    for path in (
        s.table(tmp_path / "a.csv", f"SRID=32615;{box(X, Y, X + R, Y + R).wkt}"),
        s.dxf(tmp_path / "a.dxf", CORNERS),
    ):
        _, (layer,) = read_layers(path)
        assert layer.remarks == ()
