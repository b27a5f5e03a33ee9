"""Files as they are dropped: every format, every question with its answer, and what somebody means harm with."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Sequence
from pathlib import Path

import geopandas
import numpy as np
import pytest
import shapely
from boundary_builders import POND, SQUARE, frame, geojson, in_crs, moved, shapefile
from conftest import SAMPLES

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.load import load_fields
from fieldplan.errors import FieldplanError, InputError
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.web import intake, questions
from fieldplan.web.arrived import LARGEST_DROP_BYTES, MAX_FILES, Arrived, label_of, sources_in
from fieldplan.web.draft import Draft
from fieldplan.web.ground import survey
from fieldplan.web.intake import Found, put_into, read
from fieldplan.web.questions import Question, answered, near, question_about

AMERICA = (-125.0, 24.5, -66.9, 49.4)
US = Quantities("us")


def arrived(*paths: Path) -> list[Arrived]:
    """Files as a browser sends them."""
    return [Arrived(name=path.name, content=path.read_bytes()) for path in paths]


def parts(path: Path) -> list[Arrived]:
    """All files of a Shapefile."""
    return arrived(*sorted(path.parent.glob(f"{path.stem}.*")))


def dropped(files: Sequence[Arrived], folder: Path, holds: str = "fields") -> list[Found]:
    """What dropped files are read as."""
    place = folder / "private"
    place.mkdir()
    return [read(source, holds) for source in sources_in(files, place)]  # type: ignore[arg-type]


def asked(found: Found) -> Question:
    """The question about what was read."""
    return question_about(found, AMERICA)


def labels(question: Question) -> list[str]:
    """The answers in words."""
    return [sentence(one.what, US) for one in question.answers]


@pytest.mark.parametrize(
    ("name", "driver"),
    [
        ("a.geojson", "GeoJSON"),
        ("a.gpkg", "GPKG"),
        ("a.fgb", "FlatGeobuf"),
        ("a.gml", "GML"),
        ("a.kml", "KML"),
    ],
)
def test_a_loose_file_is_read_at_once(tmp_path: Path, name: str, driver: str) -> None:
    """Its acres are those of the command line, to the last digit."""
    frame([SQUARE, moved(SQUARE, 0.02)]).to_file(tmp_path / name, driver=driver)
    (found,) = dropped(arrived(tmp_path / name), tmp_path)
    assert found.problems == ()
    saved = load_fields(tmp_path / name)
    assert [one.mapped_m2 for one in found.fields] == [one.mapped_m2 for one in saved.fields]
    assert [one.field_id for one in found.fields] == [one.field_id for one in saved.fields]


def test_loose_files_of_other_kinds(tmp_path: Path) -> None:
    """A table with WKT, GeoParquet, a KMZ: told by what is in them, whatever they are called."""
    (tmp_path / "a.csv").write_text(f'name,wkt\nnorth,"{SQUARE.wkt}"\n', encoding="utf-8")
    frame([SQUARE]).to_parquet(tmp_path / "b.parquet")
    frame([SQUARE]).to_file(tmp_path / "doc.kml", driver="KML")
    with zipfile.ZipFile(tmp_path / "c.kmz", "w") as archive:
        archive.write(tmp_path / "doc.kml", "doc.kml")
    geojson(tmp_path / "d.geojson", SQUARE).rename(tmp_path / "field.txt")
    names = ("a.csv", "b.parquet", "c.kmz", "field.txt")
    for one in dropped(arrived(*(tmp_path / name for name in names)), tmp_path):
        taken = (
            one if not one.problems else answered(asked(one), asked(one).answers[0])
        )  # a table names no system
        assert taken.problems == (), one.source.label
        assert taken.area_m2 == pytest.approx(geodesic_area_m2(SQUARE), rel=1e-9), one.source.label


def test_every_sample_is_read(tmp_path: Path) -> None:
    """All samples of the project that hold boundaries give the fields that the command line gives."""
    names = ("farm.geojson", "restoration.zip")
    for n, name in enumerate(names):
        (found,) = dropped(arrived(SAMPLES / name), _folder(tmp_path, str(n)))
        assert found.problems == ()
        expected = load_fields(SAMPLES / name).fields
        assert [one.mapped_m2 for one in found.fields] == [one.mapped_m2 for one in expected]


def _folder(parent: Path, name: str) -> Path:
    made = parent / name
    made.mkdir()
    return made


def test_a_loose_shapefile_is_one_source(tmp_path: Path) -> None:
    """Its parts find each other whatever the case of their names, and what else lies beside it is not read."""
    path = shapefile(tmp_path / "North.shp", SQUARE)
    files = [Arrived(name=one.name.upper() if one.name.endswith(".dbf") else one.name, content=one.content) for one in parts(path)]  # fmt: skip
    files.append(Arrived(name="North.sbn", content=b"index"))
    (found,) = dropped(files, tmp_path)
    assert [one.name for one in found.fields] == ["north 1"]
    assert found.source.label == "North.shp"
    assert found.problems == ()


def test_several_boundaries_at_once(tmp_path: Path) -> None:
    """Two Shapefiles and a KML in one drop are three sources; each keeps its own parts."""
    first = shapefile(tmp_path / "a.shp", SQUARE)
    second = shapefile(tmp_path / "b.shp", moved(SQUARE, 0.02), without=(".dbf",))
    frame([moved(SQUARE, 0.04)]).to_file(tmp_path / "c.kml", driver="KML")
    found = dropped([*parts(first), *parts(second), *arrived(tmp_path / "c.kml")], tmp_path)
    assert [one.source.label for one in found] == ["a.shp", "b.shp", "c.kml"]
    assert [len(one.fields) for one in found] == [1, 1, 1]
    assert any(note.code == "shapefile-no-dbf" for note in found[1].notes)


def test_a_file_geodatabase_as_a_folder(tmp_path: Path) -> None:
    """The tables of a folder that was dropped are put together under the names that they must have."""
    frame([SQUARE]).to_file(tmp_path / "farm.gdb", driver="OpenFileGDB")
    files = arrived(*sorted((tmp_path / "farm.gdb").iterdir()))
    (found,) = dropped([*files, Arrived(name="x.lock", content=b"")], tmp_path)
    assert found.problems == ()
    assert found.area_m2 == pytest.approx(geodesic_area_m2(SQUARE), rel=1e-6)


def test_part_of_a_shapefile_alone(tmp_path: Path) -> None:
    """It is said which file is missing."""
    with pytest.raises(InputError) as refused:
        dropped([Arrived(name="north.dbf", content=b"\3")], tmp_path)
    assert refused.value.problems[0].code == "dropped-shp-missing"
    assert refused.value.problems[0].file == "north.dbf"


# questions


def test_no_reference_system_in_degrees(tmp_path: Path) -> None:
    """The one answer that fits is offered, with its acres, and takes the file."""
    (found,) = dropped(parts(shapefile(tmp_path / "n.shp", SQUARE, without=(".prj",))), tmp_path)
    question = asked(found)
    assert labels(question) == ["longitude and latitude: at 44.20350, -95.69500 with 153.63 ac"]
    taken = answered(question, question.answers[0])
    assert taken.problems == ()
    assert taken.area_m2 == pytest.approx(geodesic_area_m2(SQUARE), rel=1e-12)


def test_no_reference_system_in_meters(tmp_path: Path) -> None:
    """Numbers that fit every UTM zone are shown in each zone of the map; the right one is where the field is."""
    path = shapefile(tmp_path / "n.shp", in_crs(SQUARE, 32615), crs=32615, without=(".prj",))
    (found,) = dropped(parts(path), tmp_path)
    question = asked(found)
    assert question.asks_place
    assert len(question.answers) >= 9
    right = [one for one in question.answers if one.place and SQUARE.contains(shapely.Point(one.place))]
    assert len(right) == 1
    taken = answered(question, right[0])
    assert taken.problems == ()
    assert taken.area_m2 == pytest.approx(geodesic_area_m2(SQUARE), rel=1e-5)


def test_a_place_near_it_finds_a_state_zone(tmp_path: Path) -> None:
    """A click near the farm brings up the zones used there; the first is the one that puts it nearest."""
    path = shapefile(tmp_path / "n.shp", in_crs(SQUARE, 2812), crs=2812, without=(".prj",))
    (found,) = dropped(parts(path), tmp_path)
    question = asked(found)
    assert question.asks_place
    closer = asked(near(question, (-95.6, 44.0)))
    assert not closer.asks_place
    assert labels(closer)[0].startswith("NAD83 / Minnesota South: at 44.2")
    assert answered(closer, closer.answers[0]).area_m2 == pytest.approx(geodesic_area_m2(SQUARE), rel=1e-5)


def test_no_answer_is_offered_that_leads_nowhere(tmp_path: Path) -> None:
    """Numbers that look like meters of UTM but lie beyond its zones: none is offered, the place is still asked for."""
    far = shapely.box(500_000, 9_700_000, 500_800, 9_700_800)
    (found,) = dropped(parts(shapefile(tmp_path / "n.shp", far, crs=32615, without=(".prj",))), tmp_path)
    question = asked(found)
    assert question.asks_place
    assert question.answers == ()


def test_swapped_axes(tmp_path: Path) -> None:
    """Latitude first: one click."""
    path = geojson(tmp_path / "s.geojson", shapely.transform(SQUARE, lambda xy: xy[:, ::-1]))
    (found,) = dropped(arrived(path), tmp_path)
    question = asked(found)
    assert [one.what.code for one in question.answers] == ["answer/axes-lat-lon"]
    assert answered(question, question.answers[0]).area_m2 == pytest.approx(geodesic_area_m2(SQUARE))


def test_a_lost_sign(tmp_path: Path) -> None:
    """A field on the other side of the Earth is moved back, or all of it lies where it should."""
    lost = shapely.transform(moved(SQUARE, 0.05), lambda xy: xy * [-1, 1])
    (found,) = dropped(
        arrived(geojson(tmp_path / "f.geojson", SQUARE, moved(SQUARE, 0.02), lost)), tmp_path
    )
    question = asked(found)
    assert [one.what.code for one in question.answers] == ["answer/slip", "answer/place-is-right"]
    taken = answered(question, question.answers[0])
    assert taken.problems == ()
    assert taken.fields[2].ground.symmetric_difference(moved(SQUARE, 0.05)).area < 1e-12
    kept = answered(question, question.answers[1])
    assert kept.fields[2].ground.bounds[0] > 90


@pytest.mark.parametrize("shape", ["overlap", "bow tie"])
def test_ground_that_must_be_mended(tmp_path: Path, shape: str) -> None:
    """What only the person can know is asked: take what was mended, or leave out what cannot be used."""
    bow_tie = {"type": "Polygon", "coordinates": [[[-95.6, 44.2], [-95.59, 44.207], [-95.59, 44.2], [-95.6, 44.206], [-95.6, 44.2]]]}  # fmt: skip
    second = moved(SQUARE, 0.005) if shape == "overlap" else bow_tie
    (found,) = dropped(arrived(geojson(tmp_path / "m.geojson", SQUARE, second)), tmp_path)
    question = asked(found)
    assert len(question.doubtful) == 1
    if shape == "overlap":
        (shared,) = question.shared
        assert geodesic_area_m2(shared) == pytest.approx(geodesic_area_m2(SQUARE) / 2, rel=1e-6)
        assert shared.covers(shapely.Point(question.doubtful[0]))
    codes = [one.what.code for one in question.answers]
    assert codes == (["answer/cut"] if shape == "overlap" else ["answer/repair", "answer/skip-bad"])
    for answer in question.answers:
        assert answered(question, answer).problems == ()
        assert len(answer.drawn) == len(answered(question, answer).fields)


def test_a_pond_drawn_as_a_field_inside_another(tmp_path: Path) -> None:
    """It may be ground that is not planted: its acres are then cut out, and nothing is counted twice."""
    (found,) = dropped(arrived(geojson(tmp_path / "p.geojson", SQUARE, POND)), tmp_path)
    question = asked(found)
    assert [one.what.code for one in question.answers] == ["answer/not-planted", "answer/cut"]
    draft, _ = put_into(Draft(), answered(question, question.answers[0]))
    assert [(one.layer, one.attributes.get("reason")) for one in draft.ground] == [
        ("fields", None),
        ("exclusions", "north 2"),
    ]
    (measured,) = survey(draft).fields.values()
    assert measured.excluded_m2 == pytest.approx(geodesic_area_m2(POND), rel=1e-9)
    assert measured.mapped_m2 == geodesic_area_m2(found.fields[0].ground)


def test_a_question_names_the_file_as_the_person_does(tmp_path: Path) -> None:
    """Nowhere in what is said is the private folder, or the name given in it."""
    path = shapefile(tmp_path / "home place.shp", in_crs(SQUARE, 32615), crs=32615, without=(".prj",))
    (found,) = dropped(parts(path), tmp_path)
    said = [sentence(one, US) for one in (*found.problems, *found.notes)]
    assert all("home place.shp" in one for one in said)
    assert not any("private" in one or "boundary." in one for one in said)


def test_lines_are_guides_or_not_planted(tmp_path: Path) -> None:
    """A file without an outline is asked whether its lines are guides; areas called guides, nothing."""
    line = shapely.LineString(SQUARE.exterior.coords[:3])
    (found,) = dropped(arrived(geojson(tmp_path / "l.geojson", line)), tmp_path)
    question = asked(found)
    assert [one.what.code for one in question.answers] == [
        "answer/holds-guides"
    ]  # a line has no width to be left out
    draft, _ = put_into(Draft(), answered(question, question.answers[0]))
    assert [one.layer for one in draft.ground] == ["guides"]


def test_exclusions_without_a_reference_system(tmp_path: Path) -> None:
    """What a file holds is kept while it is asked about: the answer gives ground not planted, not a field."""
    path = shapefile(tmp_path / "x.shp", POND, without=(".prj",), reason=["pond"])
    (found,) = dropped(parts(path), tmp_path, "exclusions")
    question = asked(found)
    draft, _ = put_into(Draft(), answered(question, question.answers[0]))
    assert [(one.layer, one.attributes["reason"]) for one in draft.ground] == [("exclusions", "pond")]


def test_a_county_is_too_much_for_a_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Over a thousand fields are refused with the number, not shown."""
    monkeypatch.setattr(intake, "MAX_FIELDS", 2)
    path = geojson(tmp_path / "c.geojson", *(moved(SQUARE, 0.02 * k) for k in range(3)))
    (found,) = dropped(arrived(path), tmp_path)
    assert [(one.code, one.values["n_fields"]) for one in found.problems] == [("dropped-many-fields", 3)]
    assert found.fields == ()


