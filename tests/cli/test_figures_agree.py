"""What notes and tables of one plan say of the same thing."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import geopandas
import pytest
from conftest import SAMPLES
from shapely import Polygon, box
from shapely.geometry import mapping

from fieldplan.cli.main import exit_code

FARM = (SAMPLES / "farm.toml").read_text(encoding="utf-8").split("[cost]")
JOB = FARM[0] + "[booking]" + FARM[1].split("[booking]")[1]
WEST, SOUTH = -95.7, 44.6
ABOUT_100_M = 0.0009


def _ground(*, notch: bool = False) -> Polygon:
    """About 320 m by 200 m; with a notch of 80 m cut into it from the south, over which passes go."""
    field = box(WEST, SOUTH, WEST + 0.004, SOUTH + 2 * ABOUT_100_M)
    return field - box(WEST + 0.0015, SOUTH - 1, WEST + 0.0025, SOUTH + ABOUT_100_M) if notch else field


def _planned(folder: Path, job: str, ground: Polygon, *options: str) -> dict[str, Any]:
    feature = {"type": "Feature", "properties": {"id": "a"}, "geometry": mapping(ground)}
    (folder / "field.geojson").write_text(
        json.dumps({"type": "FeatureCollection", "features": [feature]}), encoding="utf-8"
    )
    (folder / "job.toml").write_text(job, encoding="utf-8")
    arguments = [
        "plan",
        str(folder / "field.geojson"),
        "--job",
        str(folder / "job.toml"),
        "--today",
        "2027-04-01",
        "-q",
    ]
    assert (
        exit_code(
            [*arguments, "--force", "--out", str(folder / "out"), "--write", "json,gpkg,kml", *options]
        )
        == 0
    )
    return json.loads((folder / "out" / "plan.json").read_text(encoding="utf-8"))  # type: ignore[no-any-return]


def _note(plan: dict[str, Any], code: str) -> str:
    return next(str(note["text"]) for note in plan["notes"] if note["code"] == code)


@pytest.mark.parametrize(
    ("terms", "held", "on_top"),
    [
        (
            "",
            "driving, turns and refills",
            "It does not count plugged tubes, tube checks, breaks or breakdowns.",
        ),
        (
            'break = "20 min"\nbreak_every = "40 min"',
            "refills and 20 min of breaks",
            "It does not count plugged tubes, tube checks or breakdowns.",
        ),
        (
            'break = "20 min"\nbreak_every = "4 h"',
            "driving, turns and refills.",
            "It does not count plugged tubes, tube checks or breakdowns. No field takes long enough for a break (4.0 h of work), so none is counted.",
        ),
        (
            'tube_check = "5 min"',
            "refills and 5 min of tube checks",
            "It does not count plugged tubes, breaks or breakdowns.",
        ),
    ],
)
def test_the_note_on_the_clock_follows_what_was_counted(
    tmp_path: Path, terms: str, held: str, on_top: str
) -> None:
    """A break is on the clock only if one came due, and is left out only if none was asked for."""
    fast = JOB.replace('field_speed = "4.5 mph"', f'field_speed = "9 mph"\n{terms}')
    small = box(WEST, SOUTH, WEST + 0.002, SOUTH + ABOUT_100_M)
    plan = _planned(
        tmp_path,
        fast if "40 min" not in terms else JOB.replace("[working]", f"[working]\n{terms}", 1),
        small,
    )
    time = plan["fields"][0]["time"]
    sentence = _note(plan, "clock-leaves-out")
    assert (time["breaks_s"] > 0) == ("of breaks" in sentence)
    assert held in sentence
    assert on_top in sentence


def test_a_pass_on_several_stretches_has_one_number(tmp_path: Path) -> None:
    """Passes that are lifted over a notch, or interrupted to fill the boxes, are as many in every file as
    the plan counts.
    """
    job = JOB.replace("[working]", '[working]\nlift_over = "500 ft"', 1).replace(
        'volume = "3.2 ft3"', 'volume = "0.06 ft3"\nmeant = ["volume"]'
    )
    plan = _planned(tmp_path, job, _ground(notch=True), "--heading", "90 deg", "--legs")
    (field,) = plan["fields"]
    n = field["coverage"]["passes"]
    stretches = [leg for leg in field["legs"] if leg["kind"] == "pass"]
    assert len(stretches) > n + 5
    assert [leg["number"] for leg in stretches] == sorted(leg["number"] for leg in stretches)
    assert {leg["number"] for leg in stretches} == set(range(1, n + 1))
    layer = geopandas.read_file(tmp_path / "out" / "plan.gpkg", layer="passes")
    assert layer["number"].nunique() == n
    kml = (tmp_path / "out" / "plan.kml").read_text(encoding="utf-8")
    assert f"<name>pass {n}</name>" in kml
    assert f"<name>pass {n + 1}</name>" not in kml


def test_a_stop_in_the_middle_of_a_pass_is_said_to_be_in_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Boxes that do not hold a pass are filled in it; the place has the number that the map and the files
    have.
    """
    job = JOB.replace('volume = "3.2 ft3"', 'volume = "0.06 ft3"\nmeant = ["volume"]')
    plan = _planned(tmp_path, job, _ground(), "--heading", "90 deg", "--legs")
    capsys.readouterr()
    assert (
        exit_code(
            [
                "plan",
                str(tmp_path / "field.geojson"),
                "--job",
                str(tmp_path / "job.toml"),
                "-v",
                "--heading",
                "90 deg",
            ]
        )
        == 0
    )
    page = capsys.readouterr().out
    legs, numbers = plan["fields"][0]["legs"], set()
    for refill in plan["fields"][0]["refills"]:
        before = [leg for leg in legs[: refill["leg"]] if leg["kind"] == "pass"]
        after = next(leg for leg in legs[refill["leg"] :] if leg["kind"] in ("pass", "headland"))
        if before and (before[-1]["number"] == after["number"]) and after["kind"] == "pass":
            numbers.add(before[-1]["number"])
            assert f"{refill['stop']}. in pass {before[-1]['number']} as driven" in page
    assert len(numbers) > 5


