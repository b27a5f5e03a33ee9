"""A row a fault: what is wrong with a boundary file, and the code, exit status and words it gets."""

from __future__ import annotations

import itertools
import json
import os
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import boundary_builders as s
import numpy as np
import pandas
import pytest
import shapely
from boundary_builders import POND, SQUARE
from pyproj import CRS
from shapely import LineString, MultiLineString, MultiPolygon, Point, Polygon

from fieldplan.cli.main import fieldplan
from fieldplan.errors import FieldplanError

Make = Callable[[Path], Path]
WESTISH, SIDE = s.WEST + 0.00003, s.SIDE_LON
RING = list(SQUARE.exterior.coords)
SQUARE_UTM = s.in_crs(SQUARE, 26915)


def _write(name: str, content: str | bytes) -> Make:
    def make(folder: Path) -> Path:
        path = folder / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    return make


def _geojson(*geometries: Any, **members: Any) -> Make:
    return lambda folder: s.geojson(folder / "fields.geojson", *geometries, **members)


def _shapefile(*shapes: Any, **kinds: Any) -> Make:
    return lambda folder: s.shapefile(folder / "fields.shp", *shapes, **kinds)


def _with_prj(text: str) -> Make:
    def make(folder: Path) -> Path:
        path = s.shapefile(folder / "fields.shp", SQUARE)
        path.with_suffix(".prj").write_text(text, encoding="utf-8")
        return path

    return make


def _ring(points: Any) -> dict[str, Any]:
    return {"type": "Polygon", "coordinates": [points]}


def _only_part(ending: str) -> Make:
    return lambda folder: s.shapefile(folder / "fields.shp", SQUARE).with_suffix(ending)


def _cut_shapefile(folder: Path) -> Path:
    path = s.shapefile(folder / "fields.shp", SQUARE, s.moved(SQUARE, 0.02))
    path.write_bytes(path.read_bytes()[:-60])
    return path


def _cut_exclusions(folder: Path) -> Path:
    path = s.shapefile(folder / "cut.shp", POND, s.moved(POND, 0.001), reason=["wet", "steep"])
    path.write_bytes(path.read_bytes()[:-60])
    return s.geojson(folder / "fields.geojson", SQUARE)


def _labeled(east: float, north: float, true: Any, label: Any) -> Make:
    """The square, moved, in one system and labeled as another."""
    there = s.moved(SQUARE, east, north)
    return lambda folder: s.vector(folder / "fields.gpkg", s.in_crs(there, true), driver="GPKG", crs=label)


def _exclusions_labeled(folder: Path) -> Path:
    s.vector(folder / "wet.gpkg", s.in_crs(POND, 26851), driver="GPKG", crs=26993)
    return s.geojson(folder / "fields.geojson", SQUARE)


def _latin_dbf(folder: Path) -> Path:
    path = folder / "fields.shp"
    s.frame([SQUARE], name=["Grünland"]).to_file(path, driver="ESRI Shapefile", encoding="CP1252")
    path.with_suffix(".cpg").unlink()
    raw = bytearray(path.with_suffix(".dbf").read_bytes())
    raw[29] = 0  # the code page mark
    path.with_suffix(".dbf").write_bytes(raw)
    return path