# into the draft


def test_everything_of_a_file_comes_along(tmp_path: Path) -> None:
    """Attributes, edges and guides of a GeoPackage are in the draft as they were read."""
    path = tmp_path / "all.gpkg"
    frame([SQUARE], mix=["prairie"], priority=[3], gate_lat=[44.2], gate_lon=[-95.695]).to_file(path, layer="fields", driver="GPKG")  # fmt: skip
    south = shapely.LineString(list(SQUARE.exterior.coords)[:2])
    frame([south], edge=["open"]).to_file(path, layer="edges", driver="GPKG")
    frame([shapely.affinity.translate(south, 0, 0.003)]).to_file(path, layer="guides", driver="GPKG")
    (found,) = dropped(arrived(path), tmp_path)
    draft, keys = put_into(Draft(), found)
    assert keys == ("fields-1",)
    assert dict(draft.of_layer("fields")[0].attributes) == {
        "id": "north 1", "name": "north 1", "mix": "prairie", "priority": 3, "gate_lat": 44.2, "gate_lon": -95.695,
    }  # fmt: skip
    assert [dict(one.attributes) for one in draft.of_layer("edges")] == [{"edge": "open"}]
    assert len(draft.of_layer("guides")) == 1


def test_ground_not_planted_and_guides(tmp_path: Path) -> None:
    """Files that the person says hold such things give them, with reason and set-back."""
    path = tmp_path / "out.geojson"
    geopandas.GeoDataFrame({"reason": ["pond"], "set_back": ["30 ft"]}, geometry=[POND], crs=4326).to_file(path, driver="GeoJSON")  # fmt: skip
    (found,) = dropped(arrived(path), tmp_path, "exclusions")
    draft, _ = put_into(Draft(), found)
    (one,) = draft.of_layer("exclusions")
    assert dict(one.attributes) == {"reason": "pond", "set_back": "30 ft"}
    assert geodesic_area_m2(one.geometry) == pytest.approx(geodesic_area_m2(POND), rel=1e-9)
    lines = geojson(tmp_path / "line.geojson", shapely.LineString(SQUARE.exterior.coords[:3]))
    (found,) = dropped(arrived(lines), _folder(tmp_path, "g"), "guides")
    assert len(put_into(draft, found)[0].of_layer("guides")) == 1
    (nothing,) = dropped(arrived(path), _folder(tmp_path, "n"), "guides")
    assert [one.code for one in nothing.problems] == ["no-fields"]


