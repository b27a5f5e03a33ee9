"""What is wrong is said in the units that a command was asked for, and as data where it is asked for as
JSON.
"""

from __future__ import annotations

import json
from pathlib import Path

import boundary_builders as s
import pytest
import shapely
from boundary_builders import SQUARE

from fieldplan.boundary.load import load_fields
from fieldplan.cli.calibrate import command
from fieldplan.cli.main import exit_code
from fieldplan.cli.reader import Reader
from fieldplan.errors import BoundaryError, UsageError
from fieldplan.report.words.quantities import Quantities
from fieldplan.units import ACRE_M2, HECTARE_M2

TWISTED = shapely.Polygon([SQUARE.exterior.coords[i] for i in (0, 1, 3, 2)])
HALF_WAY = s.moved(SQUARE, s.SIDE_LON / 2)


@pytest.fixture
def overlapping(tmp_path: Path) -> Path:
    """Two fields that share half their ground."""
    return s.vector(tmp_path / "farm.geojson", SQUARE, HALF_WAY, driver="GeoJSON", id=["a", "b"])


@pytest.mark.parametrize(
    ("options", "sentence", "unsaid"),
    [
        ((), " ac ", " ha "),
        (("--units", "us"), " ac ", " ha "),
        (("--units", "metric"), " ha ", " ac "),
    ],
)
@pytest.mark.parametrize("name", ["acres", "check"])
def test_a_refusal_has_the_units_of_the_command(
    name: str,
    options: tuple[str, ...],
    sentence: str,
    unsaid: str,
    overlapping: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The ground that two fields share, whether it stops the command or is what it is asked for."""
    assert exit_code([name, str(overlapping), *options]) == 3
    shown = capsys.readouterr()
    sentence = next(line for line in (shown.out + shown.err).splitlines() if "overlap:" in line)
    assert sentence in sentence
    assert unsaid not in sentence


def test_limits_of_an_option_have_the_units_of_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    """A row spacing that no drill has."""
    line = ["calibrate", "--rate", "25 lb/ac bulk", "--rows", "16", "--spacing", "30 ft"]
    assert exit_code([*line, "--units", "metric"]) == 2
    assert "from 0.02 m to 3.0 m" in capsys.readouterr().err
    assert exit_code(line) == 2
    assert "ft to 9.8 ft" in capsys.readouterr().err


def test_units_are_known_before_any_other_option_is_refused() -> None:
    """A quantity without a unit, refused while the command line is read, though the units stand last."""
    reader = Reader()
    with pytest.raises(UsageError):
        command.main(["--slip", "6", "--units", "metric"], standalone_mode=False, obj=reader)
    assert reader.quantities == Quantities("metric")


def test_an_error_without_a_reader_says_both_units(overlapping: Path) -> None:
    """As Python shows it, where nobody has said which units are wanted."""
    with pytest.raises(BoundaryError, match=r"[\d.]+ ac \([\d.]+ ha\) would be counted twice"):
        load_fields(overlapping)


def test_a_problem_is_data_in_json(overlapping: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where it is and what it says, in SI, beside its sentence; half of the ground of a field, but for its
    curve.
    """
    assert exit_code(["check", str(overlapping), "--json"]) == 3
    found = json.loads(capsys.readouterr().out)
    (problem,) = found["problems"]
    assert problem["code"] == "fields-overlap"
    assert (problem["file"], problem["about"], problem["key"]) == (
        str(overlapping),
        'fields "a" and "b"',
        "",
    )
    shared_m2 = problem["values"]["shared_m2"]
    assert shared_m2 == pytest.approx(found["fields"][0]["mapped_m2"] / 2, rel=1e-6)
    assert f"{shared_m2 / ACRE_M2:,.2f} ac ({shared_m2 / HECTARE_M2:,.2f} ha)" in problem["text"]
    assert problem["hint"].startswith("choose with --layer")


def test_what_is_left_out_holds_its_problem_as_data(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A feature in a layer of its own whose outline is twisted, left out as asked: sentence and problem
    name both.
    """
    path = s.vector(tmp_path / "farm.gpkg", SQUARE, driver="GPKG", layer="north")
    s.frame([TWISTED], name=["south 1"]).to_file(path, driver="GPKG", layer="south")
    assert exit_code(["check", str(path), "--json", "--skip-bad"]) == 0
    (note,) = [
        load for load in json.loads(capsys.readouterr().out)["notes"] if load["code"] == "feature-left-out"
    ]
    assert note["values"]["problem"]["code"] == "outline-invalid"
    assert note["values"]["problem"]["about"] == 'field "south 1" of layer "south"'
    assert f'{path}: field "south 1" of layer "south" crosses itself' in note["text"]
    assert "(" not in note["text"]
