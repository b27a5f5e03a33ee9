"""Fee, compare and progress; the tractor and the cost on the page; the outing of a small job."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import geopandas
import pytest
from conftest import SAMPLES
from shapely import box

from fieldplan.cli.main import exit_code
from fieldplan.jobfile.load import load_job
from fieldplan.model.machine import Hitch, Tractor
from fieldplan.plane.frame import Frame
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.units import ACRE_M2, FOOT_M, HORSEPOWER_W, HOUR_S, MPH_M_PER_S
from fieldplan.work.tractor import tractor_checks

JOB = str(SAMPLES / "farm.toml")
PONDS = str(SAMPLES / "ponds.gpkg")


def _json(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict:  # type: ignore[type-arg]
    assert exit_code([*arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)  # type: ignore[no-any-return]


def test_a_small_job_is_mostly_not_drilling(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """First-person account of a one-day rental (2016): a 6 ft drill, 4.2 acres and a second field; three
    hours of seeding, an outing of seven and a half.

    With the defaults: two to three hours in the fields, seven or more in all.
    """
    frame = Frame(-95.0, 44.0)
    side = (4.2 * ACRE_M2) ** 0.5
    grounds = [
        frame.to_lonlat(box(0, 0, side, side)),
        frame.to_lonlat(box(800, 0, 800 + ACRE_M2**0.5, ACRE_M2**0.5)),
    ]
    geopandas.GeoDataFrame({"name": ["home", "back"]}, geometry=grounds, crs="EPSG:4326").to_file(
        tmp_path / "f.geojson", driver="GeoJSON"
    )
    (tmp_path / "job.toml").write_text(
        '[drill]\nname = "six-foot"\nrows = 9\nrow_spacing = "7.5 in"\nturning_radius = "15 ft"\n'
        '[[drill.box]]\nname = "grain"\nkind = "grain"\nvolume = "14 ft3"\n[booking]\nfieldwork_day_chance = "55 %"\n[[mix]]\nname = "m"\n'
        '[[mix.component]]\nspecies = "oats"\nbox = "grain"\nrate = "60 lb/ac bulk"\npurity = "98 %"\ngermination = "90 %"\n'
        'bulk_weight = "32 lb/bu"\n',
        encoding="utf-8",
    )
    plan = _json(capsys, "plan", str(tmp_path / "f.geojson"), "--job", str(tmp_path / "job.toml"))
    assert 2 <= plan["job_time"]["field_s"] / HOUR_S <= 3.2
    assert 7 <= plan["job_time"]["job_s"] / HOUR_S <= 9
    parts = ("pick_up_s", "set_up_s", "calibration_s", "moving_s", "field_s", "clean_out_s")
    assert sum(plan["job_time"][part] for part in parts) == pytest.approx(plan["job_time"]["job_s"])


@pytest.mark.parametrize(
    ("hp", "verdict"),
    [(95, "pass"), (75, "pass"), (60, "pass"), (50, "warn"), (30, "fail"), (None, "ask")],
)
def test_power_against_the_foot_of_drill(hp: float | None, verdict: str) -> None:
    """Ten feet: 60 to 90 hp by rental pages (60 hp recommended in Minnesota, 75 in Maryland, 95 in an
    Oklahoma budget); under 35 the drill takes up more.
    """
    drill = load_job(Path(JOB)).drill
    tractor = Tractor(pto_power_w=None if hp is None else hp * HORSEPOWER_W)
    (power,) = (
        tractor_check
        for tractor_check in tractor_checks(drill, tractor, 20 * MPH_M_PER_S, [])
        if tractor_check.about == "power"
    )
    assert power.verdict == verdict
    assert "60 hp to 90 hp" in sentence(power.text, Quantities())
    assert "20 hp to 35 hp" in sentence(power.text, Quantities())


def test_every_other_line_of_the_tractor_check() -> None:
    """Remotes, ball hitch, wide load, towing speed and slope: each with its verdict and a source."""
    from dataclasses import replace

    drill = replace(load_job(Path(JOB)).drill, transport_width_m=12 * FOOT_M)
    checks = {
        tractor_check.about: tractor_check
        for tractor_check in tractor_checks(
            drill,
            Tractor(remotes=0, hitch=Hitch(kind="ball")),
            25 * MPH_M_PER_S,
            [("steep", 0.34)],
            [("lane", 12 * FOOT_M)],
        )
    }
    assert {about: check.verdict for about, check in checks.items()} == {
        "power": "ask",
        "hydraulics": "fail",
        "hitch": "fail",
        "ballast": "ask",
        "road width": "warn",
        "towing": "warn",
        "slope": "fail",
        "gate": "fail",
    }
    assert all(check.source for check in checks.values())


def test_cost_adds_up_and_the_fee_is_the_same_everywhere(capsys: pytest.CaptureFixture[str]) -> None:
    """Rental on the page = the fee command for the same fields; fuel = acres × the published range × the
    price; labor = hours × wage.
    """
    plan = _json(capsys, "plan", PONDS, "--job", JOB)
    fee = _json(capsys, "fee", str(SAMPLES / "rates.toml"), PONDS, "--job", JOB)
    cost = {line["name"]: line for line in plan["cost"]["lines"]}
    assert cost["rental"]["low"] == pytest.approx(float(fee["total"]))
    acres = plan["totals"]["drilled_m2"] / ACRE_M2
    assert cost["fuel"]["low"] == pytest.approx(acres * 0.35 * 3.95, rel=1e-6)
    assert cost["fuel"]["high"] == pytest.approx(acres * 0.52 * 3.95, rel=1e-6)
    assert cost["labor"]["low"] == pytest.approx(plan["job_time"]["job_s"] / HOUR_S * 24)


def test_compare_puts_drills_and_speeds_side_by_side(capsys: pytest.CaptureFixture[str]) -> None:
    """Slower takes longer; longer days take fewer of them; the first line is the job as it is."""
    plans = _json(
        capsys,
        "compare",
        str(SAMPLES / "farm.geojson"),
        "--job",
        JOB,
        "--speed",
        "3 mph",
        "--day",
        "12 h",
        "--crews",
        "2",
    )["plans"]
    assert [plan["plan"] for plan in plans] == [
        "farm.toml",
        "farm.toml at 3 mph",
        "farm.toml, 12 h days",
        "farm.toml, 2 crews",
    ]
    assert plans[3]["field_s"] == pytest.approx(
        max(
            one["time"]["field_s"]
            for one in _json(capsys, "plan", str(SAMPLES / "farm.geojson"), "--job", JOB)["fields"]
        )
    )
    assert plans[1]["field_s"] > plans[0]["field_s"] == plans[2]["field_s"]
    assert plans[2]["suggested_days"] < plans[0]["suggested_days"]


def test_progress_by_hand(capsys: pytest.CaptureFixture[str]) -> None:
    """Half the ground in ten hours; oats ordered less 1.2 × what half the ground takes are left: 20 %
    heavy, and the rest is short.
    """
    plan = _json(capsys, "plan", PONDS, "--job", JOB)
    drilled = plan["totals"]["drilled_m2"]
    oats = next(line for line in plan["order"] if line["species"] == "oats")
    left = oats["ordered_kg"] - 1.2 * oats["sown_kg"] / 2
    got = _json(
        capsys,
        "progress",
        PONDS,
        "--job",
        JOB,
        "--metered",
        f"{drilled / 2} m2",
        "--worked",
        "10 h",
        "--left",
        f"oats={left} kg",
        "--days-left",
        "1",
        "--today",
        "2027-05-10",
    )
    assert got["rest_m2"] == pytest.approx(drilled / 2)
    first, second = plan["fields"]
    share = drilled / 2 / first["area"]["drilled_m2"]
    assert 0 < share < 1
    pace = 10 * HOUR_S / (share * first["time"]["field_s"])
    rest_s = ((1 - share) * first["time"]["field_s"] + second["time"]["field_s"]) * pace
    rest_s += plan["job_time"]["moving_s"] + plan["job_time"]["clean_out_s"]
    assert got["rest_s"] == pytest.approx(rest_s, rel=1e-6)
    (lot,) = got["lots"]
    assert lot["real_kg_per_m2"] == pytest.approx(1.2 * lot["planned_kg_per_m2"], rel=1e-6)
    assert lot["asked_kg"] == pytest.approx(1.2 * oats["sown_kg"] / 2, rel=1e-6)
    assert got["prob_in_days_left"] == 0
    assert got["suggested_days"] > 1


def _two_mixes(tmp_path: Path) -> tuple[str, str]:
    """Three fields of 20, 20 and 4 acres; the first gets oats at 20 lb/ac, the others at 90 lb/ac: one lot,
    two mixes.
    """
    frame = Frame(-95.0, 44.0)
    sides = [(acres * ACRE_M2) ** 0.5 for acres in (20, 20, 4)]
    grounds = [frame.to_lonlat(box(1000 * k, 0, 1000 * k + side, side)) for k, side in enumerate(sides)]
    names = {"field_id": ["a", "b", "c"], "mix": ["thin", "thick", "thick"]}
    geopandas.GeoDataFrame(names, geometry=grounds, crs="EPSG:4326").to_file(
        tmp_path / "f.geojson", driver="GeoJSON"
    )
    oats = (
        '[[mix.component]]\nspecies = "oats"\nlot = "L1"\nbox = "grain"\nrate = "{} lb/ac bulk"\npurity = "98 %"\ngermination = "90 %"\n'
        'bulk_weight = "32 lb/bu"\n'
    )
    (tmp_path / "job.toml").write_text(
        '[drill]\nname = "ten foot"\nrows = 16\nrow_spacing = "7.5 in"\nturning_radius = "20 ft"\n'
        '[[drill.box]]\nname = "grain"\nkind = "grain"\nvolume = "24 ft3"\n[booking]\nfieldwork_day_chance = "55 %"\n'
        f'[[mix]]\nname = "thin"\n{oats.format(20)}[[mix]]\nname = "thick"\n{oats.format(90)}',
        encoding="utf-8",
    )
    return str(tmp_path / "f.geojson"), str(tmp_path / "job.toml")


@pytest.mark.parametrize(
    ("done", "shares"),
    [
        ((), (1.0, 0.25, 0.0)),
        ((), (0.5, 0.0, 0.0)),
        ((), (1.0, 1.0, 0.5)),
        ((), (1.0, 1.0, 1.0)),
        (("c",), (0.3, 0.0, 1.0)),
        (("b",), (0.0, 1.0, 0.0)),
        (("b", "c"), (0.8, 1.0, 1.0)),
    ],
)
def test_progress_follows_the_fields_in_their_order(
    done: tuple[str, ...], shares: tuple[float, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With all as planned so far, what is gone is what those fields take, whatever their mixes, and so are
    the hours: nothing is off or short.
    """
    fields, job = _two_mixes(tmp_path)
    plan = _json(capsys, "plan", fields, "--job", job)
    seed = _json(capsys, "seed", fields, "--job", job)
    metered = sum(
        share * one["area"]["drilled_m2"] for share, one in zip(shares, plan["fields"], strict=True)
    )
    worked_s = sum(
        share * one["time"]["field_s"] for share, one in zip(shares, plan["fields"], strict=True)
    )
    sown = [parcel["deliveries"][0]["sown_kg"] for parcel in seed["parcels"]]
    gone = sum(share * kg for share, kg in zip(shares, sown, strict=True))
    (line,) = plan["order"]
    got = _json(
        capsys,
        "progress",
        fields,
        "--job",
        job,
        "--metered",
        f"{metered} m2",
        "--worked",
        f"{worked_s / HOUR_S} h",
        "--left",
        f"oats={line['ordered_kg'] - gone} kg",
        "--today",
        "2027-05-10",
        *(part for name in done for part in ("--done", name)),
    )
    assert [one["done_frac"] for one in got["fields"]] == pytest.approx(shares, abs=1e-9)
    (lot,) = got["lots"]
    assert lot["expected_kg"] == pytest.approx(gone, rel=1e-9)
    assert lot["real_kg_per_m2"] == pytest.approx(lot["planned_kg_per_m2"], rel=1e-9)
    assert lot["asked_kg"] == pytest.approx(line["sown_kg"] - gone, rel=1e-6, abs=1e-6)
    assert lot["short_kg"] == pytest.approx(line["sown_kg"] - line["ordered_kg"], rel=1e-6)
    assert got["planned_s"] == pytest.approx(worked_s, rel=1e-9)
    left_s = plan["job_time"]["field_s"] - worked_s
    assert (
        left_s - 1
        <= got["rest_s"] - plan["job_time"]["clean_out_s"]
        <= left_s + (plan["job_time"]["moving_s"] + plan["job_time"]["changing_s"]) * 2
    )


