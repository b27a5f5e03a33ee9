"""``fieldplan stock`` and the stock in ``fieldplan progress``: a season of one small farm."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path

import boundary_builders as s
import pytest
from conftest import SAMPLES, TODAY, unwrapped

import fieldplan
from fieldplan.cli.main import exit_code
from fieldplan.errors import InputError
from fieldplan.jobfile.stock import read_stock, retest_by
from fieldplan.records import stock as writing

STOCK = SAMPLES / "stock.csv"
BOUGHT = "2027-02-01,bought,oats,QF-2214,{} lb,98.5 %,92 %,2026-12-11\n"
HEADER = "day,what,species,lot,weight,purity,germination,tested\n"


@pytest.fixture
def farm(tmp_path: Path) -> list[str]:
    """A field of a few acres and the sample job, as arguments."""
    text = (SAMPLES / "farm.toml").read_text(encoding="utf-8")
    (tmp_path / "farm.toml").write_text(text, encoding="utf-8")
    (tmp_path / "rates.toml").write_text(
        (SAMPLES / "rates.toml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    field = s.geojson(tmp_path / "field.geojson", s.SQUARE)
    return [str(field), "--job", str(tmp_path / "farm.toml"), "--today", TODAY.isoformat()]


def _stock(folder: Path, *rows: str) -> Path:
    path = folder / "stock.csv"
    path.write_text(HEADER + "".join(rows), encoding="utf-8")
    return path


def _need_lb(farm: list[str], capsys: pytest.CaptureFixture[str]) -> float:
    assert exit_code(["seed", *farm, "--json"]) == 0
    order = json.loads(capsys.readouterr().out)["order"]
    return float(next(line["need_kg"] for line in order if line["species"] == "oats") / 0.45359237)


def test_the_sample_stock_adds_up(capsys: pytest.CaptureFixture[str]) -> None:
    """Left, retest dates by the months that a test holds, jobs that hold seed; JSON, CSV and Python alike."""
    assert exit_code(["stock", "list", str(STOCK), "--today", "2027-04-01"]) == 0
    page = capsys.readouterr().out
    told = unwrapped(page)
    for words in (
        "944.50 lb",
        "196.50 lb",
        "9,000.00 lb",
        "good until 2026-06-30",
        "by 2027-05-31",
        "−0.50 lb",
    ):
        assert words in told, words
    assert exit_code(["stock", "list", str(STOCK), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    stock = fieldplan.read_stock(STOCK)
    assert found == stock.to_dict()
    assert stock.text(date(2027, 4, 1)) == page
    assert list(stock.lots()["lot"]) == ["QF-1988", "QF-2590", "QF-2214"]
    assert repr(stock) == "stock.csv: 3 lots"
    assert exit_code(["stock", "list", str(STOCK), "--csv"]) == 0
    assert capsys.readouterr().out.splitlines()[1].endswith("2025-04-22,2026-01-14,2026-06-30,944.500")


def test_a_file_may_be_sorted_in_a_spreadsheet(tmp_path: Path) -> None:
    """Rows count by their days, in whatever order they stand."""
    header, *rows = STOCK.read_text(encoding="utf-8").splitlines()
    (tmp_path / "s.csv").write_text(
        "\n".join([header, *sorted(rows, reverse=True)]) + "\n", encoding="utf-8"
    )
    sorted_left = {lot.key: lot.left_kg for lot in read_stock(tmp_path / "s.csv").lots}
    assert sorted_left == pytest.approx({lot.key: lot.left_kg for lot in read_stock(STOCK).lots})


@pytest.mark.parametrize(
    ("tested", "months_on"),
    [(date(2026, 1, 15), date(2026, 6, 30)), (date(2026, 11, 3), date(2027, 4, 30))],
)
def test_a_test_holds_to_the_end_of_its_last_month(tested: date, months_on: date) -> None:
    """The month of the test is not counted: 7 CFR 201.22, five months between its end and transport."""
    assert retest_by(tested) == months_on


def test_rows_are_added_and_taken_back(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file is begun, every write has its number, undo takes back the last one alone and leaves a person's rows."""
    path = str(tmp_path / "stock.csv")
    bought = ["species=oats", "lot=7", "weight=50 lb", "day=2027-02-01"]
    assert exit_code(["stock", "record", path, "bought", *bought]) == 0
    assert "as entry 1: bought oats 7, left 50.0 lb." in capsys.readouterr().out
    drawn = ["species=oats", "lot=7", "weight=20 lb", "job=north", "day=2027-04-01"]
    assert exit_code(["stock", "record", path, "drawn", *drawn]) == 0
    text = Path(path).read_text(encoding="utf-8")
    Path(path).write_text(text + "2027-04-03,discarded,oats,7,1 lb\n", encoding="utf-8")
    assert exit_code(["stock", "undo", path]) == 0
    assert "Took back entry 2" in capsys.readouterr().out
    assert read_stock(Path(path)).lots[0].left_kg == pytest.approx(49 * 0.45359237)
    assert exit_code(["stock", "undo", path]) == 3  # what was discarded would be of nothing
    assert exit_code(["stock", "undo", str(_stock(tmp_path, BOUGHT.format(5)))]) == 2


