"""A season from list to bookings, and every way that the list can be wrong."""

from __future__ import annotations

import csv
import json
import re
from datetime import date, timedelta
from pathlib import Path
from xml.etree import ElementTree as ET

import openpyxl
import pytest
import vobject
from conftest import SAMPLES
from icalendar import Calendar
from pypdf import PdfReader

from fieldplan.cli.main import exit_code
from fieldplan.errors import InputError
from fieldplan.season.durations import booking_terms, boundary_of, durations_of, ground_that_fits
from fieldplan.season.plan import plan_season
from fieldplan.season.program import load_program
from fieldplan.season.requests import read_requests
from fieldplan.units import ACRE_M2

SEASON = SAMPLES / "season.toml"
HEADER = "request,renter,asked,ready,until,fields,acres,lat,lon,mix,tractor_hp,county,practice,phone"


def _season(tmp_path: Path, *rows: str, terms: str = "") -> Path:
    """A season of the sample drills with a list of its own."""
    text = SEASON.read_text(encoding="utf-8")
    for name in ("farm.toml", "restoration.toml", "rates.toml"):
        text = text.replace(f'"{name}"', f'"{(SAMPLES / name).as_posix()}"')
    for line in terms.splitlines():
        key = line.partition("=")[0].strip()
        text = "\n".join(line if old.startswith(f"{key} =") else old for old in text.splitlines())
    (tmp_path / "requests.csv").write_text("\n".join((HEADER, *rows)) + "\n", encoding="utf-8")
    path = tmp_path / "season.toml"
    path.write_text(text, encoding="utf-8")
    return path


def _row(
    name: str,
    *,
    ready: str = "2027-05-03",
    until: str = "2027-05-28",
    acres: str = "12",
    asked: str = "2027-03-01",
    more: str = "",
) -> str:
    return f"{name},{name} farm,{asked},{ready},{until},,{acres},44.25,-95.75,oats and alfalfa,75,Thistle,pasture,{more}"


def _planned(capsys: pytest.CaptureFixture[str], path: Path, *arguments: str) -> dict:  # type: ignore[type-arg]
    assert exit_code(["season", "plan", str(path), "--json", *arguments]) == 0
    return json.loads(capsys.readouterr().out)  # type: ignore[no-any-return]


def test_every_bad_cell_is_named_by_row_and_column(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """All of them at once, in the order of the list; the exit says the input cannot be used."""
    path = _season(
        tmp_path,
        _row("A", ready="3 May"),
        _row("B", acres=""),
        _row("C", until="2027-04-01"),
        _row("C"),
        _row("C"),
        _row("D", acres="plenty"),
        "E,,2027-03-01,2027-05-03,2027-05-28,x.geojson,12,95,-95.75,,2,Thistle,pasture,",
    )
    assert exit_code(["season", "plan", str(path)]) == 3
    errors = [line for line in capsys.readouterr().err.splitlines() if line.startswith("Error")]
    for row, column in (
        (2, "ready"),
        (3, "acres"),
        (4, "until"),
        (6, "request"),
        (7, "acres"),
        (8, "renter"),
        (8, "lat"),
        (8, "tractor_hp"),
        (8, "acres"),
    ):
        assert any(f'row {row}, column "{column}"' in line for line in errors), (row, column)
    assert len(errors) == 9


@pytest.mark.parametrize(
    ("terms", "sentence"),
    [
        ("opens = 27", "opens"),
        ("closes = 2027-01-01", "closes lies before opens"),
        ('requests = "nobody.csv"', "nobody.csv"),
        ("longest_booking = 0", "longest_booking"),
        ('job = "nothing.toml"', "nothing.toml"),
    ],
)
def test_a_season_file_that_is_wrong_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], terms: str, sentence: str
) -> None:
    """Each with words that name the key or the file."""
    assert exit_code(["season", "plan", str(_season(tmp_path, _row("A"), terms=terms))]) == 3
    assert sentence in capsys.readouterr().err


