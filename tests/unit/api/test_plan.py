"""A plan made from Python is the plan of the command line."""

from __future__ import annotations

import warnings
from base64 import b64decode
from collections.abc import Iterable, Iterator
from pathlib import Path
from xml.etree import ElementTree as ET

import geopandas as gpd
import pytest
from conftest import SAMPLES, TODAY
from geopandas.testing import assert_geodataframe_equal

import fieldplan
from fieldplan.cli.main import exit_code
from fieldplan.units import ACRE_M2

from .conftest import printed

FARM, JOB = str(SAMPLES / "farm.geojson"), str(SAMPLES / "farm.toml")
COMMAND = ("plan", FARM, "--job", JOB, "--today", TODAY.isoformat())
IN_SHORT = """\
Plan for farm.geojson with farm.toml
  BOOK     19 days, 82 % odds of being done: 70.0 h of work take 9 fieldwork
           days of 8.0 h; 18 days have 75 %, 20 days 87 %. Give the first day
           (start in [booking]).
  SEED     410 bags: alfalfa (QF-3071) 75 × 50.0 lb; oats (QF-2214) 335 × 50.0
           lb. Give tested, price, treated in [[mix.component]].
  TRACTOR  Yes, it fits the drill: 75 hp PTO (60 to 90 hp go with this width);
           1 pair of remotes; a drawbar category 2 (match that of the drill).
  FEE      $3,031.44 for 19 days and a refundable deposit of $100.00.
  ASK      The district about its drill: when is it free for 19 days on end;
           what PTO power, remotes, hitch it needs; its weight, road width;
           what its grain and small box can meter; its manual. Give the answers
           in [drill] (see fieldplan init).
  GROUND   264.94 plantable acres; the drill's meter will read about 265.1."""


def test_dict_is_what_the_command_prints_as_json(
    planned: fieldplan.Plan, capsys: pytest.CaptureFixture[str]
) -> None:
    """With and without the legs of the route."""
    assert planned.to_dict() == printed(capsys, *COMMAND)
    assert planned.to_dict(legs=True) == printed(capsys, *COMMAND, "--legs")


def test_text_is_what_the_command_prints(
    planned: fieldplan.Plan, capsys: pytest.CaptureFixture[str]
) -> None:
    """The whole page."""
    assert exit_code([*COMMAND, "-v"]) == 0
    assert planned.text() == capsys.readouterr().out


def test_layers_are_those_of_the_geopackage(planned: fieldplan.Plan, tmp_path: Path) -> None:
    """Written and read back: the same columns, rows and geometry, layer by layer."""
    assert exit_code([*COMMAND, "--out", str(tmp_path), "--write", "gpkg"]) == 0
    layers = planned.layers()
    assert set(layers) == set(gpd.list_layers(tmp_path / "plan.gpkg")["name"]) - {"layer_styles"}
    for name, frame in layers.items():
        assert frame.crs == "EPSG:4326"
        if len(frame):
            read = gpd.read_file(tmp_path / "plan.gpkg", layer=name)
            assert_geodataframe_equal(frame, read, check_dtype=False)


def test_files_are_those_of_the_command(planned: fieldplan.Plan, tmp_path: Path) -> None:
    """The same names and bytes as ``--out --write``, the manifest last."""
    options = ("--write", "page,sheet,json", "--legs", "--units", "metric", "--paper", "a4")
    assert exit_code([*COMMAND, "--out", str(tmp_path / "command"), *options]) == 0
    written = planned.write(
        tmp_path / "api", "page", "sheet", "json", units="metric", paper="a4", legs=True
    )
    assert written[-1].name == "manifest.json"
    assert {one.name: one.read_bytes() for one in written} == {
        one.name: one.read_bytes() for one in (tmp_path / "command").iterdir()
    }


def test_nothing_is_overwritten_unless_asked(planned: fieldplan.Plan, tmp_path: Path) -> None:
    """A second run is refused, with what to do about it beneath the error, and done with ``force``."""
    planned.write(tmp_path, "timeline")
    with pytest.raises(fieldplan.UsageError, match=r"timeline\.csv") as refused:
        planned.write(tmp_path, "timeline")
    assert any("--force" in note for note in refused.value.__notes__)
    assert planned.write(tmp_path, "timeline", force=True)