def test_a_file_twice_gives_ids_of_their_own(tmp_path: Path) -> None:
    """The second time, the ids are changed; that it is the same ground is asked about by the survey."""
    (found,) = dropped(arrived(geojson(tmp_path / "a.geojson", SQUARE)), tmp_path)
    draft, _ = put_into(put_into(Draft(), found)[0], found)
    assert [one.attributes["id"] for one in draft.of_layer("fields")] == ["north 1", "north 1-2"]


# harm


def hostile() -> dict[str, list[Arrived]]:
    """What somebody sends who means harm, or by mistake."""

    def zipped(**members: bytes) -> bytes:
        made = io.BytesIO()
        with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, content in members.items():
                archive.writestr(name, content)
        return made.getvalue()

    valid = json.dumps(shapely.geometry.mapping(SQUARE)).encode()
    virtual = b'<OGRVRTDataSource><OGRVRTLayer name="x"><SrcDataSource>/etc/passwd</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>'
    entity = b'<?xml version="1.0"?><!DOCTYPE k [<!ENTITY e SYSTEM "file:///etc/passwd">]><kml xmlns="http://www.opengis.net/kml/2.2"><Document><name>&e;</name></Document></kml>'
    return {
        "zip bomb": [Arrived(name="a.zip", content=zipped(**{"a.geojson": b"\0" * 40_000_000}))],
        "zip that leads outside": [Arrived(name="a.zip", content=zipped(**{"../../evil.geojson": valid}))],
        "zip with an absolute name": [Arrived(name="a.zip", content=zipped(**{"/etc/evil.geojson": valid}))],
        "zip in a zip": [Arrived(name="a.zip", content=zipped(**{"b.zip": zipped(**{"c.geojson": valid})}))],
        "broken zip": [Arrived(name="a.zip", content=zipped(**{"a.geojson": valid})[:-30])],
        "virtual format": [Arrived(name="a.geojson", content=virtual)],
        "entity": [Arrived(name="a.kml", content=entity)],
        "program": [Arrived(name="a.shp", content=b"\x7fELF" + b"\0" * 200)],
        "picture": [Arrived(name="field.geojson", content=b"\x89PNG\r\n\x1a\n" + b"\0" * 100)],
        "nothing": [Arrived(name="a.geojson", content=b"")],
        "deep": [Arrived(name="a.geojson", content=b'{"type":"FeatureCollection","features":' + b"[" * 100_000)],
        "database": [Arrived(name="a.gpkg", content=b"SQLite format 3\0" + b"\xff" * 5_000)],
        "cut shapefile": [Arrived(name="a.shp", content=b"\0\0\x27\x0a" + b"\0" * 96)],
        "huge header": [Arrived(name="a.fgb", content=b"fgb\x03fgb\x00" + b"\xff\xff\xff\x7f" + b"\0" * 50)],
    }  # fmt: skip


