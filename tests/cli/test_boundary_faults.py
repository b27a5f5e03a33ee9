"""A row a fault: what a stranger's file does wrong, and the code, exit status and words that it gets."""

from __future__ import annotations

import itertools
import json
import os
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas
import pytest
import shapely
import strangers as s
from shapely import LineString, MultiLineString, MultiPolygon, Point, Polygon
from strangers import POND, SQUARE

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


def _latin_dbf(folder: Path) -> Path:
    path = folder / "fields.shp"
    s.frame([SQUARE], name=["Grünland"]).to_file(path, driver="ESRI Shapefile", encoding="CP1252")
    path.with_suffix(".cpg").unlink()
    raw = bytearray(path.with_suffix(".dbf").read_bytes())
    raw[29] = 0  # the code page mark
    path.with_suffix(".dbf").write_bytes(raw)
    return path


def _same_wound_hole(folder: Path) -> Path:
    """A Shapefile record whose hole is wound like its shell, written byte by byte (format: public white paper of 1998)."""
    shell, hole = np.array(shapely.orient_polygons(SQUARE, exterior_cw=True).exterior.coords), np.array(POND.exterior.coords)
    if not shapely.is_ccw(shapely.linearrings(hole)):
        hole = hole[::-1]
    hole = hole[::-1]  # clockwise, as only shells should be
    points = np.vstack([shell, hole])
    west, south, east, north = (*points.min(axis=0), *points.max(axis=0))
    content = np.array([5], "<i4").tobytes() + np.array([west, south, east, north], "<f8").tobytes()
    content += np.array([2, len(points), 0, len(shell)], "<i4").tobytes() + points.astype("<f8").tobytes()
    record = np.array([1, len(content) // 2], ">i4").tobytes() + content
    head = np.array([9994, 0, 0, 0, 0, 0, (100 + len(record)) // 2], ">i4").tobytes() + np.array([1000, 5], "<i4").tobytes()
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


BOWTIE = _ring([RING[0], RING[2], RING[1], RING[3], RING[0]])
TWICE = _ring([*RING[:-1], *RING])
SPIKE = _ring([RING[0], RING[1], (RING[1][0] + 0.002, 44.203), (RING[1][0], 44.203), RING[2], RING[3], RING[0]])
SPIKE["coordinates"][0].insert(2, (RING[1][0], 44.203))
SPECK = MultiPolygon([SQUARE, s.moved(Polygon([(-95.7, 44.3), (-95.7 + 1e-10, 44.3), (-95.7, 44.3 + 1e-10)]), 0)])
EDGES = [LineString([a, b]) for a, b in itertools.pairwise(RING)]
EUROPE = s.moved(SQUARE, 105.7, 4)
WET = ("--exclusions", "{folder}/wet.geojson")

FAULTS: list[tuple[str, Make, tuple[str, ...], int, str, str]] = [
    # reference system
    ("feet labelled as metres", lambda f: s.vector(f / "fields.gpkg", s.in_crs(s.moved(SQUARE, 20.2, -5.2), 2235), driver="GPKG", crs=26957), (), 3, "crs-elsewhere", "far from where"),
    ("across the date line", _geojson(_ring([(179.99, -16.8), (-179.99, -16.8), (-179.99, -16.79), (179.99, -16.79), (179.99, -16.8)])), (), 3, "across-date-line", "cut it at longitude 180"),
    ("shapefile without prj", _shapefile(SQUARE, without=[".prj"]), (), 3, "crs-missing", "look like longitude and latitude: --crs EPSG:4326"),
    ("shapefile with empty prj", _with_prj(""), (), 3, "crs-missing", "x from -95.70000 to -95.69000"),
    ("shapefile with garbage prj", _with_prj("PROJCS[what"), (), 3, "crs-missing", "--crs"),
    ("metres labelled as degrees", _geojson(SQUARE_UTM), (), 3, "crs-not-degrees", "labelled as degrees"),
    ("crs null", _geojson(SQUARE_UTM, crs=None), (), 3, "crs-missing", "not known"),
    ("crs a link", _geojson(SQUARE, crs={"type": "link", "properties": {"href": "http://127.0.0.1/crs"}}), (), 3, "crs-missing", "not looked up"),
    ("crs unknown", _geojson(SQUARE, crs={"type": "name", "properties": {"name": "EPSG:999999"}}), (), 3, "crs-missing", 'EPSG:999999", which is not known'),
    ("crs honoured", _geojson(SQUARE_UTM, crs={"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::26915"}}), (), 0, "datum-accuracy", "about 4 m"),
    ("degrees labelled as metres", _geojson(SQUARE, crs={"type": "name", "properties": {"name": "EPSG:32615"}}), (), 3, "crs-not-metres", "too small"),
    ("zone of another continent", _geojson(SQUARE_UTM, crs={"type": "name", "properties": {"name": "EPSG:27700"}}), (), 3, "crs-elsewhere", "far from where"),
    ("swapped in America", _geojson(s.swapped(SQUARE)), (), 3, "axes-in-doubt", "--axes lat-lon"),
    ("swapped and answered", _geojson(s.swapped(SQUARE)), ("--axes", "lat-lon"), 0, "axes-given", "as you asked"),
    ("swapped to the ice", _geojson(s.swapped(s.moved(SQUARE, 15))), (), 3, "axes-in-doubt", "nobody drills at latitude"),
    ("swapped in Europe, home known", _geojson(s.swapped(EUROPE)), ("--near", "48,10"), 3, "axes-in-doubt", "if latitude and longitude are swapped"),
    ("one of several swapped", _geojson(EUROPE, s.moved(EUROPE, 0.1), s.swapped(EUROPE)), (), 3, "axes-in-doubt", "from the other fields"),
    ("far from home", _geojson(EUROPE), ("--near", "44,-95"), 3, "far-from-home", "km ("),
    ("asked for nonsense", _geojson(SQUARE), ("--crs", "EPSG:nonsense"), 3, "crs-unknown", "such as --crs EPSG:4326"),
    ("undefined system", _undefined_geopackage, (), 3, "crs-missing", "names no place on Earth"),
    ("table without system", lambda f: s.table(f / "fields.csv", SQUARE.wkt), (), 3, "crs-missing", "EPSG:4326"),
    ("table of two systems", lambda f: s.table(f / "fields.csv", f"SRID=4326;{SQUARE.wkt}", f"SRID=26915;{SQUARE_UTM.wkt}"), (), 3, "crs-mixed", "4326"),
    ("drawing without system", lambda f: s.dxf(f / "fields.dxf", list(SQUARE_UTM.exterior.coords)), (), 3, "crs-missing", "--crs EPSG:32615"),
    ("US survey feet", _shapefile(s.in_crs(SQUARE, 26851), crs=26851), (), 0, "feet", "US survey feet"),
    ("international feet", _shapefile(s.in_crs(s.moved(SQUARE, -15, -10), 2222), crs=2222), (), 0, "feet", "international feet"),
    ("NAD27", _shapefile(SQUARE, crs=4267), (), 0, "datum-accuracy", "good to about"),
    ("beyond the projection", _geojson(Polygon([(1e9, 1e9), (1.1e9, 1e9), (1e9, 1.1e9)]), crs={"type": "name", "properties": {"name": "EPSG:26915"}}), (), 3, "coordinates-off-earth", "outside what"),
    # parts of a Shapefile
    ("no shx", _shapefile(SQUARE, without=[".shx"]), (), 0, "shapefile-no-shx", "rebuilt in a copy"),
    ("no dbf", _shapefile(SQUARE, without=[".dbf"]), (), 0, "shapefile-no-dbf", "numbered"),
    ("dbf alone", _only_part(".dbf"), (), 3, "shapefile-part", "fields.shp"),
    ("shx named", _only_part(".shx"), (), 3, "shapefile-part", "fields.shp"),
    ("shp cut short", _cut_shapefile, (), 3, "shapefile-cut", "cut short"),
    ("shp cut short, skipped", _cut_shapefile, ("--skip-bad",), 0, "feature-left-out", "cut short"),
    ("dbf of unknown characters", _latin_dbf, (), 0, "encoding-guessed", "--encoding"),
    ("hole wound like its shell", _same_wound_hole, (), 0, "hole-recovered", "taken as holes"),
    # zip
    ("zip in a zip", lambda f: s.zipped(f / "fields.zip", {"inner.zip": b"PK\x03\x04"}), (), 3, "zip-no-boundary", "unpack it"),
    ("spreadsheet", lambda f: s.zipped(f / "fields.xlsx", {"xl/workbook.xml": "<x/>"}), (), 3, "zip-no-boundary", "spreadsheet"),
    ("zip of notes", lambda f: s.zipped(f / "fields.zip", {"read me.txt": "hello"}), (), 3, "zip-no-boundary", "read me.txt"),
    ("zip that grows", _bomb, (), 3, "zip-too-large", "unpacks to"),
    ("zip of many files", lambda f: s.zipped(f / "fields.zip", {f"{i}.txt": "x" for i in range(1001)}), (), 3, "zip-too-large", "1,001 files"),
    ("zip that climbs out", lambda f: s.zipped(f / "fields.zip", {"../fields.geojson": "{}"}), (), 3, "zip-names", "lead out"),
    ("zip of long names", lambda f: s.zipped(f / "fields.zip", {"n" * 301 + ".geojson": "{}"}), (), 3, "zip-names", "300 characters"),
    ("zip with a password", _locked_zip, (), 3, "zip-locked", "password"),
    ("zip cut short", _broken_zip, (), 3, "zip-broken", "broken"),
    # outlines
    ("bow-tie", _geojson(BOWTIE), (), 3, "outline-invalid", "crosses itself at 44.20350, -95.69500"),
    ("bow-tie, repaired", _geojson(BOWTIE), ("--repair",), 0, "outline-repaired", "as drawn ring by ring"),
    ("bow-tie, skipped", _geojson(BOWTIE, s.moved(SQUARE, 0.05)), ("--skip-bad",), 0, "feature-left-out", "crosses itself"),
    ("ring traced twice", _geojson(TWICE), (), 3, "outline-invalid", "traced twice"),
    ("hole outside", _geojson({"type": "Polygon", "coordinates": [RING, list(s.moved(POND, 0.05).exterior.coords)]}), (), 3, "outline-invalid", "hole outside its edge"),
    ("holes across each other", _geojson({"type": "Polygon", "coordinates": [RING, list(POND.exterior.coords), list(s.moved(POND, 0.001).exterior.coords)]}), (), 3, "outline-invalid", "ac mended"),
    ("spike", _geojson(SPIKE), (), 0, "outline-mended", "spike of 160 m"),
    ("ring not closed", _geojson(_ring(RING[:-1])), (), 0, "ring-closed", "straight edge"),
    ("ring not closed, KML", lambda f: s.kml(f / "fields.kml", s.kml_ring(SQUARE, closed=False)), (), 0, "ring-closed", "not closed"),
    ("ring of two points", _geojson(_ring(RING[:2])), (), 3, "geometry-unreadable", "feature 1"),
    ("speck", _geojson(SPECK), (), 0, "specks-left-out", "without area"),
    ("nothing but a speck", _geojson(_ring([RING[0]] * 4)), (), 3, "outline-no-area", "encloses no ground"),
    ("closed line", lambda f: s.gpx(f / "fields.gpx", RING), (), 0, "line-as-outline", "closed line"),
    ("line closed but for 2 m", lambda f: s.gpx(f / "fields.gpx", [*RING[:-1], (WESTISH, RING[0][1])]), (), 0, "line-closed", "gap of 2."),
    ("open line", lambda f: s.gpx(f / "fields.gpx", RING[:-1]), (), 3, "outline-open", "ends are 778 m"),
    ("outline of single lines", lambda f: s.dxf(f / "fields.dxf", *[e.coords[:] for e in EDGES]), ("--crs", "EPSG:4326"), 0, "lines-joined", "4 lines were joined"),
    ("lines that cross", _geojson(*[LineString([(2 * a[0] - b[0], 2 * a[1] - b[1]), (2 * b[0] - a[0], 2 * b[1] - a[1])]) for a, b in (e.coords for e in EDGES)]), (), 0, "lines-enclose", "enclose"),
    ("hole as a second line", _geojson(MultiLineString([RING, list(POND.exterior.coords)])), (), 0, "hole-recovered", "taken as holes"),
    ("two fields overlap", _geojson(SQUARE, s.moved(SQUARE, 0.005)), (), 3, "fields-overlap", "counted twice"),
    ("a field drawn twice", _geojson(SQUARE, SQUARE), (), 3, "fields-overlap", "same ground drawn twice"),
    ("a field drawn twice, repaired", _geojson(SQUARE, SQUARE), ("--repair",), 0, "field-left-out", "belongs to field"),
    ("two fields overlap, repaired", _geojson(SQUARE, s.moved(SQUARE, 0.005)), ("--repair",), 0, "field-cut", "cut off"),
    ("a little overlap", _geojson(SQUARE, s.moved(SQUARE, SIDE - 0.00002)), (), 0, "fields-overlap", "counted in both"),
    ("points beside polygons", _geojson(SQUARE, Point(-95.7, 44.2)), (), 0, "features-left-out", "points"),
    ("lines beside polygons", _geojson(SQUARE, LineString(RING[:3])), (), 0, "features-left-out", "lines"),
    ("no geometry", _geojson(SQUARE, None), (), 0, "features-left-out", "without geometry"),
    ("points alone", _geojson(Point(-95.7, 44.2)), (), 3, "no-fields", "1 points"),
    # numbers and text
    ("coordinates not numbers", _write("fields.geojson", json.dumps({"type": "Polygon", "coordinates": [["a", "b"]]})), (), 3, "geometry-unreadable", "cannot be read"),
    ("infinite coordinate", _write("fields.geojson", '{"type":"Polygon","coordinates":[[[-95,44],[1e400,44],[-95,45],[-95,44]]]}'), (), 3, "coordinates-not-finite", "no numbers"),
    ("not-a-number coordinate", _write("fields.geojson", '{"type":"Polygon","coordinates":[[[-95,44],[NaN,44],[-95,45],[-95,44]]]}'), (), 3, "coordinates-not-finite", "no numbers"),
    ("decimal commas", lambda f: s.kml(f / "fields.kml", "-95,70,44,20 -95,69,44,20 -95,69,44,21"), (), 3, "decimal-commas", "decimal points"),
    ("GeoJSON not UTF-8", _write("fields.geojson", '{"type":"Feature","properties":{"name":"Grün"}}'.encode("latin-1")), (), 3, "not-utf8", "UTF-8"),
    ("GeoJSON too deep", _write("fields.geojson", '{"type":"Polygon","coordinates":' + "[" * 100_000), (), 3, "file-unreadable", "deeper"),
    ("GeoJSON cut short", _write("fields.geojson", '{"type":"FeatureCollection","features":['), (), 3, "file-unreadable", "damaged"),
    ("XML cut short", _write("fields.kml", "<kml><Document>"), (), 3, "file-unreadable", "XML"),
    ("links to other places", lambda f: s.kml(f / "fields.kml", s.kml_ring(SQUARE), more="<NetworkLink><Link><href>http://127.0.0.1/x</href></Link></NetworkLink>"), (), 0, "links-not-followed", "not followed"),
    ("gate unreadable", _geojson(SQUARE, properties={"gate": "by the oak"}), (), 0, "gate-unreadable", "latitude first"),
    ("gate swapped", _geojson(EUROPE, properties={"gate": "10.0, 48.2"}), (), 0, "gate-elsewhere", "left aside"),
    ("priority unreadable", _geojson(SQUARE, properties={"priority": "soon"}), (), 0, "priority-unreadable", "whole number"),
    ("id twice", _geojson(SQUARE, s.moved(SQUARE, 0.02), properties={"id": 7}), (), 0, "id-twice", 'called "7-2"'),
    ("collections in collections", lambda f: s.table(f / "fields.csv", "GEOMETRYCOLLECTION(" * 1000), ("--crs", "EPSG:4326"), 3, "geometry-unreadable", "nested"),
    ("system in another file", _geojson(SQUARE, crs={"type": "name", "properties": {"name": "+proj=longlat +nadgrids=/etc/hostname"}}), (), 3, "crs-missing", "not opened"),
    ("endless edges", _geojson(Polygon([(0, 0), (1e9, 1), (1e9, 2)]), crs={"type": "name", "properties": {"name": "EPSG:3857"}}), (), 3, "too-many-vertices|coordinates-off-earth", "reference system"),
    ("half the Earth", _geojson(_ring([(-95, 44), (85, 44), (85, 45), (-95, 45), (-95, 44)])), (), 3, "field-too-large", "plane"),
    ("exclusions cut short", _cut_exclusions, ("--exclusions", "{folder}/cut.shp"), 3, "shapefile-cut", "cut short"),
    # choices
    ("layer unknown", _geojson(SQUARE), ("--layer", "south"), 3, "layer-unknown", '"fields"'),
    ("attribute unknown", _geojson(SQUARE), ("--id-field", "parcel"), 3, "attribute-unknown", '"name"'),
    ("condition unreadable", _geojson(SQUARE), ("--where", "big ones"), 2, "where-unreadable", "crop = oats"),
    ("condition leaves nothing", _geojson(SQUARE), ("--where", "name = south"), 3, "no-fields", 'name is "north 1"'),
    ("character set unknown", _geojson(SQUARE), ("--encoding", "CP99999"), 2, "encoding-unknown", "such as CP1250"),
    # exclusions
    ("exclusion without width", _excluding(SQUARE, Point(-95.695, 44.203), reason="tree"), WET, 3, "exclusion-no-width", "--set-back"),
    ("exclusion of everything", _excluding(SQUARE, POND, reason="wet"), (*WET, "--set-back", "1000 m"), 0, "field-all-excluded", "no ground left"),
    ("set-back without unit", _excluding(SQUARE, POND, reason="wet", set_back="ten"), WET, 3, "set-back-unreadable", '"30 ft"'),
    ("exclusion named by a field only", _excluding(SQUARE, POND, reason="rock"), WET, 0, "ground-excluded", "rock 13"),
    ("exclusion inside another", lambda f: _two_exclusions(f), WET, 0, "ground-excluded", "wet 13"),
    ("exclusion on no field", _excluding(SQUARE, s.moved(POND, 1), reason="wet"), WET, 0, "exclusion-elsewhere", "lie on no field"),
    # what a file is
    ("no such file", lambda f: f / "fields.geojson", (), 3, "file-not-found", "no such file"),
    ("empty file", _write("fields.geojson", ""), (), 3, "file-empty", "empty"),
    ("a folder", lambda f: f, (), 3, "not-a-file", "folder"),
    ("words", _write("fields.geojson", "hello"), (), 3, "format-unknown", "no format"),
    ("other JSON", _write("fields.json", '{"type": "Topology", "objects": {}}'), (), 3, "format-unknown", "GeoJSON"),
    ("database without contents", _plain_database, (), 3, "format-unknown", "no GeoPackage"),
    ("table without geometry", _plain_parquet, (), 3, "format-unknown", "without geometry"),
    ("address", lambda _: Path("http://127.0.0.1:9/fields.geojson"), (), 3, "file-remote", "download it"),
    ("remote prefix", lambda _: Path("/vsicurl/http://127.0.0.1:9/fields.geojson"), (), 3, "file-remote", "download it"),
    ("document type", _write("fields.kml", '<!DOCTYPE kml [<!ENTITY a "b">]><kml/>'), (), 3, "file-refused", "document type"),
    ("document type after a long remark", _write("fields.kml", f"<!--{' ' * 100_000}--><!DOCTYPE kml><kml/>"), (), 3, "file-refused", "document type"),
    ("virtual format", _write("fields.shp", "<OGRVRTDataSource><OGRVRTLayer name='x'/></OGRVRTDataSource>"), (), 3, "file-refused", "points at"),
    ("virtual format behind another", _write("fields.kml", f"<kml><!--{' ' * 100_000}--></kml><OGRVRTDataSource/>"), (), 3, "file-refused", "points at"),
    ("algorithm as a file", _write("fields.json", '{"type": "gdal_streamed_alg", "command_line": "vector read /etc/hostname"}'), (), 3, "file-refused", "points at"),
    ("folder with a link", _linked_geodatabase, (), 3, "folder-refused", "does not belong"),
    ("device", lambda _: Path(os.devnull), (), 3, "not-a-file", "not a file"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("make", "options", "exit_code", "code", "phrase"), [pytest.param(*row[1:], id=row[0]) for row in FAULTS]
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
    said: list[tuple[str, str]] = []
    got = 0
    try:
        got = fieldplan.main(args=arguments, standalone_mode=False) or 0
    except FieldplanError as error:
        got = error.exit_code
        said = [(problem.code, f"{problem.text} {problem.hint}") for problem in error.problems]
    printed = capsys.readouterr().out
    if printed:
        found = json.loads(printed)
        assert found["accepted"] == (got == 0)
        said = [(one["code"], f"{one['text']} {one.get('hint', '')}") for one in found["notes" if got == 0 else "problems"]]
    assert got == exit_code, said
    assert any(a in code.split("|") and any(word in text for word in phrase.split("|")) for a, text in said), said
    assert sorted(tmp_path.rglob("*")) == before, "something was written beside the file"


def test_every_fault_has_a_name_of_its_own() -> None:
    """At least 45 rows, none twice."""
    names = [row[0] for row in FAULTS]
    assert len(set(names)) == len(names) >= 45