def test_all_warns_of_what_it_leaves_out(
    planned: fieldplan.Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An output whose library is not installed is left out of "all" and asked for by name is refused."""
    monkeypatch.setattr(
        "fieldplan.report.output._NEEDED_BY", {"sheets": ("no_such",), "scale": ("no_such",)}
    )
    monkeypatch.setattr("fieldplan.report.outputs.PLAN", _few())
    with pytest.warns(UserWarning, match="is left out") as told:
        written = planned.write(tmp_path, "all")
    assert ["--write parquet" in str(one.message) for one in told] == [True, False]
    assert {one.filename for one in told} == {__file__}
    assert [one.name for one in written] == ["plan.json", "timeline.csv", "manifest.json"]
    with pytest.raises(fieldplan.MissingExtra):
        planned.write(tmp_path / "other", "parquet")


def _few() -> tuple[object, ...]:
    from fieldplan.report.outputs import PLAN

    return tuple(one for one in PLAN if one.name in ("json", "timeline", "parquet"))


def test_plan_describes_itself_in_a_few_lines(planned: fieldplan.Plan) -> None:
    """As the command does with ``--quiet``, below what is planned with which job."""
    assert repr(planned) == IN_SHORT


def test_plan_describes_itself_in_the_units_asked_for() -> None:
    """Metric where that is asked, US else; other words are refused before any work."""
    metric = fieldplan.plan(FARM, JOB, today=TODAY, units="metric")
    assert "107.22 plantable hectares" in repr(metric)
    with pytest.raises(ValueError, match="units must be 'us' or 'metric', not 'imperial'"):
        fieldplan.plan(FARM, JOB, units="imperial")  # type: ignore[arg-type]


def test_notebook_shows_a_table_and_maps_that_run_nothing(planned: fieldplan.Plan) -> None:
    """Well-formed, a row a field and one of totals, a map a field that stands on its own, no script, no
    address.
    """
    cell = ET.fromstring(planned._repr_html_())
    rows = [["".join(one.itertext()) for one in row] for row in cell.findall(".//tbody/tr")]
    assert len(rows) == 4
    for row, field in zip(rows, planned.fields.values(), strict=False):
        totals = field.totals
        acres = [f"{m2 / ACRE_M2:.2f}" for m2 in (totals.plantable_m2, totals.drilled_m2)]
        assert row[0] == field.field.field_id
        assert row[2:5] == [*acres, f"{totals.passes:,}"]
    images = [one.attrib["src"] for one in cell.iter("img")]
    assert len(images) == 3
    for source in images:
        kind, _, data = source.partition(",")
        assert kind == "data:image/svg+xml;base64"
        assert ET.fromstring(b64decode(data)).tag == "{http://www.w3.org/2000/svg}svg"
    assert not any(
        one.tag == "script" or any(name.startswith("on") for name in one.attrib) for one in cell.iter()
    )


def test_names_are_escaped_in_a_notebook(farm: gpd.GeoDataFrame) -> None:
    """A name that is markup is shown as text."""
    named = farm.assign(name="<script>alert(1)</script>")
    shown = fieldplan.plan(named, JOB, today=TODAY)._repr_html_()
    assert "<script" not in shown
    assert "&lt;script&gt;" in shown


def test_warnings_and_notes_are_sentences(planned: fieldplan.Plan) -> None:
    """None of this job's notes warns; its defaults are said together."""
    assert planned.warnings == []
    assert any(note.startswith("Defaults used: ") for note in planned.notes)


def test_fields_are_found_by_their_ids(planned: fieldplan.Plan) -> None:
    """In the order in which they are drilled."""
    assert list(planned.fields) == ["quarter", "ell", "creek"]
    assert planned.fields["ell"].field.name == "Bergamot Ell"


def test_progress_wraps_the_fields() -> None:
    """Whatever shows how far the work is gets every field once."""
    seen = []

    def counted(fields: Iterable[fieldplan.Field]) -> Iterator[fieldplan.Field]:
        for one in fields:
            seen.append(one.field_id)
            yield one

    fieldplan.plan(FARM, JOB, today=TODAY, progress=counted)
    assert seen == ["quarter", "ell", "creek"]


def test_planning_prints_and_warns_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    """Neither on standard output nor beside it."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        fieldplan.plan(FARM, JOB, today=TODAY)
    assert capfd.readouterr() == ("", "")


def test_today_is_a_day() -> None:
    """As a date or as text; what is none is refused by name."""
    assert fieldplan.plan(FARM, JOB, today="2027-04-01").to_dict()["today"] == "2027-04-01"
    with pytest.raises(fieldplan.InputError, match="today"):
        fieldplan.plan(FARM, JOB, today="1 April")