@pytest.mark.parametrize("kind", list(hostile()))
def test_harm_is_refused_in_words(tmp_path: Path, kind: str) -> None:
    """Each is refused with a sentence, nothing of it is on the map, and nothing is written outside the folder."""
    before = {path for path in tmp_path.parent.rglob("*") if "private" not in path.parts}
    try:
        found = dropped(hostile()[kind], tmp_path)
    except FieldplanError as error:
        problems = error.problems
    else:
        assert all(not one.drawn for one in found)
        problems = tuple(problem for one in found for problem in one.problems)
        for one in found:
            assert all(not answer.drawn for answer in asked(one).answers)
    assert problems
    for one in problems:
        assert sentence(one, US)
        assert "passwd" not in sentence(one, US)
    after = {path for path in tmp_path.parent.rglob("*") if "private" not in path.parts}
    assert after <= before | {tmp_path / "private"}
    assert not list(tmp_path.parent.rglob("evil.geojson"))


NAMES = ("../../etc/passwd", "..\\..\\boot.geojson", "/etc/shadow.shp", "C:\\farm\\n.kml", "a\0b.geojson", "\u202egnosj.geojson",
         "x" * 5_000 + ".geojson", "", ".", "..", "~root/.ssh/id", "con.shp", "<img src=x onerror=alert(1)>.geojson", "a\n\rb.json")  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_a_name_is_never_a_path(tmp_path: Path, name: str) -> None:
    """Whatever a file is called, its copy has a name chosen here, inside the folder; the label is one short line."""
    place = _folder(tmp_path, "private")
    content = json.dumps(shapely.geometry.mapping(SQUARE)).encode()
    (source,) = sources_in([Arrived(name=name, content=content)], place)
    written = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert written == [source.path] or source.path.suffix == ".shp"
    assert all(path.resolve().is_relative_to(place.resolve()) for path in written)
    assert all(path.stem == "boundary" for path in written)
    assert len(label_of(name)) <= 80
    assert label_of(name).isprintable()
    assert "/" not in label_of(name)
    assert "\\" not in label_of(name)


