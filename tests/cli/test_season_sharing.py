"""Short jobs on the same days of a drill: who shares with whom, on every paper, and after rain."""

from __future__ import annotations

import csv
import json
from datetime import timedelta
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from conftest import SAMPLES
from icalendar import Calendar
from pypdf import PdfReader

from fieldplan.cli.main import exit_code
from fieldplan.season.durations import booking_terms
from fieldplan.season.plan import plan_season
from fieldplan.season.program import load_program
from fieldplan.season.requests import read_requests
from fieldplan.work.booking import booking_for

HEADER = "request,renter,asked,ready,until,acres,lat,lon,mix,tractor_hp,county,practice"


def _row(
    name: str, acres: float, lat: float = 44.25, ready: str = "2027-05-03", until: str = "2027-05-05"
) -> str:
    return f"{name},{name} farm,2027-03-01,{ready},{until},{acres},{lat},-95.75,oats and alfalfa,75,Thistle,pasture"


def _season(folder: Path, *rows: str, share: bool = True) -> Path:
    """A season of the sample drills, where days may be shared or not, with a list of its own."""
    text = (SAMPLES / "season.toml").read_text(encoding="utf-8")
    for name in ("farm.toml", "restoration.toml", "rates.toml"):
        text = text.replace(f'"{name}"', f'"{(SAMPLES / name).as_posix()}"')
    (folder / "requests.csv").write_text("\n".join((HEADER, *rows)) + "\n", encoding="utf-8")
    path = folder / "season.toml"
    path.write_text(
        text.replace("notice = 14", f"share_days = {str(share).lower()}\nnotice = 14"), encoding="utf-8"
    )
    return path


PAIR = (_row("A", 1), _row("B", 2, 44.26))


