"""A draft is what its files say."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from conftest import SAMPLES
from desks import sample_draft, small_draft, with_exclusion
from shapely import LineString, Point

from fieldplan.cli.main import exit_code
from fieldplan.jobfile.load import read_toml
from fieldplan.web.draft import Draft, Drawn
from fieldplan.web.written import (
    EXCLUSIONS,
    ground_in,
    ground_writers,
    job_text,
    tables_in,
    with_exclusion_keys,
    without_exclusion_keys,
)

JOB_TEXT = (SAMPLES / "farm.toml").read_text(encoding="utf-8")


def _written(draft: Draft, folder: Path) -> tuple[Drawn, ...]:
    for file, _, write in ground_writers(draft):
        write(folder / file)
    return ground_in(folder)


def _alike(one: Drawn) -> tuple[object, ...]:
    return (one.layer, one.geometry.wkb, dict(one.attributes))


def test_every_layer_is_read_as_it_was_drawn(tmp_path: Path) -> None:
    """Places to the last digit, attributes with their types, and nothing for those that a feature lacks."""
    gate = {"id": "p1", "name": "Ä & b", "priority": 2, "gate_lat": 44.0001, "gate_lon": -95.0}
    field = replace(small_draft(2).ground[0], attributes=gate)
    draft = Draft(
        ground=(
            field,
            small_draft(2).ground[1],
            Drawn(
                key="e",
                layer="edges",
                geometry=LineString([(-95, 44), (-95, 44.001)]),
                attributes={"edge": "open"},
            ),
            Drawn(key="g", layer="guides", geometry=LineString([(-95, 44.0005), (-94.999, 44.0004)])),
            Drawn(
                key="x",
                layer="exclusions",
                geometry=Point(-94.9995, 44.0003),
                attributes={"reason": "well", "set_back": "30 ft"},
            ),
        )
    )
    assert [_alike(one) for one in _written(draft, tmp_path)] == [_alike(one) for one in draft.ground]


def test_no_field_yet_is_read_as_none(tmp_path: Path) -> None:
    """A job that was only begun."""
    assert _written(Draft(), tmp_path) == ()


def test_a_multipolygon_and_a_polygon_share_a_layer(tmp_path: Path) -> None:
    """A sample's fields, which are multipolygons, beside a drawn polygon."""
    draft = sample_draft("farm.toml", "farm.geojson")
    draft = draft.with_drawn(small_draft(1).ground[0])
    assert [_alike(one) for one in _written(draft, tmp_path)] == [_alike(one) for one in draft.ground]


def test_the_same_draft_gives_the_same_bytes(tmp_path: Path) -> None:
    """Nothing of the day or the run is written."""
    draft = with_exclusion(small_draft(2), reason="pond")
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
        _written(draft, tmp_path / name)
    for file, _, _ in ground_writers(draft):
        assert (tmp_path / "one" / file).read_bytes() == (tmp_path / "other" / file).read_bytes()


def test_a_job_file_keeps_remarks_order_and_spelling() -> None:
    """One value changes: one line does."""
    tables = read_toml(SAMPLES / "farm.toml")
    tables["booking"] = {**tables["booking"], "confidence": "90 %"}
    changed = job_text(tables, JOB_TEXT)
    differing = [
        (was, now)
        for was, now in zip(JOB_TEXT.splitlines(), changed.splitlines(), strict=True)
        if was != now
    ]
    assert len(differing) == 1
    assert 'confidence = "90 %"' in differing[0][1]


@pytest.mark.parametrize(
    "change",
    [
        {"tractor": None},
        {"mix": []},
        {"booking": {"hours_per_day": "9 h", "days_off": ["sunday"], "new": True, "n": 3, "f": 0.5}},
        {"field": {"north 40": {"mix": 'a "b"\n', "gate": [44.0, -95.0]}}},
        {"drill": {"name": "x", "rows": 1, "box": [{"name": "a", "kind": "grain"}]}},
    ],
    ids=["table gone", "list empty", "values of every kind", "names to be quoted", "tables within"],
)
def test_any_change_is_read_as_it_was_made(change: dict[str, object], tmp_path: Path) -> None:
    """Whatever stood there before."""
    tables = {**read_toml(SAMPLES / "farm.toml"), **change}
    tables = {key: value for key, value in tables.items() if value is not None}
    (tmp_path / "job.toml").write_text(job_text(tables, JOB_TEXT), encoding="utf-8")
    assert tables_in(tmp_path) == tables
    (tmp_path / "job.toml").write_text(job_text(tables), encoding="utf-8")
    assert tables_in(tmp_path) == tables


def test_true_is_not_written_over_one() -> None:
    """Python holds 1 and true for equal; the job file does not."""
    assert job_text({"a": {"b": True}}, "[a]\nb = 1\n") == "[a]\nb = true\n"


def test_a_text_that_is_no_toml_is_written_anew() -> None:
    """A job file that somebody broke by hand is replaced by what the page has."""
    assert job_text({"a": {"b": 1}}, "[a\n") == "[a]\nb = 1\n"


def test_fields_near_an_exclusion_name_its_file() -> None:
    """And no others; taken away again, the tables are as before."""
    draft = with_exclusion(small_draft(12), reason="pond")
    far = Drawn(
        key="far", layer="fields", geometry=draft.ground[0].geometry.buffer(0), attributes={"id": "far"}
    )
    from shapely import affinity

    draft = draft.with_drawn(replace(far, geometry=affinity.translate(far.geometry, 1.0, 0.0)))
    tables = with_exclusion_keys(draft)
    assert tables["field"]["p1"] == {"exclusions": EXCLUSIONS}
    assert "far" not in tables["field"]
    assert without_exclusion_keys(tables) == draft.tables


def test_one_file_for_several_fields_is_cut_out_once_and_said_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exclusions that reach one of the fields that name them lie nowhere else by mistake."""
    draft = with_exclusion(small_draft(4), reason="pond")
    _written(draft, tmp_path)
    assert len(with_exclusion_keys(draft)["field"]) > 1
    (tmp_path / "job.toml").write_text(job_text(with_exclusion_keys(draft)), encoding="utf-8")
    command = ["plan", str(tmp_path / "fields.gpkg"), "--job", str(tmp_path / "job.toml"), "-v"]
    assert exit_code([*command, "--today", "2027-04-01"]) == 0
    printed = capsys.readouterr().out
    assert "pond" in printed
    assert "outside every field" not in printed
