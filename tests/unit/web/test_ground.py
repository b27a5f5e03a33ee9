"""A draft of ground: measured as a file of it is, and edited without losing what is said of a field."""

from __future__ import annotations

from pathlib import Path

import pytest
from boundary_builders import POND, SIDE_LAT, SIDE_LON, SOUTH, SQUARE, WEST, moved
from shapely import MultiPolygon

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.exclusions import load_exclusions
from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import FieldplanError, InputError
from fieldplan.web.draft import Draft
from fieldplan.web.ground import (
    gate_of,
    id_of,
    join_fields,
    nearest_field,
    seed_place_of,
    split_field,
    survey,
    with_attribute,
    with_feature,
    with_field,
    with_gate,
    with_geometry,
    with_seed_place,
    without_feature,
    without_place,
    without_shared_ground,
)
from fieldplan.web.sketch import CLOSED, DONE_WITH, TOOLS, Sketch, finished
from fieldplan.web.written import ground_writers

EAST, NORTH = WEST + SIDE_LON, SOUTH + SIDE_LAT
GATE = (WEST + 0.002, SOUTH)
ACROSS = ((WEST + 0.004, SOUTH - 0.001), (WEST + 0.004, NORTH + 0.001))


def field(draft: Draft | None = None, **attributes: str | int | float) -> tuple[Draft, str]:
    """A draft with the square, or with it besides what is there."""
    return with_field(draft or Draft(), MultiPolygon([SQUARE]), attributes or None)


def drawn(key: str, draft: Draft):  # type: ignore[no-untyped-def]
    """The feature with a key."""
    return next(one for one in draft.ground if one.key == key)


def test_acres_are_those_of_the_saved_file(tmp_path: Path) -> None:
    """What is said while drawing, the command line gives for the files: mapped and left to plant, with a pond, a
    waterway and a well cut out.
    """
    draft, key = field()
    draft, _ = with_field(draft, MultiPolygon([moved(SQUARE, SIDE_LON)]))
    for tool, points, set_back in (
        ("area", tuple(POND.exterior.coords)[:-1], ""),
        ("line", ((WEST, SOUTH + 0.006), (EAST + 0.004, SOUTH + 0.006)), "30 ft"),
        ("point", ((WEST + 0.008, SOUTH + 0.002),), "12 m"),
    ):
        draft = finished(draft, Sketch(tool=tool, points=points, reason=tool, set_back=set_back)).draft  # type: ignore[arg-type]
    for name, _, write in ground_writers(draft):
        write(tmp_path / name)
    terms = ReadingTerms()
    saved = load_fields(
        tmp_path / "fields.gpkg", terms, [load_exclusions(tmp_path / "exclusions.gpkg", terms)]
    )
    said = survey(draft)
    assert said.problems == ()
    for one, measured in zip(saved.fields, said.fields.values(), strict=True):
        assert measured.mapped_m2 == pytest.approx(one.mapped_m2, rel=1e-12)
        assert measured.plantable_m2 == pytest.approx(one.plantable_m2, rel=1e-9)
        assert measured.excluded_m2 == pytest.approx(one.excluded_m2, rel=1e-9)
    assert said.fields[key].mapped_m2 == geodesic_area_m2(SQUARE)
    assert said.fields[key].excluded_m2 > geodesic_area_m2(POND)


@pytest.mark.parametrize("tool", TOOLS)
def test_every_tool_makes_what_it_says(tool: str) -> None:
    """Each kind of sketch leaves one more feature, a changed field, or a place of it."""
    before, key = field()
    points = {
        "field": ((EAST, SOUTH), (EAST + 0.01, SOUTH), (EAST, NORTH)),
        "hole": tuple(POND.exterior.coords)[:-1],
        "area": tuple(POND.exterior.coords)[:-1],
        "split": ACROSS,
        "edge": ((WEST, SOUTH), (EAST, SOUTH)),
    }.get(tool, ((WEST + 0.001, SOUTH + 0.001), (WEST + 0.009, SOUTH + 0.006)))
    points = points[: DONE_WITH.get(tool, len(points))]  # type: ignore[call-overload]
    made = finished(before, Sketch(tool=tool, points=points, reason="well", set_back="9 m"), key)  # type: ignore[arg-type]
    layers = {"field": "fields", "split": "fields", "guide": "guides", "edge": "edges"} | dict.fromkeys(
        ("area", "line", "point"), "exclusions"
    )
    if tool in layers:
        layer = layers[tool]
        assert len(made.draft.of_layer(layer)) == len(before.of_layer(layer)) + 1  # type: ignore[arg-type]
    elif tool == "hole":
        assert drawn(key, made.draft).geometry.area < SQUARE.area
    else:
        place = (gate_of if tool == "gate" else seed_place_of)(made.draft, drawn(key, made.draft))
        assert place == pytest.approx(points[0], abs=1e-7)
    if tool == "point":
        assert dict(made.draft.of_layer("exclusions")[0].attributes) == {
            "reason": "well",
            "set_back": "9 m",
        }


