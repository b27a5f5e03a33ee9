"""``fieldplan mix``: what is printed and written, what is refused, and that the mix can be planned with."""

from __future__ import annotations

import csv
import json
import re
import tomllib
from pathlib import Path

import boundary_builders as s
import pytest
from conftest import SAMPLES, unwrapped

import fieldplan
from fieldplan.cli.main import exit_code
from fieldplan.jobfile.load import load_job
from fieldplan.seed.stand import stand_of
from fieldplan.units import SQUARE_FOOT_M2

TARGET = SAMPLES / "target.toml"
TEXT = TARGET.read_text(encoding="utf-8")


def _changed(folder: Path, *changes: tuple[str, str]) -> str:
    text = TEXT
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    (folder / "target.toml").write_text(text, encoding="utf-8")
    return str(folder / "target.toml")


def test_page_json_and_python_say_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    """Rates by PLS and bulk, cost, groups, limits in words, lots in sequence, both conventions."""
    assert exit_code(["mix", str(TARGET)]) == 0
    page = capsys.readouterr().out
    told = unwrapped(page)
    for words in (
        "40.0 seeds/ft2 of live seed in all",
        "At most 60.0 % of all seeds grasses; one percent of all seeds more would save",
        "Not in the mix: sideoats grama (WH-1117).",
        "big bluestem: WH-0977 on",
        ", then WH-1101 on",
        "about 20 seeds/ft2 and about 50 seeds/ft2",
        "To buy: 231 lb, in 24 whole bags",
    ):
        assert words in told, words
    assert exit_code(["mix", str(TARGET), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    mix = fieldplan.design_mix(TARGET)
    assert found == mix.to_dict()
    assert mix.text() == page
    assert found["schema"] == "fieldplan/mix/1"
    assert sum(lot["seeds_frac"] for lot in found["lots"]) == pytest.approx(1)
    assert next(iter(mix.lots()["species"])) == "big bluestem"
    assert repr(mix).startswith("Mix pollinator slope")


def test_a_mapping_is_a_target_too() -> None:
    """As TOML gives it."""
    mix = fieldplan.design_mix(tomllib.loads(TEXT), "pollinator slope", units="metric")
    assert "kg/ha" in mix.text()
    with pytest.raises(fieldplan.UsageError):
        fieldplan.design_mix(TARGET, "other")


def test_the_mix_written_is_read_and_planned_with(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Seed tables that a job file takes with ``use``: the same live seeds in all; the CSV has the same lots."""
    text = (SAMPLES / "restoration.toml").read_text(encoding="utf-8")
    job = text[: text.index("[[mix]]")] + '[[mix]]\nuse = "mix.toml"\n'
    (tmp_path / "job.toml").write_text(job, encoding="utf-8")
    assert exit_code(["mix", str(TARGET), "--out", str(tmp_path)]) == 0
    assert "Wrote" in capsys.readouterr().err
    read = load_job(tmp_path / "job.toml")
    mix = read.mixes[0]
    assert [note.text for note in read.notes if note.warning and note.code != "box-unusual"] == []
    assert stand_of(mix).seeds_per_m2 * SQUARE_FOOT_M2 == pytest.approx(40.0, rel=1e-6)
    with (tmp_path / "mix.csv").open(encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    assert [(row["species"], row["lot"]) for row in rows] == [
        (part.species, part.lot) for part in mix.components
    ]
    assert sum(float(row["seeds_per_ft2"]) for row in rows) == pytest.approx(40.0, abs=0.01)
    assert (tmp_path / "mix.pdf").read_bytes()[:5] == b"%PDF-"
    field = s.geojson(tmp_path / "field.geojson", s.SQUARE)
    assert (
        exit_code(["plan", str(field), "--job", str(tmp_path / "job.toml"), "--today", "2027-04-01"]) == 0
    )
    assert "sows 40.0 seeds/ft2 of live seed in all" in unwrapped(capsys.readouterr().out)


def test_a_target_that_cannot_be_met_names_what_contradicts(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 4; the demands in conflict, and a budget that would do, which then does."""
    assert exit_code(["mix", _changed(tmp_path, ("$260/ac", "$150/ac"))]) == 4
    printed = capsys.readouterr()
    told = unwrapped(printed.err)
    assert printed.out == ""
    assert "These demands contradict each other: at least 40.0 seeds/ft2 in all;" in told
    assert "or a budget of $205.30 an acre" in told
    assert exit_code(["mix", _changed(tmp_path, ("$260/ac", "$205.30/ac"))]) == 0


FAULTS = (
    (
        (('seeds = "at least 40 seeds/ft2"', 'seeds = "forty"'),),
        "does not say a least and a most|cannot be read|no number",
    ),
    ((('seeds = "at least 40 seeds/ft2"', 'seeds = "50 to 40 seeds/ft2"'),), "least above its most"),
    ((('budget = "$260/ac"', 'budget = "$260"'),), "no sum for an area"),
    ((('ground = "20 ac"', ""),), "not for how much ground"),
    ((('price = "$33/lb"', ""),), "missing for some lots: prairie coneflower"),
    ((('price = "$33/lb"', 'price = "33 EUR/lb"'),), "EUR"),
    ((('price = "$33/lb"', 'price = "$33/lb"\nrate = "1 lb/ac PLS"'),), "is what fieldplan mix finds"),
    ((('name = "legumes"', 'name = "sedges"'),), "is of no lot"),
    ((('species = "prairie coneflower"\nshare', 'species = "prairie clover"\nshare'),), "is of no lot"),
    ((('share = "at least 25 %"', 'share = "at least 125 %"'),), "over 100 %"),
    ((('purity = "93 %"', ""),), "purity"),
    ((("[[target]]", "[[mix]]"), ("[[target.", "[[mix.")), r"no \[\[target\]\]"),
)


@pytest.mark.parametrize(("changes", "words"), FAULTS, ids=[words[:20] for _, words in FAULTS])
def test_faults_of_a_target_are_named(
    changes: tuple[tuple[str, str], ...], words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 3, with the file and what is wrong."""
    path = _changed(tmp_path, *changes)
    assert exit_code(["mix", path]) == 3
    told = unwrapped(capsys.readouterr().err)
    assert path in told
    assert re.search(words, told), told


def test_one_of_several_targets_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without a name, or with a wrong one, exit 2."""
    path = tmp_path / "two.toml"
    path.write_text(TEXT + TEXT.replace("pollinator slope", "other slope"), encoding="utf-8")
    assert exit_code(["mix", str(path)]) == 2
    assert "other slope" in capsys.readouterr().err
    assert exit_code(["mix", str(path), "--target", "none"]) == 2
    assert exit_code(["mix", str(path), "--target", "other slope"]) == 0
    assert "Mix other slope" in capsys.readouterr().out


def test_lots_of_a_stock_file_are_at_hand(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With their tags, as much as is left of them."""
    (tmp_path / "stock.csv").write_text(
        "day,what,species,lot,weight,group,purity,germination,bulk_weight\n"
        "2027-02-01,bought,big bluestem,BB-9,30 lb,grasses,90 %,80 %,7 lb/bu\n"
        "2027-02-02,discarded,big bluestem,BB-9,10 lb,,,,\n",
        encoding="utf-8",
    )
    path = _changed(tmp_path, ('ground = "20 ac"', 'ground = "20 ac"\nstock = "stock.csv"'))
    assert exit_code(["mix", path]) == 0
    page = unwrapped(capsys.readouterr().out)
    assert "big bluestem (BB-9) grasses" in page
    assert "o more than 20.0 lb of big bluestem (BB-9) at hand" in page