def test_names_in_a_database_are_those_of_its_tables(tmp_path: Path) -> None:
    """A folder of tables takes no other file along, and no table a name that leads elsewhere."""
    files = [
        Arrived(name=name, content=b"x")
        for name in ("a00000001.gdbtable", "../../a00000002.gdbtablx", "gdb", "aevil.gdbtable.spx", ".hidden.gdbtable", "timestamps")
    ]  # fmt: skip
    place = _folder(tmp_path, "private")
    sources_in(files, place)
    written = sorted(path.relative_to(place).as_posix() for path in place.rglob("*") if path.is_file())
    expected = ["a00000001.gdbtable", "a00000002.gdbtablx", "gdb", "timestamps"]
    assert written == [f"database/boundary.gdb/{name}" for name in expected]


def test_too_much_is_refused_before_it_is_written(tmp_path: Path) -> None:
    """Too many files, too large together, or none."""
    place = _folder(tmp_path, "private")
    for files, code in (
        ([], "dropped-nothing"),
        ([Arrived(name="a.kml", content=b"x")] * (MAX_FILES + 1), "dropped-too-many"),
        ([Arrived(name="a.kml", content=bytes(LARGEST_DROP_BYTES + 1))], "dropped-too-large"),
    ):
        with pytest.raises(InputError) as refused:
            sources_in(files, place)
        assert refused.value.problems[0].code == code
    assert list(place.iterdir()) == []


def test_a_large_file_is_asked_about_without_trying(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where trying each answer would take long, they are named without their outlines, and still take the file."""
    monkeypatch.setattr(questions, "MAX_TRIED_BYTES", 3)
    (found,) = dropped(arrived(geojson(tmp_path / "o.geojson", SQUARE, moved(SQUARE, 0.005))), tmp_path)
    question = asked(found)
    repair = next(one for one in question.answers if one.what.code == "answer/cut")
    assert repair.drawn == ()
    assert answered(question, repair).problems == ()


def test_values_that_are_no_numbers(tmp_path: Path) -> None:
    """Coordinates that are not finite are a problem, with leaving out as an answer where something is left."""
    bad = shapely.transform(SQUARE, lambda xy: np.where(xy == xy.max(), np.nan, xy))
    path = tmp_path / "nan.gpkg"
    frame([moved(SQUARE, 0.02), bad]).to_file(path, driver="GPKG")
    (found,) = dropped(arrived(path), tmp_path)
    assert found.problems
    question = asked(found)
    assert [one.what.code for one in question.answers] == ["answer/skip-bad"]