@pytest.mark.parametrize("tool", [tool for tool in TOOLS if tool not in DONE_WITH])
def test_too_few_points_are_refused(tool: str) -> None:
    """One short of a triangle, or of a line."""
    short = ((WEST, SOUTH), (EAST, SOUTH))[: 2 if tool in CLOSED else 1]
    with pytest.raises(InputError) as refused:
        finished(field()[0], Sketch(tool=tool, points=short, set_back="3 m"))  # type: ignore[arg-type]
    assert refused.value.problems[0].code == "drawn-too-few"


SOUTH_EDGE, EAST_EDGE = SOUTH + 0.002, WEST + SIDE_LON


@pytest.mark.parametrize(
    ("tool", "points", "set_back", "reached"),
    [
        ("area", [(-0.002, 0.0), (0.002, 0.0), (0.002, 0.001), (-0.002, 0.001)], "", ["west", "east"]),
        ("area", [(-0.002, 0.0), (-0.001, 0.0), (-0.001, 0.001), (-0.002, 0.001)], "", []),
        ("line", [(-0.0001, 0.0), (-0.0001, 0.001)], "30 ft", ["west", "east"]),
        ("line", [(-0.0001, 0.0), (-0.0001, 0.001)], "3 ft", []),
        ("point", [(0.0, 0.0)], "5 m", ["west", "east"]),
    ],
)
def test_ground_that_is_taken_from_a_neighbor_is_said(
    tool: str, points: list[tuple[float, float]], set_back: str, reached: list[str]
) -> None:
    """Degrees east of the edge that two squares share; 0.0001 are 8 m here, less than 30 ft and more than 3."""
    draft, _ = field(name="west")
    draft, _ = with_field(draft, MultiPolygon([moved(SQUARE, SIDE_LON)]), {"name": "east"})
    places = tuple((EAST_EDGE + east, SOUTH_EDGE + north) for east, north in points)
    made = finished(draft, Sketch(tool=tool, points=places, set_back=set_back))  # type: ignore[arg-type]
    notes = [note for note in made.notes if note.code == "drawn-reaches-fields"]
    assert [note.values["fields"] for note in notes] == ([tuple(reached)] if reached else [])


@pytest.mark.parametrize(
    ("set_back", "code"), [("", "drawn-set-back"), ("0 ft", "drawn-set-back"), ("far", "")]
)
def test_a_line_needs_a_width(set_back: str, code: str) -> None:
    """A waterway without a set-back takes up no ground, and a set-back without a unit cannot be read."""
    line = Sketch(tool="line", points=((WEST, SOUTH), (EAST, NORTH)), set_back=set_back)
    with pytest.raises(FieldplanError) as refused:
        finished(Draft(), line)
    assert code in ("", refused.value.problems[0].code)


def test_a_gate_needs_a_field() -> None:
    """Without any, it is said."""
    with pytest.raises(InputError) as refused:
        finished(Draft(), Sketch(tool="gate", points=((WEST, SOUTH),)))
    assert refused.value.problems[0].code == "drawn-no-field"


def test_ids_are_never_given_twice() -> None:
    """A field with an id that is taken gets it with a number; a person who asks for a taken one is told."""
    draft, first = field(id="north", name="North")
    draft, second = field(draft, id="north", name="North")
    assert [id_of(one) for one in draft.of_layer("fields")] == ["north", "north-2"]
    with pytest.raises(InputError) as refused:
        with_attribute(draft, second, "id", "north")
    assert refused.value.problems[0].code == "drawn-id-taken"
    assert with_attribute(draft, first, "id", "  ") == draft


