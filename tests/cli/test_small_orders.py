"""Small jobs in big boxes: what is ordered is what is sown, unless somebody wants the least level to stay;
then it is said what that costs.
"""

from __future__ import annotations

import json
from pathlib import Path

import geopandas
import openpyxl
import pytest
from conftest import unwrapped
from shapely import box

from fieldplan.cli.main import exit_code
from fieldplan.plane.frame import Frame
from fieldplan.units import ACRE_M2, POUND_KG

MIN_LB = 18 * 1728 / 2150.42 * 0.1 * 12
"""A tenth of 18 ft3 of seed that weighs 12 lb/bu, in legal bushels of 2150.42 cubic inches."""


def _job(tmp_path: Path, box_keys: str, n_fields: int = 1) -> list[str]:
    """Fields of an acre that get 1.2 lb/ac of a native seed at $30 a pound, in bags of 5 lb, from a box of
    18 ft3.
    """
    frame = Frame(-95.0, 44.0)
    side = ACRE_M2**0.5
    grounds = [frame.to_lonlat(box(300 * k, 0, 300 * k + side, side)) for k in range(n_fields)]
    names = {"field_id": [f"f{k}" for k in range(n_fields)]}
    geopandas.GeoDataFrame(names, geometry=grounds, crs="EPSG:4326").to_file(
        tmp_path / "f.geojson", driver="GeoJSON"
    )
    (tmp_path / "job.toml").write_text(
        '[drill]\nname = "ten foot"\nrows = 16\nrow_spacing = "7.5 in"\nturning_radius = "20 ft"\n'
        f'[[drill.box]]\nname = "native"\nkind = "native"\nvolume = "18 ft3"\n{box_keys}\n[booking]\nfieldwork_day_chance = "55 %"\n'
        '[[mix]]\nname = "m"\n[[mix.component]]\nspecies = "big bluestem"\nbox = "native"\nrate = "1.2 lb/ac bulk"\npurity = "98 %"\n'
        'germination = "90 %"\nbulk_weight = "12 lb/bu"\nbag = "5 lb"\nprice = "$30/lb"\n',
        encoding="utf-8",
    )
    return [str(tmp_path / "f.geojson"), "--job", str(tmp_path / "job.toml"), "--today", "2027-04-01"]


def _json(capsys: pytest.CaptureFixture[str], command: str, job: list[str]) -> dict:  # type: ignore[type-arg]
    capsys.readouterr()
    assert exit_code([command, *job, "--json"]) == 0
    return json.loads(capsys.readouterr().out)  # type: ignore[no-any-return]


@pytest.mark.parametrize("n_fields", [1, 3])
def test_no_assumed_level_is_ordered(
    n_fields: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An acre or three, some pounds: sown and a twentieth; nothing stays, and each parcel is brought what
    it is labelled for.
    """
    job = _job(tmp_path, "", n_fields)
    plan, seed = _json(capsys, "plan", job), _json(capsys, "seed", job)
    (line,) = plan["order"]
    assert line["need_kg"] == pytest.approx(1.05 * line["sown_kg"], rel=1e-9)
    assert (line["stays_kg"], line["bags"]) == (0, 1)
    assert line["overage_kg"] == pytest.approx(0.05 * line["sown_kg"], rel=1e-9)
    assert [note for note in plan["notes"] if note["code"] == "overage-raised"] == []
    assert plan["fields"][-1]["seed"]["boxes"][0]["left_in_box_kg"] == pytest.approx(0, abs=1e-9)
    for parcel in seed["parcels"]:
        labelled = sum(part["bulk_kg"] for batch in parcel["batches"] for part in batch["portions"])
        assert labelled == pytest.approx(parcel["deliveries"][0]["need_kg"], abs=1e-5)


@pytest.mark.parametrize("keys", ["sweep = false", 'residual = "10 %"', 'residual = "10 %"\nsweep = false'])
def test_a_level_that_stays_says_what_it_costs(
    keys: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A tenth of the box stays: 17.4 lb for 1.2 lb sown, so four bags instead of one, $450 more. It is said
    first, whoever gave that level.
    """
    job = _job(tmp_path, keys)
    plan = _json(capsys, "plan", job)
    (line,) = plan["order"]
    assert line["stays_kg"] / POUND_KG == pytest.approx(MIN_LB, rel=1e-6)
    assert line["need_kg"] == pytest.approx(line["sown_kg"] + line["stays_kg"], rel=1e-9)
    (note,) = [note for note in plan["notes"] if note["code"] == "overage-raised"]
    assert note["warning"]
    assert ("assumed, as the job file gives none" in note["text"]) == ("residual" not in keys)
    assert "17.4 lb of residual seed is left in it" in note["text"]
    assert "3 bags more to buy, $450.00" in note["text"]
    for command in (["plan", "-q"], ["seed"]):
        capsys.readouterr()
        assert exit_code([*command, *job]) == 0
        assert "Warning: The native box keeps its least level" in unwrapped(capsys.readouterr().out)


def test_a_level_that_was_given_and_is_less_than_what_is_sown_is_no_warning(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """19 lb sown and 17.4 lb kept as somebody asked for: a note with its cost."""
    plan = _json(capsys, "plan", _job(tmp_path, 'residual = "10 %"', 16))
    (note,) = [note for note in plan["notes"] if note["code"] == "overage-raised"]
    assert not note["warning"]
    assert "bags more to buy, $" in note["text"]


def test_a_given_level_may_be_swept_all_the_same(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The level that is given counts for stops alone then."""
    (line,) = _json(capsys, "plan", _job(tmp_path, 'residual = "10 %"\nsweep = true'))["order"]
    assert line["stays_kg"] == 0


def test_what_stays_is_a_column_of_its_own(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """On the page, the seed page and its deliveries, and in the spreadsheet."""
    job = _job(tmp_path, 'residual = "10 %"')
    for command, heading in ((["plan", "-v"], "residual"), (["seed"], "of it residual")):
        capsys.readouterr()
        assert exit_code([*command, *job]) == 0
        assert heading in capsys.readouterr().out
    assert exit_code(["plan", *job, "--out", str(tmp_path / "out"), "--write", "order"]) == 0
    sheet = openpyxl.load_workbook(tmp_path / "out" / "seed-order.xlsx", data_only=True).active
    header, row = ([cell.value for cell in cells] for cells in sheet.iter_rows(max_row=2))
    assert row[header.index("residual in boxes, lb")] == pytest.approx(MIN_LB, rel=1e-4)
