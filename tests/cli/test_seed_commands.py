"""The commands about seed: what they print, and what they refuse."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from conftest import ROOT, SAMPLES, unwrapped

from fieldplan.cli.main import exit_code

FARM = (
    (SAMPLES / "farm.toml")
    .read_text(encoding="utf-8")
    .replace('"rates.toml"', f'"{SAMPLES / "rates.toml"}"')
)
RESTORATION = ["--job", str(SAMPLES / "restoration.toml")]
OATS = 'species = "oats"\nbox = "grain"\nrate = "60 lb/ac bulk"'


def _job(tmp_path: Path, *changes: tuple[str, str]) -> str:
    text = FARM
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_seed_page_goes_from_tags_to_labels(capsys: pytest.CaptureFixture[str]) -> None:
    """The page of seven parcels and three mixes, with labels, carrier and cost; the JSON has the same
    order.
    """
    assert exit_code(["seed", str(SAMPLES / "restoration.zip"), *RESTORATION, "--labels"]) == 0
    page = capsys.readouterr().out
    for word in (
        "TAGS",
        "BOXES",
        "ORDER",
        "DELIVERY",
        "LOADING",
        "IF IT SOWS HEAVY",
        "LABELS",
        "rice hulls",
        "Cost of the order",
        "+23 %",
    ):
        assert word in page
    assert exit_code(["seed", str(SAMPLES / "restoration.zip"), *RESTORATION, "--json"]) == 0
    seed = json.loads(capsys.readouterr().out)
    assert seed["schema"] == "fieldplan/seed/1"
    assert len(seed["parcels"]) == 7
    for line in seed["order"]:
        assert f"{line['species']} ({line['lot']})" in page


def test_setup_card_is_in_the_order_of_the_work(capsys: pytest.CaptureFixture[str]) -> None:
    """Parts in order, a box before every step, cautions with sources, the maker's manual last."""
    assert exit_code(["setup", *RESTORATION, "--mix", "wet meadow"]) == 0
    card = capsys.readouterr().out
    parts = [
        "HITCH",
        "ROAD",
        "LEVEL",
        "OPENERS",
        "BOXES",
        "DEPTH",
        "SETTINGS",
        "FILL",
        "PRIME",
        "CALIBRATE",
        "FIRST ROUNDS",
        "CLEAN OUT",
    ]
    at = [card.index(f"\n{part}\n") for part in ["WHERE IT CAN HURT", *parts, "SOURCES"]]
    assert at == sorted(at)
    assert card.count("[ ]") > 20
    assert "hydraulic" in card.lower()
    assert "24 % rice hulls" in unwrapped(card)
    assert unwrapped(card).endswith("Where they differ, follow them.")
    assert "Treated seed" not in card


