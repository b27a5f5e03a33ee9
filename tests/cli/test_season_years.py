"""Three invented years in one report: its totals are sums of entries, and the verdict on a drill is arithmetic."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from living import Clerk, row
from pypdf import PdfReader

import fieldplan
from fieldplan.cli.main import exit_code

pytest.importorskip("ortools")

ACRE_M2 = 4046.8726098742522  # the survey acre: 43,560 ft² at 1200/3937 m
CARD = '[rate_card]\nname = "plain"\ncurrency = "$"\nacres = "meter"\n[[charge]]\nname = "rent"\nrate = "$10/ac"\n[[charge]]\nname = "use"\nrate = "$25"\n'
METERED = {2024: {"A": 20.0, "B": 31.5}, 2025: {"A": 22.4}, 2026: {"A": 18.8, "B": 30.2, "C": 41.7}}
PRACTICE = {"A": "pasture", "B": "cover crop", "C": "pasture"}


@pytest.fixture(scope="module")
def clerks(tmp_path_factory: pytest.TempPathFactory) -> list[Clerk]:
    """Springs of three weeks with one drill and six requests of 20 to 45 acres; some are served, F is turned away."""
    folder = tmp_path_factory.mktemp("years")
    (folder / "rates.toml").write_text(CARD, encoding="utf-8")
    return [_year(folder, year, metered) for year, metered in METERED.items()]


def _year(folder: Path, year: int, metered: dict[str, float]) -> Clerk:
    clerk = Clerk(folder / str(year)).season(
        name=f"Spring {year}",
        opens=f"{year}-05-06",
        closes=f"{year}-05-25",
        rate_card='"../rates.toml"',
    )
    dates = {"ready": f"{year}-05-06", "until": f"{year}-05-25"}
    clerk.list(
        *(
            row(name, acres=str(20 + 5 * k), asked=f"{year}-03-0{k + 1}", **dates)
            for k, name in enumerate("ABCDEF")
        )
    )
    clerk.does("plan")
    clerk.record(
        f'refused request=F day={year}-04-20 why="no days left"', f"lost day={year}-05-07 why=rain"
    )
    shown = 100.0
    for k, (name, acres) in enumerate(metered.items()):
        out, back = f"{year}-05-{8 + 5 * k:02}", f"{year}-05-{11 + 5 * k:02}"
        clerk.record(
            f'out request={name} drill=one day={out} meter="{shown} ac"',
            f'sown request={name} field={name} day={back} acres="{acres} ac" practice="{PRACTICE[name]}"',
            f'in request={name} day={back} meter="{round(shown + acres, 1)} ac"',
            f"paid request={name} day={year}-06-01 sum=$100",
        )
        shown = round(shown + acres, 1)
    if year == 2025:
        clerk.record(
            'down drill=one day=2025-05-15 until=2025-05-16 what="bearing gone"',
            'repair drill=one day=2025-05-16 cost=$130 what="bearing" works=2025-05-17',
        )
    return clerk


def _years(capsys: pytest.CaptureFixture[str], clerks: list[Clerk], *more: str) -> str:
    capsys.readouterr()
    folders = [str(clerk.folder) for clerk in reversed(clerks)]
    assert exit_code(["season", "years", *folders, "--day", "2026-11-01", *more]) == 0
    return capsys.readouterr().out


def _object(capsys: pytest.CaptureFixture[str], clerks: list[Clerk], *more: str) -> Any:
    import json

    return json.loads(_years(capsys, clerks, "--json", *more))


def _of_entries(clerk: Clerk) -> dict[str, Any]:
    """The same sums from the rows of the ledger by other code: numbers are cut out of what was typed."""
    rows = clerk.entries
    meter: dict[str, float] = {}
    practice = {one["facts"]["request"]: one["facts"]["practice"] for one in rows if one["kind"] == "sown"}
    acres: dict[str, float] = {}
    days = 0
    charged = Decimal(0)
    for one in rows:
        facts = one["facts"]
        if one["kind"] == "out":
            meter[facts["request"]] = float(facts["meter"].split()[0])
            out = int(facts["day"][-2:])
        if one["kind"] == "in":
            drilled = round(float(facts["meter"].split()[0]) - meter[facts["request"]], 1)
            acres[practice[facts["request"]]] = acres.get(practice[facts["request"]], 0.0) + drilled
            days += int(facts["day"][-2:]) - out + 1
            charged += Decimal(str(drilled)) * 10 + 25
    money = {
        kind: sum(
            (Decimal(one["facts"][key].strip("$")) for one in rows if one["kind"] == kind), Decimal(0)
        )
        for kind, key in (("paid", "sum"), ("repair", "cost"))
    }
    return {
        "acres": acres,
        "days": days,
        "charged": charged,
        "rain": sum(one["kind"] == "lost" for one in rows),
        "away": [one["facts"]["request"] for one in rows if one["kind"] == "refused"],
        **money,
    }


def test_totals_are_sums_of_entries(clerks: list[Clerk], capsys: pytest.CaptureFixture[str]) -> None:
    """Year by year and by practice, against the ledgers' rows added up by other code."""
    found = _object(capsys, clerks)
    assert [one["name"] for one in found["seasons"]] == ["Spring 2024", "Spring 2025", "Spring 2026"]
    for clerk, season in zip(clerks, found["seasons"], strict=True):
        own = _of_entries(clerk)
        assert season["drilled_m2"] / ACRE_M2 == pytest.approx(sum(own["acres"].values()), abs=1e-3)
        assert {
            line["name"]: round(line["drilled_m2"] / ACRE_M2, 1) for line in season["by"]["practice"]
        } == {name: round(acres, 1) for name, acres in own["acres"].items()}
        assert (season["days_out"], season["rain_days"]) == (own["days"], own["rain"])
        assert (Decimal(season["charged"]), Decimal(season["paid"])) == (own["charged"], own["paid"])
        assert Decimal(season["repairs"]) == own["repair"]
        assert [one["request"] for one in season["turned_away"]] == own["away"]
        assert sum(Decimal(line["charged"]) for line in season["by"]["practice"]) == own["charged"]
        assert sum(line["days_out"] for line in season["by"]["practice"]) == own["days"]