def test_progress_names_the_order_it_takes_fields_in(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The page says which fields it takes to be done, and that --done says otherwise; a field of no plan,
    or more done than metered, is refused.
    """
    fields, job = _two_mixes(tmp_path)
    arguments = ["progress", fields, "--job", job, "--worked", "4 h", "--today", "2027-05-10"]
    assert exit_code([*arguments, "--metered", "25 ac", "--left", "oats=1500 lb"]) == 0
    page = " ".join(capsys.readouterr().out.split())
    assert "Assumed done, in the order of the plan: a and" in page
    assert "of b. If you sowed another field first, give --done FIELD." in page
    assert exit_code([*arguments, "--metered", "25 ac", "--done", "b"]) == 0
    assert "Reported done: b. Assumed done after that" in " ".join(capsys.readouterr().out.split())
    assert exit_code([*arguments, "--metered", "25 ac", "--done", "pond"]) == 2
    assert "one of: a, b, c" in capsys.readouterr().err
    assert exit_code([*arguments, "--metered", "5 ac", "--done", "b"]) == 3
    assert "than the plan drills on the fields done" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "code", "sentence"),
    [
        (["--metered", "0 ac", "--worked", "3 h"], 3, "No ground or no hours yet"),
        (["--metered", "500 ac", "--worked", "3 h"], 3, "more ground, by over a tenth"),
        (["--metered", "5 ac", "--worked", "3 h", "--left", "wheat=3 lb"], 2, "is not a lot of the plan"),
        (["--metered", "5 ac", "--worked", "3 h", "--left", "oats=3"], 2, "has no unit"),
        (
            ["--metered", "5 ac", "--worked", "3 h", "--left", "oats=900000 lb"],
            3,
            "is left than was ordered",
        ),
        (["--metered", "5", "--worked", "3 h"], 2, "has no unit"),
    ],
)
def test_progress_refuses_what_cannot_be(
    arguments: list[str], code: int, sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Readings that no drill gives are named."""
    assert exit_code(["progress", PONDS, "--job", JOB, *arguments]) == code
    assert sentence in capsys.readouterr().err


def test_latest_safe_start_is_the_last_that_holds(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Starting on the day named the job is done in time with the odds asked for; a day later it is not."""
    text = Path(JOB).read_text(encoding="utf-8").replace('"rates.toml"', f'"{SAMPLES / "rates.toml"}"')
    odds = {}
    for start in ("2027-05-01", None, "later"):
        day = {"2027-05-01": date(2027, 5, 1)}.get(str(start)) or odds["latest"] + (
            date(2027, 1, 2) - date(2027, 1, 1)
        ) * (start == "later")
        job = tmp_path / "job.toml"
        job.write_text(
            text.replace("[booking] ", f"[booking]\nstart = {day}\nfinish_by = 2027-06-10\n#"),
            encoding="utf-8",
        )
        booking = _json(capsys, "plan", PONDS, "--job", str(job))["booking"]
        if start == "2027-05-01":
            odds["latest"] = date.fromisoformat(booking["latest_start"])
        else:
            odds[str(start)] = date.fromisoformat(booking["finish"])
    assert odds["None"] <= date(2027, 6, 10) < odds["later"]


def test_the_twelve_questions_of_a_farmer_are_answered(capsys: pytest.CaptureFixture[str]) -> None:
    """Acres and meter, days and odds, tractor, passes, hours, seed, refills, catch, running out, cost,
    papers: a place on the page for each.
    """
    assert exit_code(["plan", PONDS, "--job", JOB, "-v"]) == 0
    page = " ".join(capsys.readouterr().out.split())
    for phrase in (
        "drill's meter will read",
        "odds of being done",
        "book this",
        "TRACTOR",
        "headland rounds",
        "Job: pick-up",
        "bulk lb",
        "bags",
        "Seed is at the gate",
        "a row over 100 ft",
        "out at +23 %",
        "rental",
        "fieldplan setup",
    ):
        assert phrase in page


def test_a_lot_that_was_not_begun_is_said_to_be_so(capsys: pytest.CaptureFixture[str]) -> None:
    """Ten acres into the restoration job only the first parcels are sown: a lot of the wet meadow,
    which comes last, is not begun, and lasts as planned.
    """
    arguments = [
        "progress",
        str(SAMPLES / "restoration.zip"),
        "--job",
        str(SAMPLES / "restoration.toml"),
        "--metered",
        "9 ac",
        "--worked",
        "4 h",
        "--left",
        "prairie cordgrass=30 lb",
        "--today",
        "2027-05-10",
    ]
    assert exit_code(arguments) == 0
    assert "not begun" in capsys.readouterr().out


def test_odds_far_beyond_the_suggestion_are_not_made_up(capsys: pytest.CaptureFixture[str]) -> None:
    """With days to spare the odds are the chain's own, never a plain 100 %."""
    got = _json(
        capsys,
        "progress",
        str(SAMPLES / "farm.geojson"),
        "--job",
        JOB,
        "--metered",
        "84 ac",
        "--worked",
        "21 h",
        "--days-left",
        "17",
        "--today",
        "2027-05-10",
    )
    assert 0.96 < got["prob_in_days_left"] < 0.98


@pytest.mark.parametrize(
    ("fact", "sentence"),
    [
        ("area=ouside", "has no area"),
        ("areas=outside", "does not ask for areas"),
        ("AREA=Outside", ""),
        ("area", "is not a fact"),
    ],
)
def test_facts_are_never_left_out_in_silence(
    fact: str, sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A name or value that the card does not know is refused; case does not matter."""
    code = exit_code(
        ["fee", str(SAMPLES / "rates.toml"), "--meter-acres", "25", "--days", "2", "--when", fact]
    )
    out = capsys.readouterr()
    assert (code == 0) == (sentence == "")
    assert sentence in out.err
    if code == 0:
        assert "$375.00" in out.out


@pytest.mark.parametrize(
    ("old", "new", "code", "sentence"),
    [
        ("[booking] ", '[field.pond]\nmove = "-5 h"\n[booking]\n#', 3, "move is out of range"),
        ("[booking] ", '[field.pond]\nslope = "-5 %"\n[booking]\n#', 3, "slope is out of range"),
        ('confidence = "80 %"', 'persistence = "95 %"\nconfidence = "80 %"', 0, ""),
        ('wage = "$24/h"', 'wage = "24 EUR/h"', 3, "several currencies"),
        ('pick_up = "60 min"', 'pick_up = "24 h"\nbreak = "20 min"', 0, ""),
    ],
)
def test_job_terms_out_of_reason_are_refused(
    old: str, new: str, code: int, sentence: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Places, times and shares that cannot be are named; limits themselves are allowed."""
    text = Path(JOB).read_text(encoding="utf-8").replace('"rates.toml"', f'"{SAMPLES / "rates.toml"}"')
    assert old in text
    (tmp_path / "job.toml").write_text(text.replace(old, new, 1), encoding="utf-8")
    assert exit_code(["plan", PONDS, "--job", str(tmp_path / "job.toml"), "-q"]) == code
    assert sentence in capsys.readouterr().err