def test_treated_seed_brings_its_cautions(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A lot marked treated puts the cautions for treated seed on the card."""
    assert (
        exit_code(
            ["setup", "--job", _job(tmp_path, ('lot = "QF-2214"', 'lot = "QF-2214"\ntreated = true'))]
        )
        == 0
    )
    assert "never food, feed or oil" in unwrapped(capsys.readouterr().out)


def test_calibrate_follows_the_chart_and_refuses_outside_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Between 40 (50 lb/ac) and 50 (70 lb/ac): a catch of 72 lb/ac at 45 is a fifth over, so 60 asks for
    the chart's 50: setting 40.
    """
    chart = "".join(
        f'[[drill.chart]]\nseed = "oats"\nrange = "low"\nsetting = {at}\nrate = "{rate} lb/ac"\n'
        for at, rate in ((40, 50), (50, 70))
    )
    job = _job(tmp_path, ("[working]", f"{chart}\n[working]"))
    grams = 72 * 453.59237 / 43_560 * 62.5  # 7.5 in × 100 ft are 62.5 ft²
    asked = ["calibrate", "--job", job, "--box", "grain", "--tubes", "1", "--setting", "45"]
    assert exit_code([*asked, "--json", "--caught", f"{grams:.4f} g"]) == 0
    caught = json.loads(capsys.readouterr().out)["caught"]
    assert caught["error_frac"] == pytest.approx(0.2, abs=1e-5)
    assert caught["next_setting"] == pytest.approx(40, abs=1e-3)
    assert exit_code([*asked, "--caught", f"{grams * 2:.4f} g"]) == 0
    assert "No next setting: the rate is outside the rate chart in this gear range" in unwrapped(
        capsys.readouterr().out
    )
    assert exit_code(["setup", "--job", job]) == 0
    assert "setting 45 by the rate chart; it only gets you close" in unwrapped(capsys.readouterr().out)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            [
                (
                    'purity = "98.5 %"',
                    'purity = "98.5 %"\ninert = "1 %"\nother_crop = "1 %"\nweed_seed = "1 %"',
                )
            ],
            "add to 101.50 %",
        ),
        (
            [
                (
                    'purity = "98.5 %"',
                    'purity = "98.5 %"\ninert = "0.5 %"\nother_crop = "0.2 %"\nweed_seed = "0.1 %"',
                )
            ],
            "add to 99.30 %",
        ),
        ([('purity = "98.5 %"', 'purity = "98.5 %"\ncoating = "30 %"')], "coating of 30 % does not go"),
        ([('germination = "92 %"', 'germination = "92 %"\ndormant = "20 %"')], "more than 100 %"),
        ([('rate = "60 lb/ac bulk"', 'rate = "30 % of stand"')], 'full seeding rate of "oats"'),
        (
            [
                ('species = "oats"', 'species = "soybean"'),
                ('rate = "60 lb/ac bulk"', 'rate = "4 seeds/ft2"'),
            ],
            "commercial seed is larger",
        ),
        ([('lot = "QF-2214"', 'lot = "QF-2214"\nprice = "cheap"')], "not a price"),
        ([('lot = "QF-2214"', 'lot = "QF-2214"\nprice = "$5,20/lb"')], "not a price"),
        ([('lot = "QF-2214"', 'lot = "QF-2214"\nprice = "5/lb"')], "not a price"),
        ([('lot = "QF-2214"', 'lot = "QF-2214"\nprice = "$-5/lb"')], "not a price"),
        ([('lot = "QF-2214"', 'lot = "QF-2214"\ninert = "-5 %"')], "inert is out of range"),
        ([('lot = "QF-2214"', 'lot = "QF-2214"\nseeds_per_pound = 0')], "seeds_per_pound is out of range"),
        ([('lot = "QF-2214"', 'lot = "QF-2214"\nseeds_per_pound = "1,44"')], "not a number"),
        ([('lot = "QF-2214"', 'lot = "QF-2214"\nseeds_per_pound = nan')], "not a number"),
        ([('lot = "QF-2214"', 'lot = "QF-2214"\ntested = 2999-01-01')], "not a date from 2000"),
        (
            [('lot = "QF-2214"', 'lot = "QF-2214"\ncarrier = "rice hulls to 0 bu/ac"')],
            "carrier volume is out of range",
        ),
        ([('lot = "QF-2214"', 'lot = "QF-2214"\ncarrier = "rice hulls to"')], "not a carrier"),
        ([('rate = "60 lb/ac bulk"', 'rate = "5000 lb/ac bulk"')], "rate is out of range"),
        (
            [
                ('species = "alfalfa"\nbox = "small"', 'species = "Oats"\nbox = "small"'),
                ('lot = "QF-3071"', 'lot = "QF-2214"'),
            ],
            "twice",
        ),
        ([("remotes = 1", "remotes = -2")], "remotes is out of range"),
        ([('pto_power = "75 hp"', 'pto_power = "-90 hp"')], "pto_power is out of range"),
        (
            [
                (
                    "[working]",
                    2 * '[[drill.chart]]\nseed = "oats"\nsetting = 40\nrate = "50 lb/ac"\n' + "[working]",
                )
            ],
            "the same setting",
        ),
        (
            [("[working]", '[[drill.chart]]\nseed = "oats"\nsetting = 40\nrate = "0 lb/ac"\n[working]')],
            "rate is out of range",
        ),
        ([('lot = "QF-2214"', 'lot = "QF-2214"\ncarrier = "rice hulls"')], "no metering range"),
        ([('lot = "QF-2214"', 'lot = "QF-2214"\ncarrier = "sawdust to 2 bu/ac"')], "no known weight"),
        ([('lot = "QF-2214"', 'lot = "QF-2214"\ntested = "last fall"')], "write year-month-day"),
        (
            [('bulk_weight = "32 lb/bu"            # weigh a bucket if you do not know it\n', "")],
            "weigh a bucket",
        ),
        (
            [('box = "grain"\nrate', "rate"), ('species = "oats"', 'species = "velvetleaf"')],
            "the species table does not say which box",
        ),
    ],
)
def test_what_a_tag_cannot_say_is_refused(
    changes: list[tuple[str, str]], sentence: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each fault of a tag is named with what would be right."""
    assert exit_code(["setup", "--job", _job(tmp_path, *changes)]) == 3
    assert sentence in capsys.readouterr().err


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ([('lot = "QF-2214"', 'lot = "QF-2214"\ntested = 2020-01-15')], "tested more than 5 months before"),
        ([('box = "grain"\nrate', "rate")], "goes in the grain box, as it usually does"),
        ([('rate = "60 lb/ac bulk"', 'rate = "20 seeds/ft2"')], "19,400 seeds/lb"),
        (
            [
                ('species = "alfalfa"', 'species = "big bluestem"'),
                ('rate = "12 lb/ac PLS"', 'rate = "50 % of stand"'),
                ('species = "oats"', 'species = "bluebunch wheatgrass"'),
                ('rate = "60 lb/ac bulk"', 'rate = "50 % of stand"'),
            ],
            "two conventions",
        ),
        (
            [('species = "alfalfa"\nbox = "small"', 'species = "big bluestem"\nbox = "small"')],
            "usually goes in a native box",
        ),
    ],
)
def test_what_the_tables_add_is_said(
    changes: list[tuple[str, str]], sentence: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Old tests, boxes and counts from the table, mixed conventions: a note each."""
    assert exit_code(["plan", str(SAMPLES / "pivot.kml"), "--job", _job(tmp_path, *changes), "-v"]) == 0
    assert sentence in unwrapped(capsys.readouterr().out)


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ([], "one of the two"),
        (["--rate", "25 lb/ac PLS", "--spacing", "7.5 in", "--rows", "16"], "bulk"),
        (["--rate", "25 lb/ac"], "--spacing and --rows"),
        (
            ["--rate", "25 lb/ac", "--spacing", "7.5 in", "--rows", "16", "--turns", "20"],
            "distance in one turn",
        ),
        (["--rate", "25 lb/ac", "--spacing", "7.5 in", "--rows", "16", "--slip", "5 %"], "no slip"),
        (["--rate", "25 lb/ac", "--spacing", "7.5", "--rows", "16"], "has no unit"),
        (
            ["--job", str(ROOT / "sample_fields/farm.toml"), "--caught", "20 g"],
            "the box that you caught from is not given",
        ),
        (
            ["--job", str(ROOT / "sample_fields/farm.toml"), "--caught", "20 g", "--box", "grain"],
            "--caught needs --tubes",
        ),
        (
            [
                "--job",
                str(ROOT / "sample_fields/farm.toml"),
                "--caught",
                "20 g",
                "--box",
                "grain",
                "--tubes",
                "17",
            ],
            "1 to 16 rows",
        ),
        (
            [
                "--job",
                str(ROOT / "sample_fields/farm.toml"),
                "--caught",
                "20 g",
                "--box",
                "native",
                "--tubes",
                "4",
            ],
            "puts no seed in",
        ),
        (["--job", str(ROOT / "sample_fields/farm.toml"), "--rows", "12"], "changes nothing here"),
        (["--job", str(ROOT / "sample_fields/farm.toml"), "--setting", "12"], "it needs --caught"),
        (["--rate", "25 lb/ac", "--spacing", "0 in", "--rows", "16"], "out of range"),
        (
            [
                "--rate",
                "25 lb/ac",
                "--spacing",
                "7.5 in",
                "--rows",
                "16",
                "--turns",
                "nan",
                "--wheel",
                "8 ft",
            ],
            "out of range",
        ),
        (
            [
                "--rate",
                "25 lb/ac",
                "--spacing",
                "7.5 in",
                "--rows",
                "16",
                "--turns",
                "20",
                "--wheel",
                "-8 ft",
            ],
            "out of range",
        ),
        (
            ["--rate", "25 lb/ac", "--spacing", "7.5 in", "--rows", "16", "--distance", "0 ft"],
            "out of range",
        ),
        (["--job", str(ROOT / "sample_fields/restoration.toml")], "several mixes"),
    ],
)
def test_calibrate_says_what_is_missing(
    arguments: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Wrong usage is told with what to add."""
    assert exit_code(["calibrate", *arguments]) == 2
    assert sentence in capsys.readouterr().err
