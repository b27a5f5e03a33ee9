"""Boundary files that are odd and mean one thing are read; those that cannot be say what to do."""

from __future__ import annotations

import gzip
import json
import zipfile
from pathlib import Path

import boundary_builders as s
import geopandas
import pytest
from boundary_builders import POND, SQUARE
from shapely import LineString, MultiPolygon
from shapely.geometry import mapping

from fieldplan.boundary.exclusions import load_exclusions
from fieldplan.boundary.load import examine
from fieldplan.boundary.terms import ReadingTerms

PLACES = " ".join(f"{x},{y}" for x, y in SQUARE.exterior.coords)
POLYGON = f"<Polygon><outerBoundaryIs><LinearRing><coordinates>{PLACES}</coordinates></LinearRing></outerBoundaryIs></Polygon>"
LINK = "<NetworkLink><Link><href>http://127.0.0.1:9/fields.kml</href></Link></NetworkLink>"


def _kml(path: Path, inside: str, before: str = "") -> Path:
    text = f'{before}<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2">'
    path.write_text(f"{text}<Document>{inside}</Document></kml>", encoding="utf-8")
    return path


def test_files_of_one_name_in_a_zip_are_told_apart(tmp_path: Path) -> None:
    """By their folder there: otherwise --layer could not choose one."""
    places = []
    for folder, moved in (("east", 0.0), ("west", 0.02)):
        (tmp_path / folder).mkdir()
        places.append(s.geojson(tmp_path / folder / "fields.geojson", s.moved(SQUARE, moved)))
    archive = tmp_path / "farm.zip"
    with zipfile.ZipFile(archive, "w") as out:
        for place in places:
            out.write(place, f"{place.parent.name}\\{place.name}")
    names = [layer.name for layer in examine(archive).layers]
    assert names == ["east/fields.geojson: fields", "west/fields.geojson: fields"]
    found = examine(archive, ReadingTerms(layers=(names[1],)))
    assert len(found.fields) == 1
    assert not found.problems


def test_a_kml_of_links_alone_says_so(tmp_path: Path) -> None:
    """What most maps on the web give: nothing is fetched, and the hint says what to save instead."""
    found = examine(_kml(tmp_path / "live.kml", LINK))
    assert [note.code for note in found.notes] == ["links-not-followed"]
    assert found.problems[0].code == "no-fields"
    assert "placemarks" in found.problems[0].hint


def test_lines_before_the_xml_are_no_damage(tmp_path: Path) -> None:
    """An empty line, as some web sites send first."""
    path = _kml(tmp_path / "site.kml", f"<Placemark><name>a</name>{POLYGON}</Placemark>", "\r\n\r\n")
    assert len(examine(path).fields) == 1


def test_a_prj_in_utf_16_is_read(tmp_path: Path) -> None:
    """As an editor or a shell of one system saves text."""
    path = s.shapefile(tmp_path / "fields.shp", SQUARE)
    prj = path.with_suffix(".prj")
    prj.write_bytes(prj.read_text().encode("utf-16"))
    assert not examine(path).problems


@pytest.mark.parametrize("n_features", [1, 2])
def test_a_sequence_of_features_may_have_one(n_features: int, tmp_path: Path) -> None:
    """RFC 8142: each feature after a record separator."""
    feature = {"type": "Feature", "properties": {}}
    shapes = [s.moved(SQUARE, 0.02 * n) for n in range(n_features)]
    lines = [f"\x1e{json.dumps({**feature, 'geometry': mapping(shape)})}\n" for shape in shapes]
    (tmp_path / "fields.geojsons").write_text("".join(lines))
    assert len(examine(tmp_path / "fields.geojsons").fields) == n_features


def test_a_name_in_languages_is_not_the_name_of_a_language(tmp_path: Path) -> None:
    """An attribute that holds names and values is shown as it stands."""
    path = s.geojson(tmp_path / "fields.geojson", SQUARE)
    content = json.loads(path.read_text())
    content["features"][0]["properties"] = {"name": {"en": "North", "de": "Nord"}}
    path.write_text(json.dumps(content))
    assert examine(path).fields[0].name == '{"en": "North", "de": "Nord"}'


@pytest.mark.parametrize(
    "name", ["set_back", "Set-back", "set back", "SETBACK", "setback_ft", "Set_Back_m"]
)
def test_a_set_back_counts_however_its_column_is_spelled(name: str, tmp_path: Path) -> None:
    """A column of set-backs that is passed over would sow beside a well."""
    value = {"setback_ft": 30, "Set_Back_m": 9.144}.get(name, "30 ft")
    exclusions = s.geojson(tmp_path / "wet.geojson", POND, properties={name: value})
    (one,) = load_exclusions(exclusions, ReadingTerms()).exclusions
    assert one.set_back_m == pytest.approx(9.144)


def test_a_misspelled_column_of_an_exclusion_is_asked_about(tmp_path: Path) -> None:
    """As one of a field is."""
    exclusions = s.geojson(tmp_path / "wet.geojson", POND, properties={"set_bak": "30 ft"})
    found = load_exclusions(exclusions, ReadingTerms())
    assert [note.code for note in found.notes] == ["attribute-like"]