def test_a_rule_must_name_a_column(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The columns that there are stand beside the refusal."""
    path = _season(tmp_path, _row("A"))
    path.write_text(
        path.read_text(encoding="utf-8").replace('"county = Thistle"', '"moon = full"'), encoding="utf-8"
    )
    assert exit_code(["season", "plan", str(path)]) == 3
    sentence = capsys.readouterr().err
    assert 'names "moon"' in sentence
    assert "county" in sentence


def test_places_and_files_of_all_rows_are_looked_at_together(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A boundary file that is not there, and a place on the other side of the Earth."""
    away = _row("B").replace("44.25,-95.75", "-44.25,95.75")
    path = _season(tmp_path, _row("A", acres="").replace(",,,44", ",none.geojson,,44"), away)
    assert exit_code(["season", "plan", str(path)]) == 3
    sentence = capsys.readouterr().err
    assert 'row 2, column "fields"' in sentence
    assert "row 3, lat and lon lie" in sentence


def test_a_window_outside_the_season_is_the_reason(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Said before anything about drills; notice that leaves no day is said too."""
    rows = [
        _row("A", ready="2028-05-03", until="2028-05-28"),
        _row("B", ready="2027-04-19", until="2027-04-30", asked="2027-04-20"),
    ]
    found = _planned(capsys, _season(tmp_path, *rows))
    reasons = {one["request"]: one["reason"] for one in found["refused"]}
    assert "can be had in the season" in reasons["A"]
    assert "14 days of notice from 2027-04-20" in reasons["B"]


def test_bookings_hold_what_the_season_promises(capsys: pytest.CaptureFixture[str]) -> None:
    """No drill twice a day, none on a day off, all inside window, season and notice, working days in a row,
    proven terms.
    """
    program, requests = load_program(SEASON), read_requests(SAMPLES / "requests.csv")
    season = plan_season(program, requests)
    assert season.proof.served_proven
    assert season.proof.waiting_days == season.proof.waiting_bound_days
    assert len(season.placements) + len(season.refusals) == len(requests)
    drills = {drill.name: drill for drill in program.drills}
    taken = [(placement.drill, day) for placement in season.placements for day in placement.days]
    assert len(taken) == len(set(taken))
    for placement in season.placements:
        drill, request = drills[placement.drill], placement.request
        off = {
            day
            for k in range(90)
            if (day := placement.days[0] + timedelta(days=k)).weekday() in drill.weekdays_off
            or day in drill.dates_off
        }
        assert not off & set(placement.days)
        between = {
            placement.days[0] + timedelta(days=k)
            for k in range((placement.days[-1] - placement.days[0]).days)
        }
        assert between - off <= set(placement.days)
        assert request.asked is not None
        assert (
            max(request.ready, program.terms.opens, request.asked + timedelta(days=14)) <= placement.days[0]
        )
        assert placement.days[-1] <= min(request.until, program.terms.closes)
        assert len(placement.days) == placement.duration.days <= program.terms.longest_days
    assert _planned(capsys, SEASON) == _planned(capsys, SEASON)


def test_a_request_takes_as_long_as_the_same_job_planned_by_itself(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With the drill at the renter's place and no inspection, hours differ from `plan` by the pick-up
    alone.
    """
    row = "A,A farm,2027-03-01,2027-04-19,2027-06-19,ponds.gpkg,,44.25,-95.75,,75,Thistle,pasture,"
    path = _season(tmp_path, row, terms='inspection = "0 min"\nlongest_booking = 60')
    (tmp_path / "ponds.gpkg").write_bytes((SAMPLES / "ponds.gpkg").read_bytes())
    program = load_program(path)
    (request,) = read_requests(program.requests_path)
    duration = durations_of(
        request, boundary_of(request), program, {drill.name: 0.0 for drill in program.drills}
    )["ten foot"]
    assert (
        exit_code(["plan", str(SAMPLES / "ponds.gpkg"), "--job", str(SAMPLES / "farm.toml"), "--json"]) == 0
    )
    alone = json.loads(capsys.readouterr().out)
    assert duration.job_s == pytest.approx(alone["job_time"]["job_s"] - alone["job_time"]["pick_up_s"])
    assert duration.ground_m2 == pytest.approx(alone["totals"]["plantable_m2"])


def test_acres_alone_are_sown_as_that_many_acres(tmp_path: Path) -> None:
    """The rectangle has the acres of the list, on the ellipsoid, to a millionth."""
    program = load_program(_season(tmp_path, _row("A", acres="37.5")))
    (request,) = read_requests(program.requests_path)
    duration = durations_of(
        request, boundary_of(request), program, {drill.name: 0.0 for drill in program.drills}
    )["ten foot"]
    assert duration.ground_m2 == pytest.approx(37.5 * ACRE_M2, rel=1e-6)


def test_who_is_served_follows_the_rules_and_a_refusal_says_what_would_change_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two ask for the same days: the earlier asking wins; the other is told the later day, and is served if
    its window goes to it.
    """
    rows = [
        _row("late", until="2027-05-05", asked="2027-03-02"),
        _row("early", until="2027-05-05", asked="2027-03-01"),
    ]
    found = _planned(capsys, _season(tmp_path, *rows))
    assert [one["request"] for one in found["bookings"]] == ["early"]
    (refused,) = found["refused"]
    assert "early farm" in refused["reason"]
    later = next(change for change in refused["changes"] if re.search(r"\bdays? later\b", change))
    day = later.rsplit(" ", 1)[1]
    rows[0] = _row("late", until=day, asked="2027-03-02")
    assert len(_planned(capsys, _season(tmp_path, *rows))["bookings"]) == 2


def test_fewer_acres_as_offered_are_served(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A job longer than the longest booking is refused; with the acres that the refusal names it is
    served.
    """
    path = _season(tmp_path, _row("big", ready="2027-04-19", until="2027-06-19", acres="220"))
    (refused,) = _planned(capsys, path)["refused"]
    assert "longest booking" in refused["reason"]
    fewer = float(refused["changes"][0].split("(")[1].split()[0])
    assert 50 < fewer < 220
    path = _season(
        tmp_path, _row("big", ready="2027-04-19", until="2027-06-19", acres=f"{fewer * 0.97:.1f}")
    )
    assert len(_planned(capsys, path)["bookings"]) == 1


def test_ground_that_fits_needs_no_more_days(tmp_path: Path) -> None:
    """By hours in the field it fits the days, and a hundredth more does not."""
    program = load_program(_season(tmp_path, _row("A", acres="120")))
    (request,) = read_requests(program.requests_path)
    duration = durations_of(
        request, boundary_of(request), program, {drill.name: 0.0 for drill in program.drills}
    )["ten foot"]
    terms = booking_terms(program.drills[0], program)
    ground = ground_that_fits(duration, duration.days - 3, terms)
    from fieldplan.work.booking import booking_for

    def days(share: float) -> int:
        return booking_for(duration.job_s - duration.field_s * (1 - share), terms).suggested_days

    assert days(ground / duration.ground_m2) <= duration.days - 3 < days(ground / duration.ground_m2 + 0.01)


def test_files_of_a_season(tmp_path: Path) -> None:
    """CSV, picture and calendars say the same bookings; no telephone number is in any of them."""
    path = _season(tmp_path, _row("A", more="555-0100"), _row("B", more="555-0101"))
    out = tmp_path / "out"
    assert exit_code(["season", "plan", str(path), "--out", str(out)]) == 0
    bookings = json.loads((out / "season.json").read_text(encoding="utf-8"))["bookings"]
    with (out / "bookings.csv").open(encoding="utf-8", newline="") as stream:
        assert [row["request"] for row in csv.DictReader(stream)] == [
            booking["request"] for booking in bookings
        ]
    events = Calendar.from_ical((out / "drill-ten-foot.ics").read_bytes()).walk("VEVENT")
    spans = {(event.decoded("dtstart"), event.decoded("dtend") - timedelta(days=1)) for event in events}
    assert spans == {
        (date.fromisoformat(booking["days"][0]), date.fromisoformat(booking["days"][-1]))
        for booking in bookings
    }
    assert all(event["status"] == "TENTATIVE" for event in events)
    again = Calendar.from_ical((out / "renter-a.ics").read_bytes()).walk("VEVENT")
    assert {str(event["uid"]) for event in again} < {str(event["uid"]) for event in events}
    ET.parse(out / "season.svg")
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(out / "hand-over.pdf").pages]
    assert len(pages) == len(bookings)
    assert all(
        "acre meter out" in page and "every box empty" in page and "transport locks in" in page
        for page in pages
    )
    assert f"Next: {bookings[1]['renter']}" in pages[0]
    assert "take it back home" in pages[-1]
    assert not any(b"555-01" in file.read_bytes() for file in out.iterdir())
    assert exit_code(["season", "plan", str(path), "--out", str(out), "--phones", "--force"]) == 0
    assert b"Telephone 555-0100" in (out / "renter-a.ics").read_bytes().replace(b"\r\n ", b"")


def test_capacity_says_what_a_change_would_buy(capsys: pytest.CaptureFixture[str]) -> None:
    """One more drill leaves nobody waiting longer."""
    assert exit_code(["season", "capacity", str(SEASON), "--weathers", "100", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    options = {one["name"]: one for one in found["options"]}
    assert options["one more ten foot"]["waiting_days"] < found["now"]["waiting_days"]
    assert options["one more prairie"]["booked"] > found["now"]["booked"]
    assert {"all drills work on Saturdays", "all drills work on Sundays", "prairie 15.0 ft wide"} <= set(
        options
    )
    assert found["asked"]["unable"] == ["R01", "R06"]


def test_capacity_says_the_same_twice(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same command, the same bytes; the page names the published yardstick."""
    command = ["season", "capacity", str(_season(tmp_path, _row("A"), _row("B"))), "--weathers", "100"]
    assert exit_code([*command, "--json"]) == 0
    first = capsys.readouterr().out
    assert exit_code([*command, "--json"]) == 0
    assert capsys.readouterr().out == first
    assert exit_code(command) == 0
    assert "500 to 600 acres and more in a year" in " ".join(capsys.readouterr().out.split())


def test_the_month_board_has_a_page_a_month(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """April, May and June; every renter's name stands once in each week of the booking, cut where a bar is short."""
    found = _planned(capsys, SEASON, "--out", str(tmp_path))
    pages = [page.extract_text() for page in PdfReader(tmp_path / "month-board.pdf").pages]
    assert [page.split("\n")[0].split(" 2027")[0] for page in pages] == ["April", "May", "June"]
    text = "\n".join(pages)
    for one in found["bookings"]:
        first, last = date.fromisoformat(one["days"][0]), date.fromisoformat(one["days"][-1])
        weeks = {
            (day.month, day.isocalendar().week)
            for k in range((last - first).days + 1)
            if (day := first + timedelta(days=k))
        }
        assert text.count(one["renter"][:4]) == len(weeks)


def test_the_spreadsheet_holds_dates_and_numbers(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Read by another library: the same bookings, a row a day with who has each drill, and who is not
    served.
    """
    found = _planned(capsys, SEASON, "--out", str(tmp_path))
    book = openpyxl.load_workbook(tmp_path / "season.xlsx")
    rows = list(book["bookings"].iter_rows(min_row=2, values_only=True))
    assert [(row[4], row[1].date().isoformat(), row[3]) for row in rows] == [
        (one["request"], one["days"][0], len(one["days"])) for one in found["bookings"]
    ]
    assert [iter_row[0].value for iter_row in book["not served"].iter_rows(min_row=2)] == [
        one["request"] for one in found["refused"]
    ]
    days = {
        iter_row[0].date().isoformat(): iter_row[1:]
        for iter_row in book["days"].iter_rows(min_row=2, values_only=True)
    }
    assert len(days) == 62
    for one in found["bookings"]:
        assert days[one["days"][0]][["ten foot", "prairie"].index(one["drill"])] == one["renter"]


def _confirmed(path: Path, tmp_path: Path, *facts: str) -> str:
    ledger = str(tmp_path / "spring.ledger")
    assert exit_code(["season", "record", str(path), "confirm", *facts, "--ledger", ledger]) == 0
    return ledger


def test_confirmed_bookings_stay(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """B would come second; confirmed for the first days it has them, A goes round it, and only B's event is
    confirmed.
    """
    path = _season(tmp_path, _row("A", asked="2027-02-01"), _row("B"))
    free = {one["request"]: one for one in _planned(capsys, path)["bookings"]}
    assert free["A"]["days"][0] < free["B"]["days"][0]
    ledger = _confirmed(
        path, tmp_path, "request=B", "day=2027-04-10", "drill=ten foot", f"first={free['A']['days'][0]}"
    )
    capsys.readouterr()
    out = tmp_path / "out"
    held = {
        one["request"]: one
        for one in _planned(capsys, path, "--ledger", ledger, "--out", str(out))["bookings"]
    }
    assert held["B"]["days"][0] == free["A"]["days"][0]
    assert held["A"]["days"][0] > held["B"]["days"][-1]
    assert (held["A"]["confirmed"], held["B"]["confirmed"]) == (False, True)
    states = {
        name: str(Calendar.from_ical((out / f"renter-{name}.ics").read_bytes()).walk("VEVENT")[0]["status"])
        for name in "ab"
    }
    assert states == {"a": "TENTATIVE", "b": "CONFIRMED"}


def test_a_confirmed_booking_that_cannot_stay_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On a day before its window: named, with what to put right."""
    path = _season(tmp_path, _row("A"), _row("B"))
    ledger = _confirmed(path, tmp_path, "request=B", "day=2027-04-10", "drill=ten foot", "first=2027-04-20")
    assert exit_code(["season", "plan", str(path), "--ledger", ledger]) == 3
    assert (
        "B farm (B) is confirmed with ten foot from 2027-04-20, but cannot keep those days"
        in capsys.readouterr().err
    )


def test_a_table_of_distances_is_taken_for_the_road(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ten miles from home and back, by name and by request, one way other than back; where the table is
    silent, the straight way.
    """
    path = _season(tmp_path, _row("A"))
    path.write_text(
        path.read_text(encoding="utf-8").replace("[season]", '[season]\ndistances = "roads.csv"', 1),
        encoding="utf-8",
    )
    (tmp_path / "roads.csv").write_text(
        "from,to,miles\nTen Foot,a farm,10\nA,ten foot,14\n", encoding="utf-8"
    )
    found = _planned(capsys, path)
    assert found["bookings"][0]["tow_m"] == 16093
    assert found["proof"]["tow_m"] == 16093 + 22531
    (tmp_path / "roads.csv").write_text(
        "from,to,miles\nTen Foot,a farm,far\nA,,3\nA,B,3\na,b,4\n", encoding="utf-8"
    )
    assert exit_code(["season", "plan", str(path)]) == 3
    shown = capsys.readouterr().err
    assert '"far" is not a distance' in shown
    assert "row 3" in shown
    assert "a second time" in shown


def test_the_page_says_what_it_was_reckoned_with(capsys: pytest.CaptureFixture[str]) -> None:
    """Each drill's hours and weather, defaults once for all drills that have them, and every source that
    the page names with its title.
    """
    assert exit_code(["season", "plan", str(SEASON)]) == 0
    page = " ".join(capsys.readouterr().out.split())
    assert "ten foot (farm.toml): a working day of 8.0 h, 55 % of days are fieldwork days" in page
    assert page.count("working.road_factor = 1.3 (assumed)") == 1
    named = set(re.findall(r"source: ([a-z0-9-]+)", page.partition("SOURCES")[0]))
    assert {"tow20", "guide2007", "hp-per-foot"} <= named
    assert named == set(re.findall(r"- ([a-z0-9-]+): ", page.partition("SOURCES")[2]))


def test_a_request_may_name_the_boxes_it_needs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A drill without a box of that kind cannot do it; a kind that no drill could have is a bad cell."""
    path = _season(tmp_path, _row("A"), _row("B"))
    requests = (tmp_path / "requests.csv").read_text(encoding="utf-8").replace(",phone", ",boxes")
    one_drill = path.read_text(encoding="utf-8").partition('[[drill]]\nname = "prairie"')[0]
    job = (SAMPLES / "farm.toml").read_text(encoding="utf-8").replace('kind = "native"', 'kind = "grain"')
    (tmp_path / "job.toml").write_text(
        job.replace('"rates.toml"', f'"{(SAMPLES / "rates.toml").as_posix()}"'), encoding="utf-8"
    )
    path.write_text(one_drill.replace((SAMPLES / "farm.toml").as_posix(), "job.toml"), encoding="utf-8")
    lines = requests.splitlines()
    (tmp_path / "requests.csv").write_text(
        "\n".join([lines[0], lines[1] + "grain small", lines[2] + "native"]) + "\n", encoding="utf-8"
    )
    found = _planned(capsys, path)
    assert [one["request"] for one in found["bookings"]] == ["A"]
    assert "it has no native box" in found["refused"][0]["reason"]
    (tmp_path / "requests.csv").write_text(
        "\n".join([lines[0], lines[1] + "brush"]) + "\n", encoding="utf-8"
    )
    assert exit_code(["season", "plan", str(path)]) == 3
    assert 'row 2, column "boxes" "brush" names boxes other than' in capsys.readouterr().err


def test_calendars_are_read_by_a_reader_of_others(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """vobject, which did not write them, finds every booking with its days, one event a booking, none
    twice.
    """
    found = _planned(capsys, SEASON, "--out", str(tmp_path))
    events = [
        event
        for name in ("ten-foot", "prairie")
        for event in vobject.readOne(
            (tmp_path / f"drill-{name}.ics").read_text(encoding="utf-8")
        ).vevent_list
    ]
    assert len({event.uid.value for event in events}) == len(events) == len(found["bookings"])
    assert {
        (event.summary.value, str(event.dtstart.value), str(event.dtend.value - timedelta(days=1)))
        for event in events
    } == {
        (f"{one['drill']}: {one['renter']}", one["days"][0], one["days"][-1]) for one in found["bookings"]
    }


def test_dates_and_numbers_of_rules_are_what_they_look_like(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A date without dashes is a bad cell; "nan" in a column of numbers is a word, after every number."""
    path = _season(tmp_path, _row("A", asked="20270316"))
    assert exit_code(["season", "plan", str(path)]) == 3
    assert "is not a date in the form YYYY-MM-DD" in capsys.readouterr().err
    rows = [_row(name, more=score) for name, score in (("A", "nan"), ("B", "10"), ("C", "inf"), ("D", "9"))]
    path = _season(tmp_path, *rows, terms='serve_first = ["phone"]')
    text = path.read_text(encoding="utf-8")
    start, end = text.index("serve_first"), text.index("[[drill]]")
    path.write_text(text[:start] + 'serve_first = ["phone"]\n\n' + text[end:], encoding="utf-8")
    turns = {
        one["request"]: one["reason"].partition(" of")[0] for one in _planned(capsys, path)["bookings"]
    }
    assert turns == {"D": "priority 1", "B": "priority 2", "C": "priority 3", "A": "priority 4"}


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        (_row("A", ready="2026-05-03"), "ready = 2026-05-03 is 351 days before the season opens"),
        (_row("A", until="2028-05-28"), "until = 2028-05-28 is 344 days after the season closes"),
        (_row("A", asked="2017-03-01"), "asked = 2017-03-01 is 3,715 days before ready"),
        (_row("A", acres="12000"), "acres = 12,000, where 0.25 to 2,000 is likely"),
        (_row("A").replace(",75,", ",7.5,"), "tractor_hp = 7.5, where 15 to 500 is likely"),
        (
            _row("A").replace("Thistle", "Thisle"),
            'serve_first: "county = Thistle" puts nobody first, because no row has that value. Did you mean "Thisle"?',
        ),
    ],
)
def test_unlikely_cells_and_rules_are_said_first(
    row: str, sentence: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The list is planned as it stands, and what can hardly be meant warns before the numbers."""
    assert exit_code(["season", "plan", str(_season(tmp_path, row))]) == 0
    page = " ".join(capsys.readouterr().out.split())
    assert page.index(sentence) < page.index(" served, proven")


def test_a_likely_list_warns_of_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A kind of job that nobody asked for, asking late, a very small field: nothing of it is odd enough to
    ask about.
    """
    path = _season(
        tmp_path,
        _row("A", asked="2027-05-10"),
        _row("B", acres="0.4"),
        terms='"practice = grass waterway",',
    )
    assert exit_code(["season", "plan", str(path)]) == 0
    assert "Warning" not in capsys.readouterr().out


def test_a_home_far_from_everybody_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One drill east of Greenwich: it would be lent to nobody, without a word; columns by other words are
    told.
    """
    path = _season(tmp_path, _row("A"))
    path.write_text(
        path.read_text(encoding="utf-8").replace("lon = -95.750", "lon = 95.750", 1), encoding="utf-8"
    )
    assert exit_code(["season", "plan", str(path)]) == 3
    assert 'the home of drill "ten foot" lies' in capsys.readouterr().err
    (tmp_path / "requests.csv").write_text(
        f"{HEADER.replace('lat,lon', 'latitude,long')}\n{_row('A')}\n", encoding="utf-8"
    )
    assert exit_code(["season", "plan", str(path)]) == 3
    sentence = capsys.readouterr().err
    assert ('is it "latitude"?' in sentence, 'is it "long"?' in sentence) == (True, True)


def test_two_words_of_a_card_that_are_all_but_alike_are_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A charge for "insde" would never be made."""
    card = tmp_path / "card.toml"
    text = (SAMPLES / "rates.toml").read_text(encoding="utf-8")
    card.write_text(
        text.replace('when = { area = "inside" }', 'when = { area = "insde" }', 1), encoding="utf-8"
    )
    assert exit_code(["fee", str(card), "--map-acres", "10"]) == 3
    assert 'did you mean "inside"?' in capsys.readouterr().err


def test_a_column_of_dates_in_another_form_is_named_once(tmp_path: Path) -> None:
    """With the first cell and how many more; up to three cells are named one by one."""
    text = (SAMPLES / "requests.csv").read_text(encoding="utf-8")
    path = tmp_path / "requests.csv"
    path.write_text(re.sub(r"(2027)-(\d\d)-(\d\d)", r"\2/\3/\1", text), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_requests(path)
    n_rows = len(text.splitlines()) - 1
    assert [(one.about, one.case) for one in caught.value.problems] == [
        (f'row 2, column "{name}"', "no-dates") for name in ("ready", "until", "asked")
    ]
    assert str(caught.value).count(f"and neither are {n_rows - 1} more cells of the column") == 3
    path.write_text(text.replace("2027-02-14,2027-04-26", "2/14/2027,4/26/2027"), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_requests(path)
    assert [one.case for one in caught.value.problems] == ["no-date", "no-date"]
