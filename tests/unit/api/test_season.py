"""A season planned from Python is the season of the command line."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from datetime import date
from pathlib import Path
from xml.etree import ElementTree as ET

import pandas as pd
import pytest
from conftest import SAMPLES

import fieldplan
from fieldplan.cli.main import exit_code

from .conftest import printed

SEASON = str(SAMPLES / "season.toml")
IN_SHORT = """\
Thistle Flats spring (invented): Mon 19 Apr 2027 to Sat 19 Jun 2027
  13 of 16 requests served, proven: no schedule serves more by the rules.
  105 days of waiting in all, proven the fewest for those served.
  229.4 mi of towing, home to home, proven the least."""


@pytest.fixture(scope="module")
def season() -> fieldplan.SeasonPlan:
    """The sample season, planned."""
    return fieldplan.read_season(SEASON).plan()


def test_season_is_what_the_command_prints(
    season: fieldplan.SeasonPlan, capsys: pytest.CaptureFixture[str]
) -> None:
    """As JSON and as a page."""
    assert season.to_dict() == printed(capsys, "season", "plan", SEASON)
    assert exit_code(["season", "plan", SEASON]) == 0
    assert season.text() == capsys.readouterr().out


def test_season_describes_itself(season: fieldplan.SeasonPlan) -> None:
    """In a few lines; in a notebook with a picture that runs nothing."""
    assert repr(season) == IN_SHORT
    cell = ET.fromstring(season._repr_html_())
    assert [one.attrib["src"][:26] for one in cell.iter("img")] == ["data:image/svg+xml;base64,"]
    assert not list(cell.iter("script"))


def test_bookings_are_a_frame_by_request(season: fieldplan.SeasonPlan) -> None:
    """Every booking of the JSON, with its days as dates."""
    frame, listed = season.bookings(), season.to_dict()["bookings"]
    assert list(frame.index) == [one["request"] for one in listed]
    for one in listed:
        row = frame.loc[one["request"]]
        assert (row["drill"], row["job_s"], row["days"]) == (one["drill"], one["job_s"], len(one["days"]))
        assert (row["first_day"], row["last_day"]) == (
            pd.Timestamp(one["days"][0]),
            pd.Timestamp(one["days"][-1]),
        )


def test_refused_requests_are_a_frame_with_reasons(season: fieldplan.SeasonPlan) -> None:
    """A row each, and every request is either booked or refused."""
    refused = season.refused()
    assert all(refused["reason"])
    requests = {one.request_id for one in fieldplan.read_season(SEASON).requests}
    assert {*refused.index, *season.bookings().index} == requests


def test_files_are_those_of_the_command(season: fieldplan.SeasonPlan, tmp_path: Path) -> None:
    """The same names, and bytes where no moment of writing stands in them."""
    assert exit_code(["season", "plan", SEASON, "--out", str(tmp_path / "command")]) == 0
    written = season.write(tmp_path / "api")
    assert {one.name for one in written} == {one.name for one in (tmp_path / "command").iterdir()}
    for name in ("season.json", "bookings.csv", "month-board.pdf"):
        assert (tmp_path / "api" / name).read_bytes() == (tmp_path / "command" / name).read_bytes()


def test_a_season_is_read_from_a_mapping_and_from_a_season(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same season, but for the file that it comes from; its files are found in the current folder."""
    monkeypatch.chdir(SAMPLES)
    read = fieldplan.read_season("season.toml")
    mapped = fieldplan.read_season(tomllib.loads(Path("season.toml").read_text(encoding="utf-8")))
    assert replace(mapped.model, path=read.model.path) == read.model
    assert mapped.requests == read.requests
    again = fieldplan.read_season(read, units="metric")
    assert (again.model, again.requests) == (read.model, read.requests)


@pytest.mark.parametrize("given", [None, 4, b"season.toml", ["season.toml"]])
def test_what_is_no_season_is_refused_by_its_type(given: object) -> None:
    """With what would do."""
    with pytest.raises(TypeError, match="season must be a path, a mapping or a Season"):
        fieldplan.read_season(given)  # type: ignore[arg-type]


@pytest.mark.usefixtures("samples")
def test_confirmed_bookings_of_a_ledger_stay() -> None:
    """The ledger beside the season's file is found, as the command finds it."""
    entry = ["confirm", "request=R05", "drill=ten foot", "day=2027-05-01", "first=2027-05-05"]
    assert exit_code(["season", "record", "season.toml", *entry]) == 0
    planned = fieldplan.read_season("season.toml").plan()
    assert planned.bookings().loc["R05", "first_day"] == pd.Timestamp("2027-05-05")
    assert planned.bookings().loc["R05", "confirmed"]


@pytest.mark.usefixtures("samples")
def test_letters_are_those_of_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    """All invoices, a row each; nothing is entered by asking."""
    assert exit_code(["season", "record", "season.toml", "--from", "records.csv"]) == 0
    season = fieldplan.read_season("season.toml")
    frame = season.letters(["invoice"], day=date(2027, 6, 20))
    capsys.readouterr()
    line = ["season", "letters", "season.toml", "invoice", "--day", "2027-06-20", "--json"]
    assert exit_code(line) == 0
    said = json.loads(capsys.readouterr().out)["letters"]
    assert frame[["letter", "request", "text"]].to_dict("records") == [
        {name: one[name] for name in ("letter", "request", "text")} for one in said
    ]
    assert len(frame) == 13


def test_files_that_cannot_be_used_are_refused(samples: Path) -> None:
    """A season that is not there, and a cell that is no day, by row and column."""
    with pytest.raises(fieldplan.JobFileError, match=r"none\.toml: there is no such file"):
        fieldplan.read_season("none.toml")
    text = (samples / "requests.csv").read_text(encoding="utf-8")
    (samples / "requests.csv").write_text(text.replace("2027-04-19", "19 April", 1), encoding="utf-8")
    with pytest.raises(fieldplan.InputError, match=r'requests\.csv: row \d+, column "ready"'):
        fieldplan.read_season("season.toml")


def test_season_file_describes_itself() -> None:
    """Its days, requests and drills."""
    assert repr(fieldplan.read_season(SEASON)).splitlines()[1] == "  16 requests; drills: ten foot, prairie"