def test_the_page_adds_the_years_up(clerks: list[Clerk], capsys: pytest.CaptureFixture[str]) -> None:
    """By hand: 20.0 + 31.5 + 22.4 + 18.8 + 30.2 + 41.7 = 164.6 ac drilled; six rentals of 4 days are 24; $10 × 164.6 + 6 ×
    $25 = $1,796; six payments of $100; 3 days of rain; 2 days down, Thursday 15 and Friday 16 May 2025; $130 of repairs.
    On the map A, B and C have 20, 25 and 30 ac: 140 in six rentals, 90 of them pasture. Pasture is 20.0 + 22.4 + 18.8 +
    41.7 = 102.9 ac, 4 × 4 days, $1,029 + 4 × $25 = $1,129. F of 45 acres was turned away each year: 135 acres.
    """
    lines = [" ".join(line.split()) for line in _years(capsys, clerks).splitlines()]
    assert "all 18 6 140.00 164.60 24 3 2" in lines
    assert "all $1,796.00 $600.00 $130.00 $1,666.00" in lines
    assert any(line.startswith("pasture all 90.00 102.90 102.90 16 $1,129.00") for line in lines), lines
    assert any(line.startswith("all 3 135.0 ") for line in lines)


def test_whether_to_buy_is_arithmetic(clerks: list[Clerk], capsys: pytest.CaptureFixture[str]) -> None:
    """$1,796 on 164.6 ac are $10.911 an acre; times the acres that one more drill would have served on average. $28,000
    over 12 years with $600 of upkeep are $2,933.33 a year; $1,200 over 12 years are $100.
    """
    found = _object(capsys, clerks, "--price", "$28,000", "--life", "12", "--upkeep", "$600")
    more = found["one_more_drill"]
    each = [season["one_more_drill"]["ground_m2"] for season in found["seasons"]]
    assert all(ground > 0 for ground in each)
    assert more["ground_m2"] == pytest.approx(sum(each) / 3)
    income = 1796 / 164.6 * more["ground_m2"] / ACRE_M2
    assert float(more["income"]) == pytest.approx(income, rel=1e-5)
    assert more["yearly"] == "2933.33"
    assert more["pays"] is (income >= 2933.33)
    cheap = _object(capsys, clerks, "--price", "$1,200", "--life", "12")["one_more_drill"]
    assert (cheap["yearly"], cheap["pays"]) == ("100.00", True)
    page = _years(capsys, clerks)
    assert "give --price and --life" in " ".join(page.split())
    assert "Buy, by" not in page


def test_one_more_drill_serves_who_was_left(
    clerks: list[Clerk], capsys: pytest.CaptureFixture[str]
) -> None:
    """Served now and besides are no more than all; days asked for and days of the fleet are those of the calendar: 6 to 25
    May are 20 days less Sundays.
    """
    import datetime

    found = _object(capsys, clerks)
    for clerk, season in zip(clerks, found["seasons"], strict=True):
        year = int(clerk.folder.name)
        days = [datetime.date(year, 5, day) for day in range(6, 26)]
        assert season["fleet_days"] == sum(day.weekday() != 6 for day in days)
        assert season["asked_days"] > season["fleet_days"]
        served = season["could_serve"]["requests"]
        assert served < 6
        assert served + season["one_more_drill"]["requests"] <= 6
        assert season["could_serve"]["proven"]
        assert 0 < season["turned_away_days"] < season["asked_days"]


def test_the_boards_page_says_whether_to_buy(clerks: list[Clerk]) -> None:
    """Of one season, with the drill that was given; without it the page is as it was."""
    clerks[2].does('board --day 2026-11-01 --price "$1,200" --life 12 --upkeep $40')
    assert "costs $140.00 a year (with $40.00 of upkeep" in clerks[2].said
    assert "Buy, by these figures alone" in clerks[2].said
    clerks[2].does("board --day 2026-11-01")
    assert "ONE MORE DRILL" not in clerks[2].said