def test_ground_sown_twice_over_has_the_same_shares_on_page_and_in_notes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Missed ground and overlap of two sowings are shares of twice the plantable ground."""
    strip = box(WEST + 0.003, SOUTH, WEST + 0.006, SOUTH + 0.00002)  # 2 m wide: no drill of 3 m gets there
    corner = _ground() | strip
    job = JOB.replace("[working]", "[working]\nsowings = 2", 1)
    plan = _planned(tmp_path, job, corner)
    (field,) = plan["fields"]
    share = field["area"]["missed_m2"] / field["area"]["plantable_m2"] / 2
    capsys.readouterr()
    assert (
        exit_code(["plan", str(tmp_path / "field.geojson"), "--job", str(tmp_path / "job.toml"), "-v"]) == 0
    )
    page = capsys.readouterr().out
    assert share > 0.005
    assert _note(plan, "ground-missed").startswith(f"{share * 100:.1f} %")
    assert "percent of plantable acres, drilled 2 times" in page
    row = next(line for line in page.split("\nGROUND\n")[1].splitlines() if line.strip().startswith("a "))
    assert f"{share * 100:.1f} %" in row


def test_turns_that_back_up_are_as_many_in_every_table_and_note(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On a headland too shallow for other turns: in the layer of turns, by shape in the JSON, in the table of the
    page, and in the note.
    """
    job = JOB.replace("[working]", "[working]\nheadland_rounds = 1", 1)
    plan = _planned(tmp_path, job, _ground())
    (field,) = plan["fields"]
    drawn = geopandas.read_file(tmp_path / "out" / "plan.gpkg", layer="turns")
    legs = drawn[drawn.kind == "turn"]
    backing = legs[legs["shape"] == "backing"]
    coverage = field["coverage"]
    assert len(backing) > 10
    assert coverage["turn_shapes"]["backing"] == len(backing)
    assert sum(coverage["turn_shapes"].values()) == coverage["turns"] == len(legs)
    assert coverage["reverse_length_m"] == pytest.approx(drawn.reverse_m.sum())
    assert coverage["turns_swing_out_m"] == 0
    capsys.readouterr()
    assert (
        exit_code(["plan", str(tmp_path / "field.geojson"), "--job", str(tmp_path / "job.toml"), "-v"]) == 0
    )
    page = capsys.readouterr().out
    assert page.split("\nGROUND\n")[1].splitlines()[1].endswith("outside")
    driving = page.split("\nDRIVING\n")[1].splitlines()
    assert driving[0].endswith("turns backing")
    assert driving[1].endswith(f" {len(backing)}")
    assert _note(plan, "turns-backing").startswith(f"{len(backing)} of {len(legs)} turns back up")