def test_what_the_job_says_follows_the_id() -> None:
    """Renamed, a field keeps its keys of the job file; deleted, they go; those of others stay."""
    draft, key = field(id="north")
    draft = Draft(ground=draft.ground, tables={"field": {"north": {"mix": "a"}, "other": {"mix": "b"}}})
    renamed = with_attribute(draft, key, "id", "south")
    assert renamed.tables["field"] == {"south": {"mix": "a"}, "other": {"mix": "b"}}
    assert without_feature(renamed, key).tables["field"] == {"other": {"mix": "b"}}


def test_a_gate_on_the_map_replaces_that_of_the_job_file() -> None:
    """The job file comes before the boundary file, so its own gate must go when another is put on the map."""
    draft, key = field(id="north", gate="44.2, -95.7")
    draft = Draft(ground=draft.ground, tables={"field": {"north": {"gate": {"lat": 44.3, "lon": -95.6}}}})
    assert gate_of(draft, drawn(key, draft)) == (-95.6, 44.3)
    draft = with_gate(draft, key, GATE)
    assert gate_of(draft, drawn(key, draft)) == pytest.approx(GATE)
    assert "field" not in draft.tables
    assert gate_of(without_place(draft, key, "gate"), drawn(key, without_place(draft, key, "gate"))) is None


def test_split_field_keeps_what_is_said() -> None:
    """The largest piece keeps id, table and place of the seed; the gate goes with the piece where it is."""
    draft, key = field(id="north", name="North", mix="prairie", priority=2)
    draft = with_seed_place(with_gate(draft, key, GATE), key, GATE)
    split, keys = split_field(draft, key, ACROSS)
    large, small = (drawn(one, split) for one in keys)
    assert geodesic_area_m2(large.geometry) > geodesic_area_m2(small.geometry)
    assert [id_of(large), id_of(small)] == ["north", "north-2"]
    assert (small.attributes["mix"], small.attributes["priority"]) == ("prairie", 2)
    assert gate_of(split, large) is None
    assert gate_of(split, small) == pytest.approx(GATE)
    joined, _ = join_fields(split, keys)
    assert [id_of(one) for one in joined.of_layer("fields")] == ["north"]
    assert geodesic_area_m2(drawn(key, joined).geometry) == pytest.approx(
        geodesic_area_m2(SQUARE), rel=1e-9
    )


def test_shared_ground_is_asked_about_and_left_to_the_first() -> None:
    """Two fields that overlap are a problem as in a file; one answer cuts the later one."""
    draft, first = field()
    draft, second = with_field(draft, MultiPolygon([moved(SQUARE, SIDE_LON / 2)]))
    assert [problem.code for problem in survey(draft).problems] == ["fields-overlap"]
    cut = without_shared_ground(draft)
    assert survey(cut).problems == ()
    assert survey(cut).fields[first] == survey(draft).fields[first]
    assert survey(cut).fields[second].mapped_m2 == pytest.approx(geodesic_area_m2(SQUARE) / 2, rel=1e-4)


def test_a_moved_corner_that_crosses_is_refused() -> None:
    """The draft stays as it is, and the problem is that of a file."""
    draft, key = field()
    crossed = moved(SQUARE, 0).exterior.coords
    from shapely import Polygon

    bow_tie = Polygon([crossed[0], crossed[2], crossed[1], crossed[3]])
    with pytest.raises(FieldplanError) as refused:
        with_geometry(draft, key, MultiPolygon([bow_tie]))
    assert refused.value.problems[0].code == "outline-invalid"


def test_the_nearest_field_is_the_one_around() -> None:
    """In a field it is that field, outside the nearest."""
    draft, first = field()
    draft, second = with_field(draft, MultiPolygon([moved(SQUARE, 0.02)]))
    assert nearest_field(draft, (WEST + 0.001, SOUTH + 0.001)).key == first
    assert nearest_field(draft, (WEST + 0.04, SOUTH)).key == second


def test_no_key_is_given_twice() -> None:
    """Also after the first of three was deleted."""
    draft = Draft()
    for _ in range(3):
        draft, _ = with_feature(draft, "guides", SQUARE.boundary, {})
    draft, key = with_feature(draft.without("guides-1"), "guides", SQUARE.boundary, {})
    assert key == "guides-1"
    assert len({one.key for one in draft.ground}) == 3
