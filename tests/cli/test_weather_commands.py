"""Plan, compare, progress and season with a weather record, as a user runs them."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path

import geopandas
import pytest
from conftest import unwrapped
from shapely import box
from weather_records import plain_csv

import fieldplan
from fieldplan.cli.main import exit_code
from fieldplan.plane.frame import Frame

JOB = """
[drill]
name = "ten foot"
rows = 16
row_spacing = "7.5 in"
turning_radius = "20 ft"
[[drill.box]]
name = "grain"
kind = "grain"
volume = "24 ft3"
[booking]
weather = "station.csv"
start = 2027-05-03
finish_by = 2027-05-25
[weather]
{weather}
[[mix]]
name = "hay"
[[mix.component]]
species = "oats"
rate = "60 lb/ac bulk"
purity = "98 %"
germination = "92 %"
bulk_weight = "32 lb/bu"
"""
SEASON = """
[season]
opens = 2027-05-03
closes = 2027-05-28
requests = "requests.csv"
serve_first = ["asked"]
weather = "station.csv"
[[drill]]
name = "ten foot"
job = "job.toml"
home = { lat = 44.25, lon = -95.75 }
"""
REQUESTS = """request,renter,ready,until,asked,acres,lat,lon
R1,Blue Gate,2027-05-03,2027-05-20,2027-03-01,24,44.25,-95.75
R2,Fern Rise,2027-05-10,2027-05-28,2027-03-02,30,44.30,-95.70
"""
TODAY = ("--today", "2027-04-20")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A field, a record of twelve years, and a job and a season that name it."""
    here = tmp_path_factory.mktemp("weather")
    ground = Frame(-95.75, 44.25).to_lonlat(box(0, 0, 500, 400))
    geopandas.GeoDataFrame({"name": ["north"]}, geometry=[ground], crs="EPSG:4326").to_file(
        here / "fields.geojson", driver="GeoJSON"
    )
    (here / "station.csv").write_text(plain_csv(date(2004, 1, 1), date(2015, 12, 31)), encoding="utf-8")
    (here / "job.toml").write_text(JOB.format(weather=""), encoding="utf-8")
    (here / "season.toml").write_text(SEASON, encoding="utf-8")
    (here / "requests.csv").write_text(REQUESTS, encoding="utf-8")
    return here


def _job(folder: Path, weather: str, *changes: tuple[str, str]) -> str:
    text = JOB.format(weather=weather)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    (folder / "other.toml").write_text(text, encoding="utf-8")
    return str(folder / "other.toml")


def _planned(folder: Path, job: str, capsys: pytest.CaptureFixture[str], *more: str) -> str:
    whole = () if "--json" in more else ("-v",)
    assert exit_code(["plan", str(folder / "fields.geojson"), "--job", job, *TODAY, *whole, *more]) == 0
    return capsys.readouterr().out