WKB_HEX = SQUARE.wkb_hex


@pytest.mark.parametrize(
    ("content", "case"),
    [
        (b"AutoCAD Binary DXF\r\n\x1a\0", "binary-drawing"),
        (gzip.compress(b'{"type": "FeatureCollection"}', mtime=0), "packed"),
        (b"x" * 257 + b"ustar" + b"0" * 250, "packed"),
        (b"%PDF-1.7\n", "picture"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "office"),
        (b"\n<!DOCTYPE html>\n<html><body><p>Sign in<br></body></html>", "web-page"),
        (b"<!-- saved --><HTML><body>", "web-page"),
        (b'<?xml version="1.0"?><ISO11783_TaskData VersionMajor="4"/>', "task-data"),
        (b'field,"Latitude",Longitude\nnorth,44.2,-95.7\n', "points"),
        (f"id;geom\n1;{WKB_HEX}\n".encode(), "wkb"),
    ],
)
def test_what_is_not_read_is_called_by_its_name(content: bytes, case: str, tmp_path: Path) -> None:
    """A list of formats does not help somebody who saved the page in the place of the file."""
    path = tmp_path / "fields.kml"
    path.write_bytes(content)
    problem = examine(path).problems[0]
    assert (problem.code, problem.case) == ("format-unknown", case)
    assert problem.hint


def test_task_data_in_a_zip_is_called_by_its_name(tmp_path: Path) -> None:
    """As terminals have it: a folder with TASKDATA.XML."""
    with zipfile.ZipFile(tmp_path / "taskdata.zip", "w") as out:
        out.writestr("TASKDATA/TASKDATA.XML", "<ISO11783_TaskData/>")
    assert examine(tmp_path / "taskdata.zip").problems[0].case == "task-data"


def test_the_spatial_index_of_a_shapefile_is_a_part_of_it(tmp_path: Path) -> None:
    """It begins as the .shp does."""
    path = tmp_path / "fields.sbn"
    path.write_bytes(b"\x00\x00\x27\x0a\xff\xff\xfe\x70" + bytes(92))
    assert examine(path).problems[0].code == "shapefile-part"


def test_parts_far_apart_are_fields_of_their_own(tmp_path: Path) -> None:
    """Some 50 km, in one feature: nothing is too large, so the hint is another."""
    both = MultiPolygon([SQUARE, s.moved(SQUARE, 0.6)])
    problem = examine(s.geojson(tmp_path / "far.geojson", both)).problems[0]
    assert (problem.code, problem.case) == ("field-too-large", "parts")


@pytest.mark.parametrize(
    ("priority", "read"), [("2", 2), ("2.0", 2), (2.0, 2), ("2.5", None), ("second", None)]
)
def test_whole_numbers_of_tables_are_priorities(priority: object, read: int | None, tmp_path: Path) -> None:
    """A table with a blank in the column writes 2 as 2.0."""
    path = s.geojson(tmp_path / "fields.geojson", SQUARE, properties={"priority": priority})
    assert examine(path).fields[0].priority == read


def test_a_layer_of_lines_is_left_out_by_its_name(tmp_path: Path) -> None:
    """The hint for a line that does not close names the option that chooses the fields' layer."""
    path = s.vector(tmp_path / "farm.gpkg", SQUARE, driver="GPKG", layer="fields")
    road = geopandas.GeoDataFrame(geometry=[LineString([(-95.7, 44.1), (-95.6, 44.1)])], crs=4326)
    road.to_file(path, layer="road", driver="GPKG", mode="a")
    assert "--layer" in examine(path).problems[0].hint
    assert not examine(path, ReadingTerms(layers=("fields",))).problems


def test_a_file_of_guides_that_is_cut_short_is_refused(tmp_path: Path) -> None:
    """As one of fields is: the lines at its end are gone."""
    lines = [LineString([(-95.7, 44.2 + 0.001 * n), (-95.69, 44.2 + 0.001 * n)]) for n in (1, 2, 3)]
    guides = s.shapefile(tmp_path / "guides.shp", *lines)
    guides.write_bytes(guides.read_bytes()[:-60])
    fields = s.geojson(tmp_path / "fields.geojson", SQUARE)
    terms = ReadingTerms(guides=(guides,))
    assert "shapefile-cut" in [problem.code for problem in examine(fields, terms).problems]
    left = examine(fields, ReadingTerms(guides=(guides,), skip_bad=True))
    assert "feature-left-out" in {note.code for note in left.notes}


def test_guides_that_are_no_lines_are_said_to_be_left_out(tmp_path: Path) -> None:
    """An area or a point leads no pass."""
    line = LineString([(-95.699, 44.202), (-95.691, 44.204)])
    guides = s.geojson(tmp_path / "guides.geojson", line, POND, POND.centroid)
    fields = s.geojson(tmp_path / "fields.geojson", SQUARE)
    found = examine(fields, ReadingTerms(guides=(guides,)))
    reasons = [str(note.values["reason"]) for note in found.notes if note.code == "features-left-out"]
    assert reasons == ["areas, where lines are wanted", "points"]
    assert len(found.fields[0].guides) == 1
