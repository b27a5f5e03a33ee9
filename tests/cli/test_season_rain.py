"""Bookings after rain: what is kept, who moves, and what is refused. That the fewest move is tried against
every way in test_season_schedule.
"""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from conftest import SAMPLES
from icalendar import Calendar

from fieldplan.cli.main import exit_code

SEASON = str(SAMPLES / "season.toml")


@pytest.fixture(scope="module")
def was(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample season as it was planned."""
    out = tmp_path_factory.mktemp("season") / "out"
    assert exit_code(["season", "plan", SEASON, "--out", str(out)]) == 0
    return out / "season.json"


def _rain(capsys: pytest.CaptureFixture[str], was: Path, *arguments: str) -> dict:  # type: ignore[type-arg]
    capsys.readouterr()
    assert exit_code(["season", "rain", SEASON, "--was", str(was), "--json", *arguments]) == 0
    return json.loads(capsys.readouterr().out)  # type: ignore[no-any-return]


def test_without_rain_nothing_changes(was: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """On the first day of the season, with no day lost, every booking stands as it was."""
    found = _rain(capsys, was, "--today", "2027-04-19")
    assert found["proof"] == {"served_proven": True, "moved_bound": 0, "moved_days_bound": 0}
    assert all(one["now"] == one["was"] and not one["moved"] for one in found["changes"])
    assert len(found["changes"]) == len(json.loads(was.read_text(encoding="utf-8"))["bookings"])


def test_lost_days_are_worked_by_nobody_and_what_was_begun_goes_on(
    was: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two days lost in April: no drill works on them, no drill twice a day, the begun booking keeps its
    drill and goes on today.
    """
    found = _rain(
        capsys,
        was,
        "--today",
        "2027-04-27",
        "--lost",
        "2027-04-28",
        "--lost",
        "2027-04-29",
        "--done",
        "R05=40 %",
    )
    now = [
        (one["now"]["drill"], day) for one in found["changes"] if one["now"] for day in one["now"]["days"]
    ]
    assert len(now) == len(set(now))
    assert not {"2027-04-28", "2027-04-29"} & {day for _, day in now}
    (begun,) = [one for one in found["changes"] if one["begun"]]
    assert begun["request"] == "R05"
    assert begun["now"]["days"][0] == "2027-04-27"
    assert begun["now"]["drill"] == begun["was"]["drill"]
    assert not begun["moved"]
    moved = [one for one in found["changes"] if one["moved"] and one["now"]]
    assert len(moved) == found["proof"]["moved_bound"] > 0
    assert sum(abs(one["later_days"]) for one in moved) == found["proof"]["moved_days_bound"]
    assert {"R13", "R05"} <= {one["request"] for one in found["changes"]}
    assert not {one["request"] for one in found["changes"]} & set(found["finished"])


def test_the_more_is_done_the_sooner_it_ends(was: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The last day of a booking that has begun never gets later as more of it is done."""
    ends = []
    for share in ("0 %", "50 %", "95 %"):
        found = _rain(capsys, was, "--today", "2027-04-21", "--done", f"R07={share}", "--done", "R14=50 %")
        ends.append(
            next(
                date.fromisoformat(one["now"]["days"][-1])
                for one in found["changes"]
                if one["request"] == "R07"
            )
        )
    assert ends == sorted(ends, reverse=True)
    assert ends[0] > ends[-1]


def test_the_page_names_who_is_to_be_told(was: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Everybody that is moved or loses a booking, by name, with the days before and after."""
    found = _rain(capsys, was, "--today", "2027-04-27", "--lost", "2027-04-28", "--done", "R05=40 %")
    arguments = ["--today", "2027-04-27", "--lost", "2027-04-28", "--done", "R05=40 %"]
    assert exit_code(["season", "rain", SEASON, "--was", str(was), *arguments]) == 0
    told = capsys.readouterr().out.partition("RENTERS TO CALL")[2]
    for one in found["changes"]:
        now, before = one["now"], one["was"]
        same = now is not None and (now["drill"], now["days"][-1], one["moved"]) == (
            before["drill"],
            before["days"][-1],
            False,
        )
        assert (f"{one['renter']} ({one['request']}, 555-" in told) != same


@pytest.mark.parametrize(
    ("arguments", "code", "sentence"),
    [
        (["--today", "2027-04-27"], 3, "say how much of it is done"),
        (["--today", "soon"], 2, "--today"),
        (["--lost", "2026-01-01"], 3, "outside the season"),
        (["--today", "2027-04-19", "--done", "nobody=50 %"], 3, '"nobody" has no booking'),
        (["--today", "2027-04-19", "--done", "R05=150 %"], 2, "--done"),
        (["--today", "2027-04-19", "--done", "R05"], 2, "--done"),
    ],
)
def test_what_rain_cannot_use(
    was: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], code: int, sentence: str
) -> None:
    """Each with its exit and words."""
    assert exit_code(["season", "rain", SEASON, "--was", str(was), *arguments]) == code
    assert sentence in capsys.readouterr().err


@pytest.mark.parametrize(
    "content",
    [
        "",
        "[]",
        "{}",
        '{"schema": "fieldplan/season/1", "bookings": [{"request": "A"}]}',
        '{"schema": "fieldplan/plan/1"}',
    ],
)
def test_a_file_that_is_no_season(tmp_path: Path, capsys: pytest.CaptureFixture[str], content: str) -> None:
    """Refused with what would be right."""
    path = tmp_path / "season.json"
    path.write_text(content, encoding="utf-8")
    assert exit_code(["season", "rain", SEASON, "--was", str(path)]) == 3
    assert "is not a planned season" in capsys.readouterr().err


def test_those_to_be_told_stand_with_their_telephone(was: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The clerk's own page has the number that the list of requests has."""
    arguments = [
        "--today",
        "2027-04-27",
        "--lost",
        "2027-04-28",
        "--lost",
        "2027-04-29",
        "--done",
        "R05=40 %",
    ]
    capsys.readouterr()
    assert exit_code(["season", "rain", SEASON, "--was", str(was), *arguments]) == 0
    told = capsys.readouterr().out.partition("RENTERS TO CALL")[2]
    assert "Dogwood End (R13, 555-0122)" in told


def test_the_season_after_rain_is_written_for_the_next(
    was: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Bookings as they are now, with the days that were worked before; without more rain nothing changes;
    lost ones are cancelled.
    """
    out = tmp_path / "after"
    arguments = [
        "--today",
        "2027-04-27",
        "--done",
        "R05=40 %",
        *(part for day in range(28, 31) for part in ("--lost", f"2027-04-{day}")),
    ]
    arguments += [part for day in range(1, 13) for part in ("--lost", f"2027-05-{day:02}")]
    found = _rain(capsys, was, *arguments, "--out", str(out))
    written = {
        load["request"]: load
        for load in json.loads((out / "season.json").read_text(encoding="utf-8"))["bookings"]
    }
    lost = [one for one in found["changes"] if one["now"] is None]
    assert lost
    assert set(written) == {one["request"] for one in found["changes"] if one["now"]} | set(
        found["finished"]
    )
    before = {
        load["request"]: load["days"] for load in json.loads(was.read_text(encoding="utf-8"))["bookings"]
    }
    for one in found["changes"]:
        if one["now"]:
            worked = [day for day in before[one["request"]] if one["begun"] and day < "2027-04-27"]
            assert written[one["request"]]["days"] == worked + one["now"]["days"]
    again = _rain(capsys, out / "season.json", *arguments)
    assert not [one for one in again["changes"] if one["moved"] or one["now"] is None]
    events = Calendar.from_ical((out / f"renter-{lost[0]['request'].casefold()}.ics").read_bytes()).walk(
        "VEVENT"
    )
    assert [str(event["status"]) for event in events] == ["CANCELLED"]
    old = Calendar.from_ical(
        (was.parent / f"renter-{lost[0]['request'].casefold()}.ics").read_bytes()
    ).walk("VEVENT")
    assert str(old[0]["uid"]) == str(events[0]["uid"])


def test_odds_under_those_asked_for_are_said_first(
    was: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing done of 38 acres two days before the season ends: both days hold 12 h or so only if both are
    fit, 0.55 × 0.55; page, JSON and season say so.
    """
    arguments = ["--today", "2027-06-18", "--done", "R04=0 %", "--out", str(tmp_path / "after")]
    (change,) = _rain(capsys, was, *arguments)["changes"]
    assert len(change["now"]["days"]) == 2
    assert change["odds_prob"] == pytest.approx(0.55**2)
    (written,) = [
        load
        for load in json.loads((tmp_path / "after" / "season.json").read_text(encoding="utf-8"))["bookings"]
        if load["request"] == "R04"
    ]
    assert written["odds_prob"] == change["odds_prob"]
    assert (
        exit_code(
            ["season", "rain", SEASON, "--was", str(was), "--today", "2027-06-18", "--done", "R04=0 %"]
        )
        == 0
    )
    page = " ".join(capsys.readouterr().out.split())
    assert page.partition("Fri 18 Jun 2027 ")[2].startswith(
        "IN SHORT Warning: odds of being done in the days left, under the 80 % asked for: Milkweed Hill 30 %."
    )


def test_the_last_of_a_season_are_not_shortened(was: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With everything before it finished, a booking keeps the days that it was made with: the road to it
    was that from the farthest of all.
    """
    for today in ("2027-05-05", "2027-05-18", "2027-05-29"):
        done = [
            load
            for load in json.loads(was.read_text(encoding="utf-8"))["bookings"]
            if load["days"][0] < today
        ]
        found = _rain(
            capsys,
            was,
            "--today",
            today,
            *(part for one in done for part in ("--done", f"{one['request']}=100 %")),
        )
        assert found["changes"]
        for one in found["changes"]:
            assert one["now"] == one["was"]
            assert one["odds_prob"] >= 0.8