REFUSED = (
    (["drawn", "species=oats", "lot=QF-2214", "weight=6000 lb", "job=x"], 3, "more than there is"),
    (
        ["returned", "species=oats", "lot=QF-2214", "weight=6 lb", "job=x"],
        3,
        'gives back .* more than "x" has',
    ),
    (["drawn", "species=oats", "lot=QF-2214", "weight=6 lb"], 3, "empty"),
    (["bougth", "species=oats", "weight=6 lb"], 3, 'did you mean "bought"'),
    (["bought", "weight=6 lb"], 3, "species"),
    (["bought", "species=oats", "weight=six"], 3, "weight"),
    (["bought", "species=oats", "weight=6 lb", "purity=980 %"], 3, "not between 0 and 100 %"),
    (["bought", "species=oats", "weight=6 lb", "day=tomorrow"], 3, "tomorrow"),
    (["bought", "species=oats", "weight=6 lb", "left=7 lb"], 2, "no column"),
    (["bought", "species=oats", "weight=6 lb", "treated=perhaps"], 3, "neither yes nor no"),
)


@pytest.mark.parametrize(("words", "code", "said"), REFUSED, ids=[said for _, _, said in REFUSED])
def test_rows_that_cannot_be_are_refused_and_the_file_stays(
    words: list[str], code: int, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing of a refused row is written."""
    path = _stock(tmp_path, BOUGHT.format(5000))
    before = path.read_bytes()
    got = exit_code(["stock", "record", str(path), *words])
    told = unwrapped(capsys.readouterr().err)
    assert (got, path.read_bytes()) == (code, before), told
    assert re.search(said, told), told
    assert [one.name for one in tmp_path.iterdir()] == ["stock.csv"]


def test_a_sum_that_does_not_close_is_named_with_its_row(tmp_path: Path) -> None:
    """What a row says is left is checked to half an ounce."""
    path = tmp_path / "stock.csv"
    rows = "day,what,species,lot,weight,left\n2027-02-01,bought,oats,7,50 lb,50 lb\n2027-02-02,discarded,oats,7,10 lb,{}\n"
    path.write_text(rows.format("40.03 lb"), encoding="utf-8")
    assert read_stock(path).lots[0].left_kg == pytest.approx(40 * 0.45359237)
    path.write_text(rows.format("40.04 lb"), encoding="utf-8")
    with pytest.raises(InputError, match="row 3") as caught:
        read_stock(path)
    assert caught.value.problems[0].code == "stock-row"


def test_a_file_changed_meanwhile_is_not_overwritten(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody saves the spreadsheet between reading and writing: nothing is written, nothing of theirs is lost."""
    path = _stock(tmp_path, BOUGHT.format(50))
    real = writing.write_files

    def meanwhile(*args: object, **more: object) -> object:
        path.write_text(path.read_text(encoding="utf-8") + BOUGHT.format(7), encoding="utf-8")
        return real(*args, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(writing, "write_files", meanwhile)
    row = {"day": "2027-03-01", "what": "bought", "species": "oats", "lot": "QF-2214", "weight": "1 lb"}
    with pytest.raises(InputError) as caught:
        writing.append(path, [row])
    assert caught.value.problems[0].code == "stock-changed"
    assert path.read_text(encoding="utf-8") == HEADER + BOUGHT.format(50) + BOUGHT.format(7)


def test_a_job_draws_its_lots_in_sequence_and_gives_back(
    farm: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The planned lot first, then one opened before, at the same live seed; what is missing in whole bags; drawn once."""
    need = _need_lb(farm, capsys)
    other = "2027-02-02,bought,oats,QF-9,20 lb,96 %,80 %,\n"
    path = str(_stock(tmp_path, BOUGHT.format(need / 2), other))
    assert exit_code(["stock", "need", path, *farm, "--json"]) == 0
    oats = next(one for one in json.loads(capsys.readouterr().out)["lots"] if one["species"] == "oats")
    over = 0.985 * 0.92 / (0.96 * 0.80)
    first, second, bought = oats["turns"]
    assert [turn["lot"] for turn in oats["turns"]] == ["QF-2214", "QF-9", "QF-2214"]
    assert second["change_frac"] == pytest.approx(over - 1)
    assert bought["bulk_kg"] / 0.45359237 == pytest.approx(need / 2 - 20 / over)
    assert bought["bags"] == -(-(need / 2 - 20 / over) // 50)
    live = sum(turn["bulk_kg"] / (1 + turn["change_frac"]) for turn in oats["turns"])
    assert live / 0.45359237 == pytest.approx(need)
    assert exit_code(["stock", "draw", path, *farm, "--as", "farm 2027"]) == 0
    page = unwrapped(capsys.readouterr().out)
    assert "oats: QF-2214 at 60.0 lb/ac bulk, then QF-9 at" in page
    assert f"({(over - 1) * 100:.1f} % more than planned), then seed to be bought" in page
    assert exit_code(["stock", "draw", path, *farm, "--as", "farm 2027"]) == 2
    assert "drawn" in capsys.readouterr().err
    back = ["species=oats", "lot=QF-2214", "weight=3 lb", "job=farm 2027", "day=2027-05-01"]
    assert exit_code(["stock", "record", path, "returned", *back]) == 0
    left = {lot.lot: lot.left_kg / 0.45359237 for lot in read_stock(Path(path)).lots}
    assert left == pytest.approx({"QF-2214": 3, "QF-9": 0}, abs=1e-3)
    assert first["in_stock"]
    assert not bought["in_stock"]


def test_python_draws_as_the_command_does(farm: list[str], tmp_path: Path) -> None:
    """`Stock.needed`, `Stock.draw` and `Stock.record`."""
    path = _stock(tmp_path, BOUGHT.format(5000))
    plan = fieldplan.plan(farm[0], farm[2], today=TODAY)
    stock = fieldplan.read_stock(path)
    needed = stock.needed(plan)
    drawn = stock.draw(plan, "farm 2027", TODAY)
    kg = next(one["turns"][0]["bulk_kg"] for one in needed["lots"] if one["species"] == "oats")
    assert drawn.model.lots[0].drawn_kg == pytest.approx(kg, abs=1e-4)
    assert drawn.record(
        "returned", day="2027-05-01", species="oats", lot="QF-2214", weight="1 kg", job="farm 2027"
    )
    assert read_stock(path).lots[0].returned_kg == pytest.approx(1.0)


def test_progress_says_what_to_go_on_with(
    farm: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A worse tag and a lot that falls short: the new rate, its difference, the lot to follow and what to buy."""
    need = _need_lb(farm, capsys)
    path = str(_stock(tmp_path, "2027-02-02,bought,oats,QF-9,20 lb,96 %,80 %,\n"))
    done = [
        "progress",
        *farm,
        "--metered",
        "1 ac",
        "--worked",
        "1 h",
        "--left",
        f"oats={need * 0.2:.1f} lb",
    ]
    assert exit_code([*done, "--stock", path, "--tag", "QF-2214=germination 70 %"]) == 0
    told = unwrapped(capsys.readouterr().out)
    rate = 60 * 0.92 / 0.70
    assert f"oats: QF-2214 at {rate:.1f} lb/ac bulk (31.4 % more than planned), then QF-9 at" in told
    assert "then seed to be bought" in told
    assert exit_code([*done, "--stock", path, "--tag", "QF-2214=germination 70 %", "--json"]) == 0
    (one,) = json.loads(capsys.readouterr().out)["sequences"]
    assert one["turns"][0]["change_frac"] == pytest.approx(0.92 / 0.70 - 1)
    assert one["buy_kg"] > 0
    for tag, said in (
        ("QF-9=germination 70 %", "no lot"),
        ("QF-2214=good seed", "no tag"),
        ("QF-2214=purity 700 %", ""),
    ):
        assert exit_code([*done, "--tag", tag]) == 2
        assert said in unwrapped(capsys.readouterr().err)
    assert exit_code(done) == 0
    assert "oats: QF-2214 at 60.0 lb/ac bulk, then seed to be bought" in unwrapped(capsys.readouterr().out)


def test_a_retest_in_the_stock_changes_the_rate_of_the_rest(
    farm: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same as with --tag, from a row ``tested``."""
    need = _need_lb(farm, capsys)
    retested = "2027-04-10,tested,oats,QF-2214,,,70 %,2027-04-08\n"
    path = str(_stock(tmp_path, BOUGHT.format(5), retested))
    done = [
        "progress",
        *farm,
        "--metered",
        "1 ac",
        "--worked",
        "1 h",
        "--left",
        f"oats={need:.1f} lb",
        "--stock",
        path,
    ]
    assert exit_code(done) == 0
    assert "31.4 % more than planned" in unwrapped(capsys.readouterr().out)