def _same_wound_hole(folder: Path) -> Path:
    """A Shapefile record whose hole is wound like its shell, written byte by byte (format: public white
    paper of 1998).
    """
    shell, hole = (
        np.array(shapely.orient_polygons(SQUARE, exterior_cw=True).exterior.coords),
        np.array(POND.exterior.coords),
    )
    if not shapely.is_ccw(shapely.linearrings(hole)):
        hole = hole[::-1]
    hole = hole[::-1]  # clockwise, as only shells should be
    points = np.vstack([shell, hole])
    west, south, east, north = (*points.min(axis=0), *points.max(axis=0))
    content = np.array([5], "<i4").tobytes() + np.array([west, south, east, north], "<f8").tobytes()
    content += np.array([2, len(points), 0, len(shell)], "<i4").tobytes() + points.astype("<f8").tobytes()
    record = np.array([1, len(content) // 2], ">i4").tobytes() + content
    head = (
        np.array([9994, 0, 0, 0, 0, 0, (100 + len(record)) // 2], ">i4").tobytes()
        + np.array([1000, 5], "<i4").tobytes()
    )
    head += np.array([west, south, east, north, 0, 0, 0, 0], "<f8").tobytes()
    path = s.shapefile(folder / "fields.shp", SQUARE)
    path.write_bytes(head + record)
    path.with_suffix(".shx").unlink()
    return path


def _bomb(folder: Path) -> Path:
    return s.zipped(folder / "fields.zip", {"fields.geojson": b" " * 3_000_000})


def _locked_zip(folder: Path) -> Path:
    path = s.zipped(folder / "fields.zip", {"fields.geojson": s.geojson(folder / "fields.geojson", SQUARE)})
    raw = bytearray(path.read_bytes())
    raw[6] |= 1
    raw[raw.index(b"PK\x01\x02") + 8] |= 1
    path.write_bytes(raw)
    return path


def _broken_zip(folder: Path) -> Path:
    path = s.zipped(folder / "fields.zip", {"fields.geojson": s.geojson(folder / "fields.geojson", SQUARE)})
    path.write_bytes(path.read_bytes()[:-40])
    return path


def _linked_geodatabase(folder: Path) -> Path:
    path = s.vector(folder / "fields.gdb", SQUARE, driver="OpenFileGDB")
    (folder / "elsewhere").write_bytes(b"x")
    (path / "a0000000a.gdbtable").symlink_to(folder / "elsewhere")
    return path


def _plain_database(folder: Path) -> Path:
    with sqlite3.connect(folder / "fields.gpkg") as database:
        database.execute("CREATE TABLE numbers (n)")
    return folder / "fields.gpkg"


def _plain_parquet(folder: Path) -> Path:
    pandas.DataFrame({"n": [1]}).to_parquet(folder / "fields.parquet")
    return folder / "fields.parquet"


def _undefined_geopackage(folder: Path) -> Path:
    path = s.vector(folder / "fields.gpkg", SQUARE_UTM, driver="GPKG", crs=26915)
    with sqlite3.connect(path) as database:
        database.execute("UPDATE gpkg_geometry_columns SET srs_id = -1")
        database.execute("UPDATE gpkg_contents SET srs_id = -1")
    return path


def _excluding(field: Any, exclusion: Any, **properties: Any) -> Make:
    def make(folder: Path) -> Path:
        s.geojson(folder / "wet.geojson", exclusion, properties=properties)
        return s.geojson(folder / "fields.geojson", field)

    return make


def _two_exclusions(folder: Path) -> Path:
    s.geojson(folder / "wet.geojson", POND, POND, properties={"reason": "wet"})
    return s.geojson(folder / "fields.geojson", SQUARE)


def _kml_of(inside: str) -> Make:
    """KML of one placemark."""
    return _write(
        "fields.kml",
        f'<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark><name>north 1</name>{inside}</Placemark></Document></kml>',
    )


def _kml_rings(*rings: tuple[str, str]) -> str:
    marks = "".join(
        f"<{a}BoundaryIs><LinearRing><coordinates>{text}</coordinates></LinearRing></{a}BoundaryIs>"
        for a, text in rings
    )
    return f"<Polygon>{marks}</Polygon>"


def _gml(
    coordinates: str, *more: str, srs: str = "EPSG:4326", attributes: str = "", inside: str = ""
) -> Make:
    """GML of one feature, and what stands beside it."""
    member = (
        f'<gml:featureMember><f><gml:geom><gml:Polygon srsName="{srs}"><gml:exterior><gml:LinearRing><gml:posList>{coordinates}</gml:posList>'
        f"</gml:LinearRing></gml:exterior>{inside}</gml:Polygon></gml:geom></f></gml:featureMember>"
    )
    text = f'<gml:FeatureCollection xmlns:gml="http://www.opengis.net/gml" {attributes}>{member}{"".join(more)}</gml:FeatureCollection>'
    return _write("fields.gml", text)


def _drawing(entities: list[Any], blocks: list[Any] | None = None, end: str = "0\nEOF\n") -> Make:
    """A drawing of group codes and values."""
    of_blocks = [0, "SECTION", 2, "BLOCKS", *blocks, 0, "ENDSEC"] if blocks else []
    return _write(
        "fields.dxf",
        "\n".join(map(str, [*of_blocks, 0, "SECTION", 2, "ENTITIES", *entities, 0, "ENDSEC", end])),
    )


def _mixed_gml(folder: Path) -> Path:
    whole = [
        shapely.force_3d(one, 300.0)
        for one in (SQUARE, MultiPolygon([s.moved(SQUARE, 0.02), s.moved(SQUARE, 0.04)]))
    ]
    return s.vector(folder / "fields.gml", *whole, driver="GML")


def _block(name: str, *inside: Any) -> list[Any]:
    return [0, "BLOCK", 2, name, 70, 0, 10, 0, 20, 0, *inside, 0, "ENDBLK"]


def _changed(path: Path, change: Callable[[bytes], bytes]) -> Path:
    path.write_bytes(change(path.read_bytes()))
    return path


def _shapefile_with(ending: str, change: Callable[[bytes], bytes]) -> Make:
    """A Shapefile of two fields with one part changed."""

    def make(folder: Path) -> Path:
        path = s.shapefile(folder / "fields.shp", SQUARE, s.moved(SQUARE, 0.02))
        _changed(path.with_suffix(ending), change)
        return path

    return make


def _less_a_record(shx: bytes) -> bytes:
    """An index without its last entry, and saying so."""
    return shx[:24] + ((len(shx) - 8) // 2).to_bytes(4, "big") + shx[28:-8]


def _geopackage_with(*statements: str) -> Make:
    """A GeoPackage of two fields, changed behind its back."""

    def make(folder: Path) -> Path:
        path = s.vector(folder / "fields.gpkg", SQUARE, s.moved(SQUARE, 0.02), driver="GPKG")
        with sqlite3.connect(path) as database:
            for (name,) in database.execute(
                "SELECT name FROM sqlite_master WHERE type = 'trigger'"
            ).fetchall():
                database.execute(f'DROP TRIGGER "{name}"')
            for statement in statements:
                database.execute(statement)
        return path

    return make


def _cut_flatgeobuf(folder: Path) -> Path:
    path = s.vector(
        folder / "fields.fgb", *[s.moved(SQUARE, 0.02 * i) for i in range(8)], driver="FlatGeobuf"
    )
    return _changed(path, lambda whole: whole[:-150])


def _cut_geodatabase(folder: Path) -> Path:
    path = s.vector(folder / "fields.gdb", SQUARE, s.moved(SQUARE, 0.02), driver="OpenFileGDB")
    _changed(path / "a00000009.gdbtable", lambda whole: whole[:-40])
    return path


PLACES = " ".join(f"{x},{y}" for x, y in RING)
ELSEWHERE = " ".join(f"{x + 0.02},{y}" for x, y in RING)
POSITIONS = " ".join(f"{x} {y}" for x, y in RING)
LINE = [0, "LINE", 8, 0, 10, 0, 20, 0, 11, 1, 21, 1]
NESTED = [
    code for i in range(1, 9) for code in _block(f"b{i}", *[0, "INSERT", 2, f"b{i - 1}", 10, 0, 20, 0] * 20)
]
NAMED_HEADER = [
    0,
    "SECTION",
    2,
    "HEADER",
    9,
    "$UCSBASE",
    2,
    "",
    0,
    "ENDSEC",
    0,
    "SECTION",
    2,
    "ENTITIES",
    0,
    "LWPOLYLINE",
    8,
    0,
    90,
    4,
    70,
    1,
    *[code for x, y in RING[:-1] for code in (10, x, 20, y)],
    0,
    "ENDSEC",
    0,
    "EOF",
    "",
]
LAMBERT = "+proj=lcc +lat_1=43 +lat_2=45 +lat_0=42 +lon_0=-95 +x_0=1500000 +y_0=1000000 +datum=NAD83"
TEXTS = [[str(x), str(y)] for x, y in RING]
BOWTIE = _ring([RING[0], RING[2], RING[1], RING[3], RING[0]])
TWICE = _ring([*RING[:-1], *RING])
SPIKE = _ring(
    [RING[0], RING[1], (RING[1][0] + 0.002, 44.203), (RING[1][0], 44.203), RING[2], RING[3], RING[0]]
)
SPIKE["coordinates"][0].insert(2, (RING[1][0], 44.203))
SPECK = MultiPolygon(
    [SQUARE, s.moved(Polygon([(-95.7, 44.3), (-95.7 + 1e-10, 44.3), (-95.7, 44.3 + 1e-10)]), 0)]
)
EDGES = [LineString([a, b]) for a, b in itertools.pairwise(RING)]
EUROPE = s.moved(SQUARE, 105.7, 4)
WET = ("--exclusions", "{folder}/wet.geojson")

FAULTS: list[tuple[str, Make, tuple[str, ...], int, str, str]] = [
    # reference system
    (
        "feet labeled as meters",
        lambda f: s.vector(
            f / "fields.gpkg", s.in_crs(s.moved(SQUARE, 20.2, -5.2), 2235), driver="GPKG", crs=26957
        ),
        (),
        3,
        "crs-elsewhere",
        "far from where",
    ),
    (
        "meters labeled feet, within a width",
        _labeled(0, 0, 26993, 26851),
        (),
        3,
        "crs-elsewhere",
        "NAD83 / Minnesota South (--crs EPSG:26993) puts it at 44.20000, -95.70000 with 153.",
    ),
    (
        "feet labeled meters, with a code given",
        lambda f: s.dxf(f / "fields.dxf", list(s.in_crs(SQUARE, 26851).exterior.coords)),
        ("--crs", "EPSG:26993"),
        3,
        "crs-elsewhere",
        "(--crs EPSG:26851) puts it at 44.20000, -95.70000",
    ),
    (
        "feet labeled meters, no code for it",
        _labeled(0, 0, "+proj=utm +zone=15 +datum=WGS84 +units=us-ft", 32615),
        (),
        3,
        "crs-elsewhere",
        "+units=us-ft",
    ),
    (
        "meters labeled feet, inside both",
        _labeled(-15.3, -10.7, 26949, 2223),
        (),
        0,
        "unit-in-doubt",
        "in the same zone",
    ),
    (
        "zone of the next state over",
        _labeled(2.2, -1.7, 26975, 26976),
        (),
        3,
        "crs-elsewhere",
        "NAD83 / Iowa North (--crs EPSG:26975)",
    ),
    (
        "south labeled north",
        _labeled(44.7, -59.2, 32722, 32622),
        (),
        3,
        "crs-elsewhere",
        "--crs EPSG:32722",
    ),
    ("web map labeled as a zone", _labeled(0, 0, 3857, 32615), (), 3, "crs-elsewhere", "--crs EPSG:3857"),
    (
        "UTM labeled as a state's zone",
        _labeled(0, 0, 32615, 26993),
        (),
        3,
        "crs-elsewhere",
        "--crs EPSG:32615",
    ),
    (
        "equal areas labeled as a zone",
        _labeled(0, 0, 5070, 32615),
        (),
        3,
        "crs-elsewhere",
        "--crs EPSG:5070",
    ),
    (
        "feet labeled meters, of a projection without a name",
        _labeled(0, 0, f"{LAMBERT} +units=us-ft", f"{LAMBERT} +units=m"),
        (),
        3,
        "crs-elsewhere",
        "the same projection in US survey feet",
    ),
    (
        "a state's feet labeled as UTM",
        _labeled(0, 0, 26851, 26915),
        (),
        3,
        "crs-elsewhere",
        "other systems used in that area would fit; --near LAT,LON",
    ),
    (
        "a state's feet labeled as UTM, home known",
        _labeled(0, 0, 26851, 26915),
        ("--near", "44.2,-95.7"),
        3,
        "crs-elsewhere",
        "near the place you gave: NAD83 / Minnesota South (ftUS) (--crs EPSG:26851)",
    ),
    (
        "meters of a zone labeled as web map",
        _labeled(0, 0, 26915, 3857),
        (),
        0,
        "anywhere",
        "used everywhere",
    ),
    (
        "signs lost, more than one slip fits",
        _geojson(s.moved(SQUARE, 145.7, -29.2), crs={"type": "name", "properties": {"name": "EPSG:4674"}}),
        (),
        3,
        "crs-elsewhere",
        "if both its numbers have lost their signs",
    ),
    (
        "swapped within a width of where it is used",
        _geojson(s.moved(SQUARE, 80.7, -94.2), crs={"type": "name", "properties": {"name": "EPSG:4674"}}),
        (),
        3,
        "crs-elsewhere",
        "if latitude and longitude are swapped, it belongs at -1",
    ),
    ("a zone used past its edge", _labeled(-0.8, 0, 32615, 32615), (), 0, "outside-use", "outside where"),
    (
        "a zone used far past its edge",
        _labeled(-9, 0, 32615, 32615),
        (),
        3,
        "crs-elsewhere",
        "far from where",
    ),
    (
        "a zone used far past its edge, meant",
        _labeled(-9, 0, 32615, 32615),
        ("--place-is-right",),
        0,
        "outside-use",
        "as you asked",
    ),
    (
        "degrees of another continent",
        _geojson(SQUARE, crs={"type": "name", "properties": {"name": "EPSG:4283"}}),
        (),
        3,
        "crs-elsewhere",
        "GDA94",
    ),
    (
        "sign lost in degrees of America",
        _geojson(s.moved(SQUARE, 191.4), crs={"type": "name", "properties": {"name": "EPSG:4269"}}),
        (),
        3,
        "crs-elsewhere",
        "if its longitude has lost its sign",
    ),
    (
        "degrees swapped, labeled as meters",
        _geojson(s.swapped(SQUARE), crs={"type": "name", "properties": {"name": "EPSG:32615"}}),
        (),
        3,
        "crs-not-metres",
        "--crs EPSG:4326 --axes lat-lon",
    ),
    (
        "meters without system, home known",
        lambda f: s.dxf(f / "fields.dxf", list(SQUARE_UTM.exterior.coords)),
        ("--near", "44,-95"),
        3,
        "crs-missing",
        "UTM zone 15N (--crs EPSG:32615) puts it at 44.20000, -95.70000",
    ),
    (
        "web map without system",
        lambda f: s.dxf(f / "fields.dxf", list(s.in_crs(SQUARE, 3857).exterior.coords)),
        (),
        3,
        "crs-missing",
        "--crs EPSG:3857) puts it at 44.20000, -95.70000",
    ),
    (
        "exclusions in feet labeled meters",
        _exclusions_labeled,
        ("--exclusions", "{folder}/wet.gpkg"),
        3,
        "crs-elsewhere",
        "--crs EPSG:26851",
    ),
    (
        "sign of one longitude lost",
        _geojson(SQUARE, s.moved(SQUARE, 0.1), s.moved(SQUARE, 191.4)),
        (),
        3,
        "field-far",
        "if its longitude has lost its sign, it belongs at 44.2",
    ),
    (
        "sign of one latitude lost",
        _geojson(SQUARE, s.moved(SQUARE, 0.1), s.moved(SQUARE, 0.2, -88.4)),
        (),
        3,
        "field-far",
        "if its latitude has lost its sign",
    ),
    (
        "one of two far off",
        _geojson(SQUARE, s.moved(SQUARE, 191.4)),
        (),
        3,
        "field-far",
        'Or field "north 1"',
    ),
    (
        "a field far off for no known reason",
        _geojson(SQUARE, s.moved(SQUARE, 0.1), s.moved(SQUARE, 3)),
        (),
        3,
        "field-far",
        "neither a lost sign",
    ),
    (
        "two far off together",
        _geojson(*[s.moved(SQUARE, x) for x in (0, 0.1, 0.2, 191.4, 191.5)]),
        (),
        3,
        "field-far",
        "with 1 more beside it",
    ),
    ("a field far off, meant", _geojson(SQUARE, s.moved(SQUARE, 3)), ("--place-is-right",), 0, "", ""),
    ("fields in a long row", _geojson(*[s.moved(SQUARE, x) for x in range(8)]), (), 0, "", ""),
    (
        "cut at the date line",
        _geojson(
            MultiPolygon(
                [shapely.box(179.99, -16.8, 180, -16.79), shapely.box(-180, -16.8, -179.99, -16.79)]
            )
        ),
        (),
        0,
        "date-line",
        "put together",
    ),
    (
        "fields on both sides of the date line",
        _geojson(shapely.box(179.98, -16.8, 179.99, -16.79), shapely.box(-179.99, -16.8, -179.98, -16.79)),
        (),
        0,
        "",
        "",
    ),
    (
        "longitudes past 180",
        _geojson(shapely.box(179.99, -16.8, 180.01, -16.79)),
        (),
        3,
        "crs-not-degrees",
        "longitudes past 180",
    ),
    (
        "too many parts",
        _write("fields.geojson", json.dumps({"type": "MultiPolygon", "coordinates": [[RING]] * 10_001})),
        (),
        3,
        "too-many-parts",
        "10,001 parts and holes",
    ),
    (
        "a scribble",
        _geojson(Polygon(np.random.default_rng(1).uniform((-95.7, 44.2), (-95.69, 44.21), (2000, 2)))),
        ("--repair",),
        3,
        "outline-tangled",
        "20,000 places",
    ),
    (
        "across the date line",
        _geojson(
            _ring([(179.99, -16.8), (-179.99, -16.8), (-179.99, -16.79), (179.99, -16.79), (179.99, -16.8)])
        ),
        (),
        3,
        "across-date-line",
        "cut it at longitude 180",
    ),
    (
        "shapefile without prj",
        _shapefile(SQUARE, without=[".prj"]),
        (),
        3,
        "crs-missing",
        "look like longitude and latitude: --crs EPSG:4326",
    ),
    ("shapefile with empty prj", _with_prj(""), (), 3, "crs-missing", "x from -95.70000 to -95.69000"),
    ("shapefile with garbage prj", _with_prj("PROJCS[what"), (), 3, "crs-missing", "--crs"),
    (
        "shapefile with a prj in new spelling",
        _with_prj(CRS(4269).to_wkt("WKT2_2019")),
        (),
        0,
        "datum-accuracy",
        "NAD83",
    ),
    ("meters labeled as degrees", _geojson(SQUARE_UTM), (), 3, "crs-not-degrees", "labeled as degrees"),
    ("crs null", _geojson(SQUARE_UTM, crs=None), (), 3, "crs-missing", "not known"),
    (
        "crs a link",
        _geojson(SQUARE, crs={"type": "link", "properties": {"href": "http://127.0.0.1/crs"}}),
        (),
        3,
        "crs-missing",
        "not looked up",
    ),
    (
        "crs unknown",
        _geojson(SQUARE, crs={"type": "name", "properties": {"name": "EPSG:999999"}}),
        (),
        3,
        "crs-missing",
        'EPSG:999999", which is not known',
    ),
    (
        "crs honoured",
        _geojson(SQUARE_UTM, crs={"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::26915"}}),
        (),
        0,
        "datum-accuracy",
        "about 13 ft",
    ),
    (
        "degrees labeled as meters",
        _geojson(SQUARE, crs={"type": "name", "properties": {"name": "EPSG:32615"}}),
        (),
        3,
        "crs-not-metres",
        "too small",
    ),
    (
        "zone of another continent",
        _geojson(SQUARE_UTM, crs={"type": "name", "properties": {"name": "EPSG:27700"}}),
        (),
        3,
        "crs-elsewhere",
        "far from where",
    ),
    ("swapped in America", _geojson(s.swapped(SQUARE)), (), 3, "axes-in-doubt", "--axes lat-lon"),
    (
        "swapped and answered",
        _geojson(s.swapped(SQUARE)),
        ("--axes", "lat-lon"),
        0,
        "axes-given",
        "as you asked",
    ),
    (
        "swapped to the ice",
        _geojson(s.swapped(s.moved(SQUARE, 15))),
        (),
        3,
        "axes-in-doubt",
        "nobody drills at latitude",
    ),
    (
        "swapped in Europe, home known",
        _geojson(s.swapped(EUROPE)),
        ("--near", "48,10"),
        3,
        "axes-in-doubt",
        "if latitude and longitude are swapped",
    ),
    (
        "one of several swapped",
        _geojson(EUROPE, s.moved(EUROPE, 0.1), s.swapped(EUROPE)),
        (),
        3,
        "axes-in-doubt",
        "from the nearest of the other fields",
    ),
    ("far from home", _geojson(EUROPE), ("--near", "44,-95"), 3, "far-from-home", "mi (7,450 km)"),
    (
        "asked for nonsense",
        _geojson(SQUARE),
        ("--crs", "EPSG:nonsense"),
        3,
        "crs-unknown",
        "such as --crs EPSG:4326",
    ),
    ("undefined system", _undefined_geopackage, (), 3, "crs-missing", "names no place on Earth"),
    (
        "table without system",
        lambda f: s.table(f / "fields.csv", SQUARE.wkt),
        (),
        3,
        "crs-missing",
        "EPSG:4326",
    ),
    (
        "table of two systems",
        lambda f: s.table(f / "fields.csv", f"SRID=4326;{SQUARE.wkt}", f"SRID=26915;{SQUARE_UTM.wkt}"),
        (),
        3,
        "crs-mixed",
        "4326",
    ),
    (
        "drawing without system",
        lambda f: s.dxf(f / "fields.dxf", list(SQUARE_UTM.exterior.coords)),
        (),
        3,
        "crs-missing",
        "meters of a UTM zone",
    ),
    ("US survey feet", _shapefile(s.in_crs(SQUARE, 26851), crs=26851), (), 0, "feet", "US survey feet"),
    (
        "international feet",
        _shapefile(s.in_crs(s.moved(SQUARE, -15, -10), 2222), crs=2222),
        (),
        0,
        "feet",
        "international feet",
    ),
    ("NAD27", _shapefile(SQUARE, crs=4267), (), 0, "datum-accuracy", "accurate to about"),
    (
        "beyond the projection",
        _geojson(
            Polygon([(1e9, 1e9), (1.1e9, 1e9), (1e9, 1.1e9)]),
            crs={"type": "name", "properties": {"name": "EPSG:26915"}},
        ),
        (),
        3,
        "coordinates-off-earth",
        "outside what",
    ),
    # parts of a Shapefile
    ("no shx", _shapefile(SQUARE, without=[".shx"]), (), 0, "shapefile-no-shx", "rebuilt in a copy"),
    ("no dbf", _shapefile(SQUARE, without=[".dbf"]), (), 0, "shapefile-no-dbf", "numbered"),
    ("dbf alone", _only_part(".dbf"), (), 3, "shapefile-part", "fields.shp"),
    ("shx named", _only_part(".shx"), (), 3, "shapefile-part", "fields.shp"),
    ("shp cut short", _cut_shapefile, (), 3, "shapefile-cut", "cut short"),
    ("shp cut short, skipped", _cut_shapefile, ("--skip-bad",), 0, "feature-left-out", "cut short"),
    ("dbf of unknown characters", _latin_dbf, (), 0, "encoding-guessed", "--encoding"),
    ("hole wound like its shell", _same_wound_hole, (), 0, "hole-recovered", "taken as a hole"),
    (
        "dbf shorter than its shp",
        _shapefile_with(".dbf", lambda dbf: dbf[:-60]),
        (),
        3,
        "shapefile-cut",
        "says that it has 2 rows, but has 1",
    ),
    (
        "dbf of fewer rows",
        _shapefile_with(".dbf", lambda dbf: dbf[:4] + b"\x01" + dbf[5:]),
        (),
        3,
        "shapefile-records",
        "1 row, but has 2",
    ),
    (
        "dbf of fewer rows, skipped",
        _shapefile_with(".dbf", lambda dbf: dbf[:-60]),
        ("--skip-bad",),
        0,
        "feature-left-out",
        "cut short",
    ),
    (
        "shx cut short",
        _shapefile_with(".shx", lambda shx: shx[:-8]),
        (),
        3,
        "shapefile-cut",
        "the .shx is cut short",
    ),
    (
        "shx of fewer records",
        _shapefile_with(".shx", _less_a_record),
        (),
        3,
        "shapefile-records",
        "has 2 outlines, but its .shx lists 1",
    ),
    (
        "shp with a garbage record length",
        _shapefile_with(".shp", lambda shp: shp[:104] + b"\x00\x00\xff\x00" + shp[108:]),
        (),
        3,
        "shapefile-records",
        "has 0 outlines|bytes long in the .shp",
    ),
    (
        "shp with a part less than it holds",
        _shapefile_with(".shp", lambda shp: shp[:148] + b"\x04\x00\x00\x00" + shp[152:]),
        (),
        3,
        "shapefile-records",
        "more or fewer points",
    ),
    # what a file promises
    ("FlatGeobuf cut short", _cut_flatgeobuf, (), 3, "features-lost", "says that it has 8 features"),
    ("FlatGeobuf cut short, skipped", _cut_flatgeobuf, ("--skip-bad",), 0, "feature-left-out", "cut short"),
    (
        "GeoPackage with a junk geometry",
        _geopackage_with("UPDATE fields SET geom = x'00112233' WHERE fid = 2"),
        (),
        3,
        "geometry-unreadable",
        "not a geometry",
    ),
    (
        "GeoPackage with a junk geometry, skipped",
        _geopackage_with("UPDATE fields SET geom = x'00112233' WHERE fid = 2"),
        ("--skip-bad",),
        0,
        "feature-left-out",
        "not a geometry",
    ),
    (
        "GeoPackage with half a geometry",
        _geopackage_with("UPDATE fields SET geom = substr(geom, 1, 90) WHERE fid = 2"),
        (),
        3,
        "geometry-unreadable",
        "not a geometry",
    ),
    (
        "GeoPackage with a geometry and more",
        _geopackage_with("UPDATE fields SET geom = CAST(geom || x'0000' AS BLOB) WHERE fid = 2"),
        (),
        3,
        "geometry-unreadable",
        "only part of its bytes",
    ),
    (
        "GeoPackage with no geometry",
        _geopackage_with("UPDATE fields SET geom = NULL WHERE fid = 2"),
        (),
        0,
        "features-left-out",
        "without geometry",
    ),
    (
        "GeoPackage less a row",
        _geopackage_with("DELETE FROM fields WHERE fid = 2"),
        (),
        3,
        "features-lost",
        "2 features, but has 1",
    ),
    (
        "GeoPackage less a table",
        _geopackage_with(
            "INSERT INTO gpkg_contents (table_name, data_type, srs_id) VALUES ('south', 'features', 4326)"
        ),
        (),
        3,
        "layer-lost",
        '"south" that is missing',
    ),
    (
        "GeoPackage less an entry",
        _geopackage_with("UPDATE gpkg_contents SET data_type = 'featurez'"),
        (),
        3,
        "layer-lost",
        "does not list",
    ),
    ("File Geodatabase cut short", _cut_geodatabase, (), 3, "file-unreadable", "cut short"),
    (
        "GML of fewer features than it says",
        _gml(POSITIONS, attributes='numberOfFeatures="2"'),
        (),
        3,
        "features-lost",
        "2 features, but has 1",
    ),
    (
        "GML of a part of the answer",
        _gml(POSITIONS, attributes='numberMatched="9" numberReturned="1"'),
        (),
        3,
        "features-lost",
        "1 of 9",
    ),
    (
        "drawing whose header names things",
        _write("fields.dxf", "\n".join(map(str, NAMED_HEADER))),
        ("--crs", "EPSG:4326"),
        0,
        "line-as-outline",
        "closed line",
    ),
    ("GML of mixed kinds with heights", _mixed_gml, (), 0, "", ""),
    ("drawing cut short", _drawing(LINE, end=""), (), 3, "file-unreadable", "cut short at line"),
    (
        "drawing with a vertex less",
        _drawing([0, "LWPOLYLINE", 8, 0, 90, 4, 70, 1, 10, 0, 20, 0, 10, 1, 20, 0, 10, 1, 20, 1]),
        (),
        3,
        "file-unreadable",
        "fewer coordinates",
    ),
    (
        "drawing of an unknown entity",
        _drawing([0, "LINF", *LINE[2:]]),
        (),
        3,
        "file-unreadable",
        "not a kind of entity",
    ),
    (
        "drawing with a word for a number",
        _drawing([*LINE[:5], "north", *LINE[6:]]),
        (),
        3,
        "file-unreadable",
        "not a number",
    ),
    (
        "drawing of an array",
        _drawing([0, "INSERT", 2, "a", 10, 0, 20, 0, 70, 5000, 71, 5000], _block("a", *LINE)),
        (),
        3,
        "drawing-too-large",
        "25,000,000 lines",
    ),
    (
        "drawing of blocks in blocks",
        _drawing([0, "INSERT", 2, "b8", 10, 0, 20, 0], _block("b0", *LINE) + NESTED),
        (),
        3,
        "drawing-too-large",
        "25,600,000,000 lines",
    ),
    (
        "drawing of a block in itself",
        _drawing([0, "INSERT", 2, "a", 10, 0, 20, 0], _block("a", 0, "INSERT", 2, "a", 10, 0, 20, 0)),
        (),
        3,
        "drawing-too-large",
        "inside itself",
    ),
    (
        "table broken off",
        lambda f: _changed(
            s.table(f / "fields.csv", f"SRID=4326;{SQUARE.wkt}", f"SRID=4326;{SQUARE.wkt}"),
            lambda text: text[: text.rindex(b"th 2")],
        ),
        (),
        3,
        "geometry-unreadable",
        "line 3 has 1 cell",
    ),
    # spelled otherwise
    (
        "two outer rings",
        _kml_of(_kml_rings(("outer", PLACES), ("outer", ELSEWHERE))),
        (),
        3,
        "geometry-unreadable",
        '"north 1": a polygon has 2 outer rings',
    ),
    (
        "no outer ring",
        _kml_of(_kml_rings(("inner", PLACES))),
        (),
        3,
        "geometry-unreadable",
        "0 outer rings",
    ),
    (
        "empty outer ring, KML",
        _kml_of(_kml_rings(("outer", ""), ("inner", PLACES))),
        (),
        3,
        "geometry-unreadable",
        "empty",
    ),
    (
        "two geometries in a placemark",
        _kml_of(_kml_rings(("outer", PLACES)) + _kml_rings(("outer", ELSEWHERE))),
        (),
        3,
        "geometry-unreadable",
        "2 geometries",
    ),
    (
        "a placemark in a placemark",
        _kml_of(
            f"{_kml_rings(('outer', PLACES))}<Placemark>{_kml_rings(('outer', ELSEWHERE))}</Placemark>"
        ),
        (),
        3,
        "kml-misspelled",
        'cannot be in "Placemark"',
    ),
    (
        "KML coordinates no numbers",
        _kml_of(_kml_rings(("outer", f"abc,def {PLACES}"))),
        (),
        3,
        "geometry-unreadable",
        '"abc,def"',
    ),
    (
        "KML coordinate missing",
        _kml_of(_kml_rings(("outer", f"-95.7 {PLACES}"))),
        (),
        3,
        "geometry-unreadable",
        "cannot be read at",
    ),
    (
        "KML ring of one point",
        _kml_of(_kml_rings(("outer", "-95.7,44.2"))),
        (),
        3,
        "geometry-unreadable",
        "only 1 point",
    ),
    (
        "KML coordinates twice",
        _kml_of(_kml_rings(("outer", f"{PLACES}</coordinates><coordinates>{ELSEWHERE}"))),
        (),
        3,
        "geometry-unreadable",
        "2 lists",
    ),
    (
        "KML in small letters",
        _kml_of(_kml_rings(("outer", PLACES)).replace("Polygon", "polygon")),
        (),
        3,
        "kml-misspelled",
        '"Polygon"',
    ),
    (
        "track in KML",
        _kml_of(
            '<gx:Track xmlns:gx="http://www.google.com/kml/ext/2.2">'
            + "".join(f"<gx:coord>{x} {y} 0</gx:coord>" for x, y in RING)
            + "</gx:Track>"
        ),
        (),
        0,
        "line-as-outline",
        "closed line",
    ),
    (
        "GeoJSON geometry in small letters",
        _geojson({"type": "polygon", "coordinates": [RING]}),
        (),
        3,
        "geometry-unreadable",
        '"polygon"',
    ),
    (
        "GeoJSON feature in small letters",
        _write(
            "fields.geojson",
            json.dumps(
                {
                    "type": "FeatureCollection",
                    "features": [{"type": "feature", "properties": {}, "geometry": _ring(RING)}],
                }
            ),
        ),
        (),
        3,
        "geometry-unreadable",
        'not "Feature"',
    ),
    (
        "GeoJSON collection in small letters",
        _write(
            "fields.geojson",
            json.dumps(
                {
                    "type": "featurecollection",
                    "features": [{"type": "Feature", "properties": {}, "geometry": _ring(RING)}],
                }
            ),
        ),
        (),
        3,
        "geojson-misspelled",
        '"FeatureCollection"',
    ),
    (
        "GeoJSON features no list",
        _write(
            "fields.geojson",
            json.dumps(
                {"type": "FeatureCollection", "features": {"type": "Feature", "geometry": _ring(RING)}}
            ),
        ),
        (),
        3,
        "geojson-misspelled",
        "no list",
    ),
    (
        "GeoJSON without the word geometry",
        _write(
            "fields.geojson",
            json.dumps(
                {
                    "type": "FeatureCollection",
                    "features": [{"type": "Feature", "properties": {}, "geometri": _ring(RING)}],
                }
            ),
        ),
        (),
        3,
        "geometry-unreadable",
        "no geometry",
    ),
    (
        "GeoJSON coordinates as text",
        _geojson(_ring(TEXTS)),
        (),
        3,
        "geometry-unreadable",
        "pairs of numbers",
    ),
    (
        "GeoJSON nested too deep for its type",
        _geojson({"type": "Polygon", "coordinates": [[RING]]}),
        (),
        3,
        "geometry-unreadable",
        "nested",
    ),
    (
        "GeoJSON nested too little for its type",
        _geojson({"type": "MultiPolygon", "coordinates": [RING]}),
        (),
        3,
        "geometry-unreadable",
        "nested",
    ),
    (
        "GeoJSON of single numbers",
        _geojson(_ring([[x] for x, _ in RING])),
        (),
        3,
        "geometry-unreadable",
        "pairs of numbers",
    ),
    (
        "GeoJSON ring there and back",
        _geojson(_ring([RING[0], RING[1], RING[0]])),
        (),
        3,
        "geometry-unreadable",
        "only 3 points",
    ),
    (
        "GeoJSON name twice",
        _write("fields.geojson", json.dumps(_ring(RING))[:-1] + ', "coordinates": []}'),
        (),
        3,
        "json-name-twice",
        '"coordinates" appears twice',
    ),
    (
        "GeoJSON features in a feature",
        _write(
            "fields.geojson",
            json.dumps({"type": "Feature", "properties": {}, "geometry": None, "features": []}),
        ),
        (),
        3,
        "geometry-unreadable",
        '"features" beside its geometry',
    ),
    (
        "empty outer ring, GeoJSON",
        _geojson({"type": "Polygon", "coordinates": [[], RING]}),
        (),
        3,
        "geometry-unreadable",
        "empty",
    ),
    (
        "empty outer ring, table",
        lambda f: s.table(f / "fields.csv", SQUARE.wkt.replace("((", "(EMPTY, (")),
        ("--crs", "EPSG:4326"),
        3,
        "geometry-unreadable",
        "cannot be read",
    ),
    (
        "empty outer ring, GML",
        _gml(
            "",
            inside=f"<gml:interior><gml:LinearRing><gml:posList>{POSITIONS}</gml:posList></gml:LinearRing></gml:interior>",
        ),
        (),
        3,
        "gml-misspelled",
        "empty",
    ),
    (
        "two outer rings, GML",
        _gml(
            POSITIONS,
            inside=f"<gml:exterior><gml:LinearRing><gml:posList>{POSITIONS}</gml:posList></gml:LinearRing></gml:exterior>",
        ),
        (),
        3,
        "gml-misspelled",
        "2 outer rings",
    ),
    ("GML coordinates no numbers", _gml(f"abc {POSITIONS}"), (), 3, "gml-misspelled", '"abc"'),
    (
        "GML of two systems",
        _gml(
            POSITIONS,
            '<gml:featureMember><f><gml:geom><gml:Point srsName="EPSG:26915"><gml:pos>500000 4900000</gml:pos></gml:Point></gml:geom></f></gml:featureMember>',
        ),
        (),
        3,
        "crs-mixed",
        "26915",
    ),
    (
        "GPX point without a number",
        _write(
            "fields.gpx",
            '<gpx xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg><trkpt lat="44" lon="abc"/><trkpt lat="44" lon="-95"/></trkseg></trk></gpx>',
        ),
        (),
        3,
        "geometry-unreadable",
        "abc",
    ),
    (
        "GPX point by another name",
        _write(
            "fields.gpx",
            '<gpx xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg><trkpu lat="44" lon="-95"/></trkseg></trk></gpx>',
        ),
        (),
        3,
        "geometry-unreadable|gpx-misspelled",
        "trkpu",
    ),
    (
        "table with a stray quote",
        _write("fields.csv", f'name,wkt\na,"SRID=4326;{SQUARE.wkt}\nb,"SRID=4326;{SQUARE.wkt}"\n'),
        (),
        3,
        "table-quotes",
        "line 2",
    ),
    (
        "table with a row in a quote",
        _write("fields.csv", f'name;wkt\n"a;SRID=4326;{SQUARE.wkt}\nb";SRID=4326;{SQUARE.wkt}\n'),
        (),
        3,
        "geometry-unreadable",
        "line 2",
    ),
    (
        "table of two outlines a row",
        _write("fields.csv", f'name,wkt,old\na,"SRID=4326;{SQUARE.wkt}","{POND.wkt}"\n'),
        (),
        3,
        "geometry-unreadable",
        'column "old"',
    ),
    (
        "WKT and more",
        lambda f: s.table(f / "fields.csv", f"SRID=4326;{SQUARE.wkt} {POND.wkt}"),
        (),
        3,
        "geometry-unreadable",
        "cannot be read",
    ),
    # zip
    (
        "zip in a zip",
        lambda f: s.zipped(f / "fields.zip", {"inner.zip": b"PK\x03\x04"}),
        (),
        3,
        "zip-no-boundary",
        "unpack it",
    ),
    (
        "spreadsheet",
        lambda f: s.zipped(f / "fields.xlsx", {"xl/workbook.xml": "<x/>"}),
        (),
        3,
        "zip-no-boundary",
        "spreadsheet",
    ),
    (
        "zip of notes",
        lambda f: s.zipped(f / "fields.zip", {"read me.txt": "hello"}),
        (),
        3,
        "zip-no-boundary",
        "read me.txt",
    ),
    ("zip that grows", _bomb, (), 3, "zip-too-large", "unpacks to"),
    (
        "zip of many files",
        lambda f: s.zipped(f / "fields.zip", {f"{i}.txt": "x" for i in range(1001)}),
        (),
        3,
        "zip-too-large",
        "1,001 files",
    ),
    (
        "zip that climbs out",
        lambda f: s.zipped(f / "fields.zip", {"../fields.geojson": "{}"}),
        (),
        3,
        "zip-names",
        "lead out",
    ),
    (
        "zip of long names",
        lambda f: s.zipped(f / "fields.zip", {"n" * 301 + ".geojson": "{}"}),
        (),
        3,
        "zip-names",
        "300 characters",
    ),
    ("zip with a password", _locked_zip, (), 3, "zip-locked", "password"),
    ("zip cut short", _broken_zip, (), 3, "zip-broken", "broken"),
    # outlines
    ("bow-tie", _geojson(BOWTIE), (), 3, "outline-invalid", "crosses itself at 44.20350, -95.69500"),
    ("bow-tie, repaired", _geojson(BOWTIE), ("--repair",), 0, "outline-repaired", "as drawn ring by ring"),
    (
        "bow-tie, skipped",
        _geojson(BOWTIE, s.moved(SQUARE, 0.05)),
        ("--skip-bad",),
        0,
        "feature-left-out",
        "crosses itself",
    ),
    ("ring traced twice", _geojson(TWICE), (), 3, "outline-invalid", "traced twice"),
    (
        "hole outside",
        _geojson({"type": "Polygon", "coordinates": [RING, list(s.moved(POND, 0.05).exterior.coords)]}),
        (),
        3,
        "outline-invalid",
        "hole outside its edge",
    ),
    (
        "holes across each other",
        _geojson(
            {
                "type": "Polygon",
                "coordinates": [
                    RING,
                    list(POND.exterior.coords),
                    list(s.moved(POND, 0.001).exterior.coords),
                ],
            }
        ),
        (),
        3,
        "outline-invalid",
        "ha) mended",
    ),
    ("spike", _geojson(SPIKE), (), 0, "outline-mended", "spike of 524 ft"),
    ("ring not closed", _geojson(_ring(RING[:-1])), (), 0, "ring-closed", "straight edge"),
    (
        "ring not closed, KML",
        lambda f: s.kml(f / "fields.kml", s.kml_ring(SQUARE, closed=False)),
        (),
        0,
        "ring-closed",
        "was open",
    ),
    ("ring of two points", _geojson(_ring(RING[:2])), (), 3, "geometry-unreadable", "feature 1"),
    ("speck", _geojson(SPECK), (), 0, "specks-left-out", "without area"),
    ("nothing but a speck", _geojson(_ring([RING[0]] * 4)), (), 3, "outline-no-area", "encloses no ground"),
    ("closed line", lambda f: s.gpx(f / "fields.gpx", RING), (), 0, "line-as-outline", "closed line"),
    (
        "line closed but for 2 m",
        lambda f: s.gpx(f / "fields.gpx", [*RING[:-1], (WESTISH, RING[0][1])]),
        (),
        0,
        "line-closed",
        "gap of 7.9 ft",
    ),
    (
        "open line",
        lambda f: s.gpx(f / "fields.gpx", RING[:-1]),
        (),
        3,
        "outline-open",
        "ends are 2,552 ft (778 m) apart",
    ),
    (
        "outline of single lines",
        lambda f: s.dxf(f / "fields.dxf", *[e.coords[:] for e in EDGES]),
        ("--crs", "EPSG:4326"),
        0,
        "lines-joined",
        "4 lines were joined",
    ),
    (
        "lines that cross",
        _geojson(
            *[
                LineString([(2 * a[0] - b[0], 2 * a[1] - b[1]), (2 * b[0] - a[0], 2 * b[1] - a[1])])
                for a, b in (e.coords for e in EDGES)
            ]
        ),
        (),
        0,
        "lines-enclose",
        "enclose",
    ),
    (
        "hole as a second line",
        _geojson(MultiLineString([RING, list(POND.exterior.coords)])),
        (),
        0,
        "hole-recovered",
        "taken as a hole",
    ),
    (
        "two fields overlap",
        _geojson(SQUARE, s.moved(SQUARE, 0.005)),
        (),
        3,
        "fields-overlap",
        "counted twice",
    ),
    ("a field drawn twice", _geojson(SQUARE, SQUARE), (), 3, "fields-overlap", "same ground drawn twice"),
    (
        "a field drawn twice, repaired",
        _geojson(SQUARE, SQUARE),
        ("--repair",),
        0,
        "field-left-out",
        "belong to field",
    ),
    (
        "two fields overlap, repaired",
        _geojson(SQUARE, s.moved(SQUARE, 0.005)),
        ("--repair",),
        0,
        "field-cut",
        "cut from this field",
    ),
    (
        "a little overlap",
        _geojson(SQUARE, s.moved(SQUARE, SIDE - 0.00002)),
        (),
        0,
        "fields-overlap",
        "counted in both",
    ),
    ("points beside polygons", _geojson(SQUARE, Point(-95.7, 44.2)), (), 0, "features-left-out", "points"),
    ("lines beside polygons", _geojson(SQUARE, LineString(RING[:3])), (), 0, "features-left-out", "lines"),
    ("no geometry", _geojson(SQUARE, None), (), 0, "features-left-out", "without geometry"),
    ("points alone", _geojson(Point(-95.7, 44.2)), (), 3, "no-fields", "1 points"),
    # numbers and text
    (
        "coordinates not numbers",
        _write("fields.geojson", json.dumps({"type": "Polygon", "coordinates": [["a", "b"]]})),
        (),
        3,
        "geometry-unreadable",
        "cannot be read",
    ),
    (
        "infinite coordinate",
        _write(
            "fields.geojson", '{"type":"Polygon","coordinates":[[[-95,44],[1e400,44],[-95,45],[-95,44]]]}'
        ),
        (),
        3,
        "coordinates-not-finite",
        "not numbers",
    ),
    (
        "not-a-number coordinate",
        _write(
            "fields.geojson", '{"type":"Polygon","coordinates":[[[-95,44],[NaN,44],[-95,45],[-95,44]]]}'
        ),
        (),
        3,
        "coordinates-not-finite",
        "not numbers",
    ),
    (
        "decimal commas",
        lambda f: s.kml(f / "fields.kml", "-95,70,44,20 -95,69,44,20 -95,69,44,21"),
        (),
        3,
        "decimal-commas",
        "decimal points",
    ),
    (
        "GeoJSON not UTF-8",
        _write("fields.geojson", '{"type":"Feature","properties":{"name":"Grün"}}'.encode("latin-1")),
        (),
        3,
        "not-utf8",
        "UTF-8",
    ),
    (
        "GeoJSON too deep",
        _write("fields.geojson", '{"type":"Polygon","coordinates":' + "[" * 100_000),
        (),
        3,
        "file-unreadable",
        "deeper",
    ),
    (
        "GeoJSON cut short",
        _write("fields.geojson", '{"type":"FeatureCollection","features":['),
        (),
        3,
        "file-unreadable",
        "damaged",
    ),
    ("XML cut short", _write("fields.kml", "<kml><Document>"), (), 3, "file-unreadable", "XML"),
    (
        "links to other places",
        lambda f: s.kml(
            f / "fields.kml",
            s.kml_ring(SQUARE),
            more="<NetworkLink><Link><href>http://127.0.0.1/x</href></Link></NetworkLink>",
        ),
        (),
        0,
        "links-not-followed",
        "not followed",
    ),
    (
        "gate unreadable",
        _geojson(SQUARE, properties={"gate": "by the oak"}),
        (),
        0,
        "gate-unreadable",
        "latitude first",
    ),
    (
        "gate swapped",
        _geojson(EUROPE, properties={"gate": "10.0, 48.2"}),
        (),
        0,
        "gate-elsewhere",
        "was ignored",
    ),
    (
        "priority unreadable",
        _geojson(SQUARE, properties={"priority": "soon"}),
        (),
        0,
        "priority-unreadable",
        "whole number",
    ),
    (
        "id twice",
        _geojson(SQUARE, s.moved(SQUARE, 0.02), properties={"id": 7}),
        (),
        0,
        "id-twice",
        'called "7-2"',
    ),
    (
        "collections in collections",
        lambda f: s.table(f / "fields.csv", "GEOMETRYCOLLECTION(" * 1000),
        ("--crs", "EPSG:4326"),
        3,
        "geometry-unreadable",
        "nested",
    ),
    (
        "system in another file",
        _geojson(
            SQUARE, crs={"type": "name", "properties": {"name": "+proj=longlat +nadgrids=/etc/hostname"}}
        ),
        (),
        3,
        "crs-missing",
        "not opened",
    ),
    (
        "endless edges",
        _geojson(
            Polygon([(0, 0), (1e9, 1), (1e9, 2)]), crs={"type": "name", "properties": {"name": "EPSG:3857"}}
        ),
        (),
        3,
        "too-many-vertices|coordinates-off-earth",
        "reference system",
    ),
    (
        "half the Earth",
        _geojson(_ring([(-95, 44), (85, 44), (85, 45), (-95, 45), (-95, 44)])),
        (),
        3,
        "field-too-large",
        "flat map",
    ),
    (
        "exclusions cut short",
        _cut_exclusions,
        ("--exclusions", "{folder}/cut.shp"),
        3,
        "shapefile-cut",
        "cut short",
    ),
    # choices
    ("layer unknown", _geojson(SQUARE), ("--layer", "south"), 3, "layer-unknown", '"fields"'),
    ("attribute unknown", _geojson(SQUARE), ("--id-field", "parcel"), 3, "attribute-unknown", '"name"'),
    (
        "condition unreadable",
        _geojson(SQUARE),
        ("--where", "big ones"),
        2,
        "where-unreadable",
        "crop = oats",
    ),
    (
        "condition leaves nothing",
        _geojson(SQUARE),
        ("--where", "name = south"),
        3,
        "no-fields",
        'name is "north 1"',
    ),
    (
        "character set unknown",
        _geojson(SQUARE),
        ("--encoding", "CP99999"),
        2,
        "encoding-unknown",
        "such as CP1250",
    ),
    # exclusions
    (
        "exclusion without width",
        _excluding(SQUARE, Point(-95.695, 44.203), reason="tree"),
        WET,
        3,
        "exclusion-no-width",
        "--set-back",
    ),
    (
        "exclusion of everything",
        _excluding(SQUARE, POND, reason="wet"),
        (*WET, "--set-back", "1000 m"),
        0,
        "field-all-excluded",
        "nothing is drilled there",
    ),
    (
        "set-back without unit",
        _excluding(SQUARE, POND, reason="wet", set_back="ten"),
        WET,
        3,
        "set-back-unreadable",
        '"30 ft"',
    ),
    (
        "exclusion named by a field only",
        _excluding(SQUARE, POND, reason="rock"),
        WET,
        0,
        "ground-excluded",
        "rock 13",
    ),
    ("exclusion inside another", lambda f: _two_exclusions(f), WET, 0, "ground-excluded", "wet 13"),
    (
        "exclusion on no field",
        _excluding(SQUARE, s.moved(POND, 1), reason="wet"),
        WET,
        0,
        "exclusion-elsewhere",
        "lies outside every field",
    ),
    # what a file is
    ("no such file", lambda f: f / "fields.geojson", (), 3, "file-not-found", "no such file"),
    ("empty file", _write("fields.geojson", ""), (), 3, "file-empty", "empty"),
    ("a folder", lambda f: f, (), 3, "not-a-file", "folder"),
    ("words", _write("fields.geojson", "hello"), (), 3, "format-unknown", "not in a format"),
    (
        "other JSON",
        _write("fields.json", '{"type": "Topology", "objects": {}}'),
        (),
        3,
        "format-unknown",
        "GeoJSON",
    ),
    ("database without contents", _plain_database, (), 3, "format-unknown", "not a GeoPackage"),
    ("table without geometry", _plain_parquet, (), 3, "format-unknown", "without geometry"),
    ("address", lambda _: Path("http://127.0.0.1:9/fields.geojson"), (), 3, "file-remote", "download it"),
    (
        "remote prefix",
        lambda _: Path("/vsicurl/http://127.0.0.1:9/fields.geojson"),
        (),
        3,
        "file-remote",
        "download it",
    ),
    (
        "document type",
        _write("fields.kml", '<!DOCTYPE kml [<!ENTITY a "b">]><kml/>'),
        (),
        3,
        "file-refused",
        "document type",
    ),
    (
        "document type after a long remark",
        _write("fields.kml", f"<!--{' ' * 100_000}--><!DOCTYPE kml><kml/>"),
        (),
        3,
        "file-refused",
        "document type",
    ),
    (
        "virtual format",
        _write("fields.shp", "<OGRVRTDataSource><OGRVRTLayer name='x'/></OGRVRTDataSource>"),
        (),
        3,
        "file-refused",
        "points to",
    ),
    (
        "virtual format behind another",
        _write("fields.kml", f"<kml><!--{' ' * 100_000}--></kml><OGRVRTDataSource/>"),
        (),
        3,
        "file-refused",
        "points to",
    ),
    (
        "algorithm as a file",
        _write("fields.json", '{"type": "gdal_streamed_alg", "command_line": "vector read /etc/hostname"}'),
        (),
        3,
        "file-refused",
        "points to",
    ),
    ("folder with a link", _linked_geodatabase, (), 3, "folder-refused", "does not belong"),
    ("device", lambda _: Path(os.devnull), (), 3, "not-a-file", "not a file"),
]


@pytest.mark.parametrize(
    ("make", "options", "exit_code", "code", "phrase"),
    [pytest.param(*row[1:], id=row[0]) for row in FAULTS],
)
def test_fault_is_told_by_code_exit_status_and_words(
    make: Make,
    options: tuple[str, ...],
    exit_code: int,
    code: str,
    phrase: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """As refused, with the problem raised; or as accepted, with a note in the result."""
    path = make(tmp_path)
    before = sorted(tmp_path.rglob("*"))
    arguments = ["check", str(path), "--json", *(option.format(folder=tmp_path) for option in options)]
    sentence: list[tuple[str, str]] = []
    got = 0
    try:
        got = fieldplan.main(args=arguments, standalone_mode=False) or 0
    except FieldplanError as error:
        got = error.exit_code
        sentence = [(problem.code, f"{problem.text} {problem.hint}") for problem in error.problems]
    printed = capsys.readouterr().out
    if printed:
        found = json.loads(printed)
        assert found["accepted"] == (got == 0)
        sentence = [
            (one["code"], f"{one['text']} {one.get('hint', '')}")
            for one in found["notes" if got == 0 else "problems"]
        ]
    assert got == exit_code, sentence
    assert not code or any(
        a in code.split("|") and any(word in text for word in phrase.split("|")) for a, text in sentence
    ), sentence
    assert sorted(tmp_path.rglob("*")) == before, "something was written beside the file"


def test_every_fault_has_a_name_of_its_own() -> None:
    """At least 45 rows, none twice."""
    names = [row[0] for row in FAULTS]
    assert len(set(names)) == len(names) >= 45