def _object(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict:  # type: ignore[type-arg]
    capsys.readouterr()
    assert exit_code(["season", *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)  # type: ignore[no-any-return]


def test_sharing_serves_whom_the_same_days_hold(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Three working days for two short jobs that need three each: one is served, both if they may share; a
    long one cannot join.
    """
    alone = _object(capsys, "plan", str(_season(tmp_path, *PAIR, share=False)))
    assert [one["shares_with"] for one in alone["bookings"]] == [[]]
    both = _object(capsys, "plan", str(_season(tmp_path, *PAIR)))
    first, second = both["bookings"]
    assert {first["request"], second["request"]} == {"A", "B"}
    assert (first["drill"], first["days"]) == (second["drill"], second["days"])
    assert first["shares_with"] == [second["request"]]
    assert second["shares_with"] == [first["request"]]
    assert second["collect_from"] == first["renter"]
    long = _object(capsys, "plan", str(_season(tmp_path, _row("A", 1), _row("B", 20))))
    assert len(long["bookings"]) == 1


def test_sharing_may_spare_waiting(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where both are served either way, nobody waits if they share."""
    rows = [_row("A", 1, until="2027-05-28"), _row("B", 2, until="2027-05-28")]
    alone = _object(capsys, "plan", str(_season(tmp_path, *rows, share=False)))
    both = _object(capsys, "plan", str(_season(tmp_path, *rows)))
    assert len(alone["bookings"]) == len(both["bookings"]) == 2
    assert alone["proof"]["waiting_days"] > 0
    assert [one["waiting_days"] for one in both["bookings"]] == [0, 0]
    assert both["proof"]["waiting_days"] == both["proof"]["waiting_bound_days"] == 0


def test_each_waits_from_its_own_first_day(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One that is ready on Monday and one on Wednesday share from Wednesday on: two days for the one, none
    for the other.
    """
    rows = [
        _row("A", 1, ready="2027-05-03", until="2027-05-07"),
        _row("B", 2, ready="2027-05-05", until="2027-05-07"),
    ]
    found = _object(capsys, "plan", str(_season(tmp_path, *rows)))
    assert {one["request"]: one["waiting_days"] for one in found["bookings"]} == {"A": 2, "B": 0}
    assert found["proof"]["waiting_days"] == 2


def test_bookings_overlap_only_where_they_share(tmp_path: Path) -> None:
    """Many short and long jobs: whoever shares is on the same days, in both windows, with hours that one
    day holds; no one else overlaps.
    """
    acres = [1, 2, 1.5, 12, 1, 3, 2, 8, 1, 2]
    rows = [
        _row(f"R{k}", size, 44.2 + 0.01 * k, f"2027-05-{3 + k % 4:02}", f"2027-05-{14 + k % 3:02}")
        for k, size in enumerate(acres)
    ]
    program = load_program(_season(tmp_path, *rows))
    season = plan_season(program, read_requests(program.requests_path))
    drill = program.drills[0]
    assert season.proof.served_proven
    assert (
        season.proof.waiting_days
        == season.proof.waiting_bound_days
        == sum(placement.waiting_days for placement in season.placements)
    )
    sharing = 0
    for a, b in combinations(season.placements, 2):
        shared = b.request.request_id in a.shares_with
        assert shared == (a.request.request_id in b.shares_with)
        assert (bool(set(a.days) & set(b.days)) and a.drill == b.drill) == shared
        if shared:
            sharing += 1
            together_s = a.duration.job_s + b.duration.job_s
            assert a.days == b.days
            assert together_s <= drill.job.booking.day_s
            assert len(a.days) == booking_for(together_s, booking_terms(drill, program)).suggested_days
            assert b.duration.road_s == pytest.approx(
                b.tow_m / drill.job.working.towing_speed_m_per_s, abs=1
            )
            assert all(max(one.request.ready for one in (a, b)) <= day for day in a.days)
            assert all(day <= min(one.request.until for one in (a, b)) for day in a.days)
    assert sharing > 1
    assert all(len(placement.days) == placement.duration.days for placement in season.placements)


def test_papers_of_both_say_that_they_share(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Page, list, picture, calendars and hand-over sheets: who shares, who is first and who is next on the
    same day.
    """
    path, out = _season(tmp_path, *PAIR), tmp_path / "out"
    assert exit_code(["season", "plan", str(path), "--out", str(out)]) == 0
    page = " ".join(capsys.readouterr().out.split())
    first, second = (
        load["renter"] for load in json.loads((out / "season.json").read_text(encoding="utf-8"))["bookings"]
    )
    assert "2 of 2 requests served, 2 of them on shared days" in page
    assert f"shares its days with {second}: first {first} then {second}, on the same day; together" in page
    assert f"shares its days with {first}: first {first} then {second}" in page
    assert "of a working day of 8.0 h" in page
    with (out / "bookings.csv").open(encoding="utf-8", newline="") as stream:
        assert [row["shares_with"] + " farm" for row in csv.DictReader(stream)] == [second, first]
    for renter, priority in ((first, "first"), (second, "second")):
        name = f"renter-{renter.split()[0].lower()}.ics"
        (event,) = Calendar.from_ical((out / name).read_bytes()).walk("VEVENT")
        assert f"{priority} of 2 on the same day: {first}, then {second}" in event["description"]
        assert event.decoded("dtend") - event.decoded("dtstart") == timedelta(days=3)
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(out / "hand-over.pdf").pages]
    assert f"Next: {second} collects it on the same day" in pages[0]
    assert "first of 2 on the same day" in pages[0]
    assert f"Collect from: {first}" in pages[1]
    assert "take it back home" in pages[1]


def test_the_picture_shows_both_bars_and_names(tmp_path: Path) -> None:
    """Two slices of one bar, one above the other, and two names that neither each other nor a line
    covers.
    """
    path, out = _season(tmp_path, *PAIR), tmp_path / "out"
    assert exit_code(["season", "plan", str(path), "--out", str(out)]) == 0
    tags = list(ET.parse(out / "season.svg").iter())
    bars = [tag for tag in tags if tag.tag.endswith("rect") and len(tag)]
    assert [float(bar.attrib["y"]) for bar in bars] == [16.0, 19.0]
    assert [float(bar.attrib["height"]) for bar in bars] == [3.0, 3.0]
    assert bars[0].attrib["x"] == bars[1].attrib["x"]
    names = [tag for tag in tags if tag.tag.endswith("text") and tag.text in ("A farm", "B farm")]
    lines = [
        float(tag.attrib["d"][1:].split()[0])
        for tag in tags
        if tag.tag.endswith("path") and tag.attrib["stroke-width"] == ".15"
    ]
    assert len({name.attrib["y"] for name in names}) == 2
    assert all(abs(float(name.attrib["x"]) - x) > 0.3 for name in names for x in lines)


@pytest.fixture
def booked(tmp_path: Path) -> Path:
    """A and B on shared days from Monday to Wednesday, with room until the end of May."""
    path = _season(tmp_path, _row("A", 1, until="2027-05-28"), _row("B", 2, until="2027-05-28"))
    assert exit_code(["season", "plan", str(path), "--out", str(tmp_path / "out")]) == 0
    return path


def _rain(capsys: pytest.CaptureFixture[str], path: Path, *arguments: str) -> dict:  # type: ignore[type-arg]
    found = _object(
        capsys, "rain", str(path), "--was", str(path.parent / "out" / "season.json"), *arguments
    )
    return {one["request"]: one for one in found["changes"]} | {
        "proof": found["proof"],
        "finished": found["finished"],
    }


def test_shared_days_are_kept_or_moved_together(booked: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without a lost day nothing changes; with Monday lost both go on to Tuesday and still share."""
    kept = _rain(capsys, booked, "--today", "2027-05-03")
    assert all(kept[name]["now"] == kept[name]["was"] for name in "AB")
    moved = _rain(capsys, booked, "--today", "2027-05-03", "--lost", "2027-05-03")
    for name, other in ("AB", "BA"):
        assert moved[name]["now"] == {
            "drill": "ten foot",
            "days": ["2027-05-04", "2027-05-05", "2027-05-06"],
            "shares_with": [other],
        }
    assert moved["proof"] == {"served_proven": True, "moved_bound": 2, "moved_days_bound": 2}


def test_a_party_that_is_split_moves_one(booked: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """If days are no longer shared, one keeps its first day and is told that it is alone; only the other is
    moved, by the three days.
    """
    booked.write_text(
        booked.read_text(encoding="utf-8").replace("share_days = true", "share_days = false"),
        encoding="utf-8",
    )
    found = _rain(capsys, booked, "--today", "2027-05-03")
    assert sorted(found[name]["moved"] for name in "AB") == [False, True]
    assert found["proof"] == {"served_proven": True, "moved_bound": 1, "moved_days_bound": 3}
    arguments = ["--was", str(booked.parent / "out" / "season.json"), "--today", "2027-05-03"]
    assert exit_code(["season", "rain", str(booked), *arguments]) == 0
    told = capsys.readouterr().out.partition("RENTERS TO CALL")[2]
    assert "keeps its first day, Mon 03 May, and no longer shares it" in told
    assert "A farm" in told
    assert "B farm" in told


def test_shared_days_that_have_begun_go_on_together(
    booked: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """From today, on the same days, as one run; if one of the two is done, the other goes on alone."""
    found = _rain(capsys, booked, "--today", "2027-05-04", "--done", "A=50 %", "--done", "B=0 %")
    assert found["A"]["begun"]
    assert found["B"]["begun"]
    assert (
        found["A"]["now"]["days"] == found["B"]["now"]["days"] == ["2027-05-04", "2027-05-05", "2027-05-06"]
    )
    assert found["A"]["now"]["shares_with"] == ["B"]
    assert found["B"]["now"]["shares_with"] == ["A"]
    found = _rain(capsys, booked, "--today", "2027-05-04", "--done", "A=100 %", "--done", "B=0 %")
    assert found["finished"] == ["A"]
    assert found["B"]["now"]["shares_with"] == []