def test_the_paper_says_the_same(
    clerks: list[Clerk], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The PDF has the totals of the page."""
    pytest.importorskip("typst")
    _years(capsys, clerks, "--out", str(tmp_path))
    said = " ".join(PdfReader(tmp_path / "years.pdf").pages[0].extract_text().split())
    assert "164.60" in said
    assert "$1,796.00" in said


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        (["--price", "5"], "needs its price and its life"),
        (["--price", "5", "--life", "0"], "--life is 0"),
        (["--price", "dear", "--life", "3"], "--price"),
    ],
)
def test_a_drill_that_cannot_be_bought_is_refused(
    clerks: list[Clerk], capsys: pytest.CaptureFixture[str], more: list[str], sentence: str
) -> None:
    """Half a description, or figures that cannot be."""
    capsys.readouterr()
    assert exit_code(["season", "years", str(clerks[0].folder), *more]) == 2
    assert sentence in capsys.readouterr().err


def test_a_season_counts_once(clerks: list[Clerk], capsys: pytest.CaptureFixture[str]) -> None:
    """The same folder twice would add its entries twice."""
    folder = str(clerks[0].folder)
    assert exit_code(["season", "years", folder, folder]) == 2
    assert "given twice" in capsys.readouterr().err


def _from_python(clerks: list[Clerk], **more: Any) -> fieldplan.SeasonYears:
    folders = [clerk.folder for clerk in reversed(clerks)]
    return fieldplan.season_years(folders, day=date(2026, 11, 1), **more)


def test_python_says_what_the_command_prints(
    clerks: list[Clerk], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As an object, as a page and on paper, with a drill that could be bought and another column."""
    options = ("--price", "28000", "--life", "12", "--upkeep", "600.50", "--by", "county")
    found = _from_python(
        clerks, price=28000, life_years=12, upkeep=Decimal("600.50"), by=["County"], units="metric"
    )
    assert found.to_dict() == _object(capsys, clerks, *options)
    page = _years(capsys, clerks, *options, "--units", "metric", "--out", str(tmp_path / "command"))
    assert found.text() == page
    assert repr(found) == page.splitlines()[0]
    (path,) = found.write(tmp_path / "python")
    assert path.read_bytes() == (tmp_path / "command" / "years.pdf").read_bytes()
    with pytest.raises(fieldplan.UsageError, match=r"years\.pdf"):
        found.write(tmp_path / "python")


def test_frames_of_years_hold_every_figure_of_the_object(clerks: list[Clerk]) -> None:
    """A row a season, and a row a season and practice."""
    found = _from_python(clerks)
    seasons, lines, listed = found.seasons(), found.by("practice"), found.to_dict()["seasons"]
    assert list(seasons.index) == ["Spring 2024", "Spring 2025", "Spring 2026"]
    for one in listed:
        row_of = seasons.loc[one["name"]]
        assert row_of["opens"].date().isoformat() == one["opens"]
        for key in ("requests", "rentals", "drilled_m2", "days_out", "charged", "repairs", "asked_days"):
            assert row_of[key] == one[key], key
        assert row_of["could_serve_ground_m2"] == one["could_serve"]["ground_m2"]
        assert row_of["one_more_like"] == one["one_more_drill"]["like"]
        own = lines[lines["season"] == one["name"]].drop(columns="season")
        assert own.rename(columns={"practice": "name"}).to_dict("records") == one["by"]["practice"]
    with pytest.raises(KeyError):
        found.by("county")


def test_seasons_that_were_read_are_taken_in_python(
    clerks: list[Clerk],
) -> None:
    """As `read_season` takes them; each is shown as it is planned."""
    shown: list[str] = []

    def progress(offices: Any) -> Any:
        for office in offices:
            shown.append(office.program.terms.name)
            yield office

    read = fieldplan.read_season(clerks[1].folder)
    found = fieldplan.season_years([read], day=date(2026, 11, 1), progress=progress)
    assert shown == ["Spring 2025"]
    assert found.to_dict()["seasons"] == _from_python(clerks).to_dict()["seasons"][1:2]


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"price": 5}, "needs its price and its life"),
        ({"price": 5, "life_years": 0}, "life_years is 0"),
        ({"price": "dear", "life_years": 3}, "price"),
        ({"price": -3, "life_years": 3}, "price"),
    ],
)
def test_a_drill_that_cannot_be_bought_is_refused_in_python(
    clerks: list[Clerk], more: dict[str, Any], sentence: str
) -> None:
    """With the names of the arguments."""
    with pytest.raises(fieldplan.UsageError, match=sentence):
        _from_python(clerks, **more)


def test_no_season_and_one_without_a_ledger_are_refused_in_python(
    clerks: list[Clerk], tmp_path: Path
) -> None:
    """So is one that is given twice."""
    with pytest.raises(fieldplan.UsageError, match="No season"):
        fieldplan.season_years([])
    with pytest.raises(fieldplan.UsageError, match="given twice"):
        fieldplan.season_years([clerks[0].folder, clerks[0].folder])
    fresh = Clerk(tmp_path / "fresh").season().list(row("A"))
    with pytest.raises(fieldplan.InputError, match="ledger"):
        fieldplan.season_years([fresh.folder])