def test_a_plan_counts_the_years(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Page and JSON have the same count, its range, the rule and the years; odds are plain counts."""
    page = unwrapped(_planned(folder, str(folder / "job.toml"), capsys))
    data = json.loads(_planned(folder, str(folder / "job.toml"), capsys, "--json"))
    booking, weather = data["booking"], data["booking"]["weather"]
    assert booking["grounds"] == "record"
    assert weather["years"] == list(range(2004, 2016))
    for odds in booking["odds"]:
        assert odds["n_met"] == round(odds["prob"] * 12)
        assert odds["prob"] == pytest.approx(odds["n_met"] / 12)
        assert odds["range_prob"][0] <= odds["prob"] <= odds["range_prob"][1]
    (found,) = [odds for odds in booking["odds"] if odds["days"] == booking["suggested_days"]]
    assert f"{found['n_met']} of 12 years, range" in page
    assert "the weather of 12 years of station.csv" in page
    assert "no more than 0.2 in of rain" in page
    assert "predicted from the others" in page
    assert "by counting years" in page
    assert any(source["key"] == "french-sowing" for source in data["sources"])


def test_starts_are_compared_on_every_medium(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A table on the page, one picture in the HTML page and as a file, and the figures in the JSON."""
    out = folder / "out"
    page = _planned(
        folder, str(folder / "job.toml"), capsys, "--out", str(out), "--write", "page,svg,json", "--force"
    )
    starts = json.loads((out / "plan.json").read_text(encoding="utf-8"))["booking"]["weather"]["starts"]
    assert [one["start"] for one in starts] == [
        "2027-04-26",
        "2027-05-03",
        "2027-05-10",
        "2027-05-17",
        "2027-05-24",
    ]
    assert "Mon 26 Apr" in page
    assert "planned" in page
    picture = (out / "picture-starts.svg").read_text(encoding="utf-8")
    assert "starts a week apart" in picture
    # on the page the same columns are drawn for a phone's width
    drawn = (out / "plan.html").read_text(encoding="utf-8").split("Odds by start</text>", 1)[1]
    assert len(_columns(picture)) == 3 * len(starts)
    assert _columns(drawn.split("</svg>", 1)[0]) == _columns(picture)


def _columns(picture: str) -> list[str]:
    """What is written about the columns of a picture of starts: the odds, the day and the days to book of each."""
    return re.findall(r">(over 99|\d{1,3}|\d\d \w{3}|\d+ d)</text>", picture)


def test_a_water_balance_and_a_survey(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The rule is named with its drainage; the survey sets the level, and both figures are said."""
    job = _job(folder, 'rule = "soil water"\ndrainage = "coarse"\nsurvey = "Nebraska"\nyears = "2004-2013"')
    page = unwrapped(_planned(folder, job, capsys))
    data = json.loads(_planned(folder, job, capsys, "--json"))["booking"]["weather"]
    assert data["rule"]["drainage"] == "coarse"
    assert data["years"] == list(range(2004, 2014))
    alone, waited = data["survey_window_days"]
    assert abs(waited - 49.5) < abs(alone - 49.5)
    assert "water balance of the plough layer on coarse soil" in page
    assert "Nebraska, April to mid-June reports 49.5 of 76" in page


def test_a_rule_of_ones_own(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In the reader's units."""
    job = _job(folder, 'rule = "none on a day with over 0.1 in, nor for 2 days after 0.5 in"')
    page = unwrapped(_planned(folder, job, capsys, "--units", "metric"))
    assert "your own rule: no more than 2.54 mm of rain, none on 2 days after over 12.7 mm" in page


@pytest.mark.parametrize(
    ("booking", "grounds", "said"),
    [
        (
            'fieldwork_day_chance = "55 %"\nstate = "Nebraska"',
            "typed",
            "published for Nebraska, April to mid-June are 65 %",
        ),
        ('state = "Nebraska"', "table", "published for Nebraska, April to mid-June"),
        (
            'weather = "station.csv"\nstate = "Nebraska"',
            "record",
            "A survey of the state reports 65 % of days",
        ),
    ],
    ids=["typed", "table", "record"],
)
def test_the_page_says_what_the_odds_stand_on(
    folder: Path, capsys: pytest.CaptureFixture[str], booking: str, grounds: str, said: str
) -> None:
    """A chance that was typed beside the table's; the table's where nothing is; a record before both."""
    job = _job(folder, "", ('weather = "station.csv"', booking))
    if grounds != "record":
        text = Path(job).read_text(encoding="utf-8").replace("[weather]\n", "")
        Path(job).write_text(text, encoding="utf-8")
    assert said in unwrapped(_planned(folder, job, capsys))
    data = json.loads(_planned(folder, job, capsys, "--json"))["booking"]
    assert data["grounds"] == grounds
    assert data["published"]["prob"] == pytest.approx(0.651)


def test_a_state_without_figures_is_said_where_the_odds_need_none(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A state that no table has is no slip of another; with nothing else to stand on it is refused."""
    job = _job(folder, "", ('weather = "station.csv"', 'weather = "station.csv"\nstate = "South Dakota"'))
    assert "no sowing window in the tables is of South Dakota" in unwrapped(_planned(folder, job, capsys))
    job = _job(folder, "", ('weather = "station.csv"', 'state = "South Dakota"'))
    text = Path(job).read_text(encoding="utf-8").replace("[weather]\n", "")
    Path(job).write_text(text, encoding="utf-8")
    assert exit_code(["plan", str(folder / "fields.geojson"), "--job", job, *TODAY]) == 3
    assert "no survey is in the table" in unwrapped(capsys.readouterr().err)


def test_days_lent_starts_and_years_side_by_side(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Odds of two and three days, of another start, and of some of the years."""
    command = ["compare", str(folder / "fields.geojson"), "--job", str(folder / "job.toml"), *TODAY]
    more = ["--book", "2", "--book", "3", "--start", "2027-05-10", "--weather-years", "2004-2009"]
    assert exit_code([*command, *more, "--json"]) == 0
    plans = {plan["plan"]: plan for plan in json.loads(capsys.readouterr().out)["plans"]}
    lent = [plans[f"job.toml, {n} days booked"] for n in (2, 3)]
    assert [plan["suggested_days"] for plan in lent] == [2, 3]
    assert lent[0]["prob"] <= lent[1]["prob"]
    assert plans["job.toml from 2027-05-10"]["start"] == "2027-05-10"
    assert plans["job.toml, weather of 2004-2009"]["n_years"] == 6
    assert exit_code([*command, *more]) == 0
    assert "of 6 years, range" in capsys.readouterr().out


def test_progress_with_a_forecast(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What the days since the start were worth, the forecast, and the finish by odds."""
    command = [
        "progress",
        str(folder / "fields.geojson"),
        "--job",
        str(folder / "job.toml"),
        "--metered",
        "20 ac",
    ]
    command += ["--worked", "5 h", "--today", "2027-05-06", "--forecast", "wet until Saturday"]
    assert exit_code(command) == 0
    page = unwrapped(capsys.readouterr().out)
    assert "Since Mon 03 May 3 days went by" in page
    assert "wet through Sat 08 May" in page
    assert "done with" in page
    assert exit_code([*command, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["since"]["days"] == 3
    assert data["forecast"] == [{"until": "2027-05-08", "fit": False}]
    finishes = [finish["prob"] for finish in data["finishes"]]
    assert finishes == sorted(finishes)
    assert all(finish["days"] > 3 for finish in data["finishes"])  # none of it in the wet days told
    assert exit_code([*command[:-1], "sunny later"]) == 2
    assert "wet until Thursday" in capsys.readouterr().err


def test_a_season_under_one_sky(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Odds of bookings and chances of the season are counts of the record's years."""
    assert exit_code(["season", "plan", str(folder / "season.toml"), "--json"]) == 0
    season = json.loads(capsys.readouterr().out)
    assert season["bookings"]
    for booking in season["bookings"]:
        assert booking["odds_prob"] * 12 == pytest.approx(round(booking["odds_prob"] * 12))
    assert "weather-years" in {note["code"] for note in season["notes"]}
    assert exit_code(["season", "capacity", str(folder / "season.toml"), "--json"]) == 0
    capacity = json.loads(capsys.readouterr().out)
    assert capacity["years"] == list(range(2004, 2016))
    assert capacity["weathers"] == 12
    assert capacity["now"]["booked_prob"] * 12 == pytest.approx(round(capacity["now"]["booked_prob"] * 12))


def test_records_of_job_files_serve_a_season_if_all_drills_have_one(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a record of its own a season takes those of the jobs: of all drills, or it is refused."""
    (folder / "typed.toml").write_text(
        JOB.format(weather="")
        .replace('weather = "station.csv"', 'fieldwork_day_chance = "55 %"')
        .replace("[weather]\n", ""),
        encoding="utf-8",
    )
    other = '[[drill]]\nname = "prairie"\njob = "typed.toml"\nhome = { lat = 44.25, lon = -95.75 }\n'
    own = SEASON.replace('weather = "station.csv"\n', "")
    (folder / "own.toml").write_text(own, encoding="utf-8")
    assert exit_code(["season", "plan", str(folder / "own.toml"), "--json"]) == 0
    assert "weather-years" in capsys.readouterr().out
    (folder / "own.toml").write_text(own + other, encoding="utf-8")
    assert exit_code(["season", "plan", str(folder / "own.toml")]) == 3
    assert "none for prairie" in unwrapped(capsys.readouterr().err)


def test_what_a_record_says_by_itself(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Months by rule, reliability by rule, and odds made three ways in one table; the same as data."""
    command = ["weather", str(folder / "station.csv"), "--drainage", "medium", "--lat", "44.25"]
    assert exit_code(command) == 0
    page = capsys.readouterr().out
    for said in (
        "rain",
        "three-day rain",
        "soil water",
        "by years",
        "chain",
        "independent days",
        "came true",
    ):
        assert said in page
    assert exit_code([*command, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert [rule["name"] for rule in data["rules"]] == ["rain", "three-day rain", "soil water"]
    off = [one["off_prob"] for one in data["reliability"]]
    assert off == sorted(off)
    assert all(row["n_met"] <= row["n_years"] for row in data["methods"])
    assert exit_code([*command[:2], "--drainage", "medium"]) == 3
    assert "latitude" in capsys.readouterr().err


def test_a_notebook_reads_the_same(folder: Path) -> None:
    """The Python face gives the same figures."""
    plan = fieldplan.plan(str(folder / "fields.geojson"), str(folder / "job.toml"), today="2027-04-20")
    booking = plan.to_dict()["booking"]
    assert booking["weather"]["record"]["layout"] == "plain"
    assert "of 12 years" in plan.text()


FAULTS = [
    ('rule = "soil water"', "drainage is missing"),
    ('rule = "rian"', 'did you mean "rain"'),
    ('rule = "none on a day with over 3"', "not an amount of rain"),
    ('drainage = "medum"', 'did you mean "medium"'),
    ('survey = "Nebraskaa"', 'did you mean "Nebraska"'),
    ('years = "2020-1991"', "1991-2020"),
    ('years = "1901-1920"', "has no year with the 30 days"),
]


@pytest.mark.parametrize(("weather", "said"), FAULTS)
def test_slips_are_refused_with_what_was_meant(
    folder: Path, capsys: pytest.CaptureFixture[str], weather: str, said: str
) -> None:
    """Exit code 3, and what to write instead."""
    job = _job(folder, weather)
    assert exit_code(["plan", str(folder / "fields.geojson"), "--job", job, *TODAY]) == 3
    assert said in unwrapped(capsys.readouterr().err)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("start = 2027-05-03\nfinish_by = 2027-05-25", "", "needs a start"),
        ('weather = "station.csv"', 'state = "Nebraska"', "none is named"),
        ('weather = "station.csv"', "", "fieldwork_day_chance"),
        ('weather = "station.csv"', 'weather = "gone.csv"', "there is no such file"),
    ],
)
def test_what_odds_need(
    folder: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, said: str
) -> None:
    """A start for a record, a record for its table, and something for the odds to stand on."""
    job = _job(folder, "", (old, new))
    assert exit_code(["plan", str(folder / "fields.geojson"), "--job", job, *TODAY]) == 3
    assert said in unwrapped(capsys.readouterr().err)