def test_a_bill_for_the_min_acres_says_which_acres_it_counts(capsys: pytest.CaptureFixture[str]) -> None:
    """Ten acres billed for six on the meter: the last line says both, and hectares beside them in
    metric.
    """
    card = str(SAMPLES / "rates.toml")
    assert exit_code(["fee", card, "--meter-acres", "6", "--days", "1", "--when", "area=outside"]) == 0
    assert "Billed on 10.00 meter acres, the minimum that the card bills, for 6.00." in " ".join(
        capsys.readouterr().out.split()
    )
    assert (
        exit_code(
            [
                "fee",
                card,
                "--meter-acres",
                "6",
                "--days",
                "1",
                "--when",
                "area=outside",
                "--units",
                "metric",
            ]
        )
        == 0
    )
    shown = " ".join(capsys.readouterr().out.split())
    assert "10 ac × $15, the minimum of 10 ac (4.05 ha)." in shown
    assert (
        "Billed on 10.00 meter acres (4.05 ha), the minimum that the card bills, for 6.00 (2.43 ha)."
        in shown
    )


def test_a_refusal_gives_the_same_ground_in_either_units(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Acres and hectares of one refusal, each in the units that the command was asked for, are one area."""
    two = {
        "type": "FeatureCollection",
        "features": [
            {"type": "Feature", "properties": {"id": n}, "geometry": mapping(_ground())} for n in ("a", "b")
        ],
    }
    (tmp_path / "two.geojson").write_text(json.dumps(two), encoding="utf-8")
    told = {}
    for units, unit in (("us", "ac"), ("metric", "ha")):
        assert exit_code(["acres", str(tmp_path / "two.geojson"), "--units", units]) == 3
        told[unit] = re.findall(rf": ([\d.]+) {unit} would be counted twice", capsys.readouterr().err)[0]
    acres, hectares = told["ac"], told["ha"]
    assert float(hectares) == pytest.approx(float(acres) * 0.40468564224, abs=0.01)


def test_a_note_on_mended_ground_is_in_the_units_of_the_page(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exclusions, spikes and gaps: what is said of the outline too is in hectares and metres where those
    are asked for.
    """
    spike = Polygon(
        [
            (WEST, SOUTH),
            (WEST + 0.004, SOUTH),
            (WEST + 0.004, SOUTH + 0.001),
            (WEST + 0.002, SOUTH + 0.001),
            (WEST + 0.002, SOUTH + 0.002),
            (WEST + 0.002, SOUTH + 0.001),
            (WEST, SOUTH + 0.001),
        ]
    )
    for name, ground in (
        ("field", spike),
        ("pond", box(WEST + 0.001, SOUTH + 0.0002, WEST + 0.0012, SOUTH + 0.0005)),
    ):
        feature = {
            "type": "Feature",
            "properties": {"id": "a", "reason": "pond"},
            "geometry": mapping(ground),
        }
        (tmp_path / f"{name}.geojson").write_text(
            json.dumps({"type": "FeatureCollection", "features": [feature]}), encoding="utf-8"
        )
    arguments = ["check", str(tmp_path / "field.geojson"), "--exclusions", str(tmp_path / "pond.geojson")]
    shown = {}
    for units in ("us", "metric"):
        assert exit_code([*arguments, "--units", units]) == 0
        shown[units] = " ".join(capsys.readouterr().out.split())
    assert re.search(r"spike of 36\d ft at 44\.60200, -95\.69800", shown["us"])
    assert re.search(r"spike of 11\d m at 44\.60200, -95\.69800", shown["metric"])
    assert re.search(r"Excluded: pond [\d.]+ ac; [\d.]+ ac of [\d.]+ ac are plantable", shown["us"])
    assert re.search(r"Excluded: pond [\d.]+ ha; [\d.]+ ha of [\d.]+ ha are plantable", shown["metric"])


def test_tight_turns_and_transfers_are_counted_each_for_themselves(tmp_path: Path) -> None:
    """In the notes on the sample farm as in its legs, trips to the seed among the transfers."""
    farm = [str(SAMPLES / name) for name in ("farm.geojson", "farm.toml")]
    out = ["--out", str(tmp_path), "--write", "json", "--legs", "-q"]
    assert exit_code(["plan", farm[0], "--job", farm[1], "--today", "2027-04-01", *out]) == 0
    plan = json.loads((tmp_path / "plan.json").read_text(encoding="utf-8"))
    kinds = ("turn", "transfer")
    said = {
        (note["field_id"], kind): (note["values"]["n_tight"], note["values"][f"n_{kind}s"])
        for note in plan["notes"]
        for kind in kinds
        if note["code"] == "turns-tight" and f"n_{kind}s" in note["values"]
    }
    counted = {}
    for field in plan["fields"]:
        for kind in kinds:
            legs = [leg for leg in field["legs"] if leg["kind"] == kind]
            n_tight = sum(leg["shape"] == "tight" for leg in legs)
            if n_tight:
                counted[field["field_id"], kind] = n_tight, len(legs)
    assert said == counted
    assert counted
