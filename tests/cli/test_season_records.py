"""Records of a season: what is written down, what is refused, and the papers that are sums of it."""

from __future__ import annotations

import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from conftest import ROOT, SAMPLES, unwrapped
from pypdf import PdfReader

from fieldplan.cli.main import exit_code

SEASON = str(SAMPLES / "season.toml")
OUT = 'out request=R05 drill="ten foot" day=2027-04-24 meter="100.0 ac"'
IN = 'in request=R05 day=2027-04-27 meter="108.5 ac"'
SOWN = 'sown request=R05 field=R05 day=2027-04-26 acres="8.5 ac"'
SEED = 'seed request=R05 field=R05 day=2027-04-26 species=oats lot=A1 weight="400 lb" purity="98 %" germination="90 %"'


def _words(line: str) -> list[str]:
    import shlex

    return shlex.split(line)


def _record(ledger: Path, *lines: str) -> int:
    """The exit code of the last line; those before it must be taken."""
    for line in lines[:-1]:
        assert exit_code(["season", "record", SEASON, *_words(line), "--ledger", str(ledger)]) == 0
    return exit_code(["season", "record", SEASON, *_words(lines[-1]), "--ledger", str(ledger)])


def _json(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict:  # type: ignore[type-arg]
    capsys.readouterr()
    assert exit_code(["season", *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)  # type: ignore[no-any-return]


CONTRADICTIONS = [
    ([OUT.replace("R05", "R99")], "request-unknown", "no request is called"),
    ([OUT.replace("ten foot", "twelve foot")], "drill-unknown", "no drill is called"),
    ([OUT.replace("2027-04-24", "2027-02-24")], "day-outside", "is outside the season"),
    ([OUT, OUT.replace("R05", "R08")], "drill-out", "has been out with R05 since 2027-04-24 (row 1)"),
    ([IN], "in-without-out", "no drill is out with R05"),
    ([OUT, IN.replace("2027-04-27", "2027-04-20")], "in-without-out", "no drill is out with R05"),
    ([OUT, IN, IN.replace("108.5", "109.0")], "in-without-out", "no drill is out with R05 on 2027-04-27"),
    ([OUT, IN.replace("108.5", "99.9")], "meter-backwards", "would run backwards, from 100.00 ac"),
    (
        [OUT, IN, OUT.replace("R05", "R08").replace("04-24", "04-28").replace("100.0", "108.4")],
        "meter-backwards",
        "(row 2)",
    ),
    ([SOWN], "sown-without-drill", "no drill was with R05"),
    ([OUT, IN, SOWN.replace("04-26", "04-28")], "sown-without-drill", "no drill was with R05"),
    (
        [OUT, IN, SOWN.replace("8.5", "8.8")],
        "sown-over-meter",
        "add up to 8.80 ac (3.56 ha), but the meter counted 8.50 ac",
    ),
    (
        [OUT, SEED, SEED.replace("98 %", "97 %")],
        "lot-differs",
        "has purity 97 % here and 98 % elsewhere (row 2)",
    ),
    ([OUT, SEED, SEED.replace("oats", "rye")], "lot-differs", "has species rye here"),
    ([SEED + ' dormant="11 %"'], "tag-over", "more than 100 %"),
    ([OUT, SOWN, 'rain drill="ten foot" day=2027-04-26'], "rain-and-sown", "lost that day"),
    (
        [OUT, "refused request=R05 day=2027-04-25 why=late"],
        "refused-and-served",
        "went out on 2027-04-24 and was turned away on 2027-04-25 (row 1)",
    ),
    (["paid request=R05 day=2027-05-10 sum=$120"] * 2, "entry-twice", "repeats row 1"),
    (
        ["deposit request=R05 day=2027-04-20 sum=$100", "deposit request=R05 day=2027-05-20 sum=-$200"],
        "deposit-below",
        "more of R05's deposit",
    ),
    (["paid request=R05 day=2027-05-10 sum=€120"], "other-currency", "sum is in €, the rate card in $"),
    ([OUT, IN + ' bill="cleaned=perhaps"'], "bill-unknown", 'knows no cleaned "perhaps"'),
    ([OUT, IN + ' bill="weather=fine"'], "bill-unknown", "does not ask for weather"),
    (['rain drill="ten foot" day=2027-04-25'], "rain-no-work", "does not work on 2027-04-25"),
    (["remark request=R05 day=2099-01-01 text=x"], "day-outside", "is outside the season"),
    ([OUT, SOWN, SEED + " tested=2027-05-01"], "tested-after", "after it was sown"),
    (
        [OUT, OUT.replace("ten foot", "prairie"), IN],
        "in-which",
        "R05 has more than one drill: ten foot and prairie",
    ),
    (
        [
            OUT.replace("R05", "R08").replace("04-24", "04-26"),
            IN.replace("R05", "R08"),
            OUT.replace("100.0", "99.0"),
        ],
        "drill-out",
        "row 1 of the ledger could then not be true: ten foot has been out with R05 since 2027-04-24 (this out)",
    ),
    ([OUT, IN + " corrects=7"], "corrects-nothing", "corrects row 7"),
    ([OUT, IN + " corrects=1"], "corrects-another", 'is "in" and corrects row 1, which is "out"'),
    ([OUT, "strike day=2027-04-25 why=slip corrects=1", IN], "in-without-out", "no drill is out"),
    (
        [
            OUT.replace("R05", "R03").replace("ten foot", "prairie"),
            SOWN.replace("R05", "R03").replace("field=R03", "field=RP-9"),
        ],
        "field-unknown",
        "one of: RP-1",
    ),
]


@pytest.mark.parametrize(
    ("lines", "code", "sentence"),
    CONTRADICTIONS,
    ids=[f"{code}-{n}" for n, (_, code, _) in enumerate(CONTRADICTIONS)],
)
def test_what_cannot_be_true_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], lines: list[str], code: str, sentence: str
) -> None:
    """Entries before it are taken; the one that contradicts them is named, with the row it contradicts, and
    is not written.
    """
    del code
    ledger = tmp_path / "spring.ledger"
    assert _record(ledger, *lines) == 3
    shown = capsys.readouterr().err
    assert sentence in shown or sentence in " ".join(shown.split())
    if len(lines) > 1:
        assert len(_json(capsys, "ledger", SEASON, "--ledger", str(ledger))["entries"]) == len(lines) - 1
    else:
        assert not ledger.exists()


TYPED = [
    ("off request=R05 day=2027-04-24", 'no kind of entry "off"'),
    ("out request=R05 day=2027-04-24 meter=100", 'out meter "100" has no unit'),
    ('out request=R05 drill="ten foot" meter="1 ac"', "out has no day"),
    ('out request=R05 drill="ten foot" day=24/4/2027 meter="1 ac"', "not a date in the form YYYY-MM-DD"),
    (OUT + " color=red", 'out has no fact "color"'),
    ("paid request=R05 day=2027-05-01 sum=twelve", "not a sum of money"),
    (SEED.replace("98 %", "198 %"), 'seed purity is "198 %"'),
    (SEED.replace("400 lb", "-4 lb"), 'seed weight is "-4 lb"'),
    ("strike day=2027-05-01 why=slip", "does not name a row"),
]


@pytest.mark.parametrize(("line", "sentence"), TYPED, ids=[sentence for _, sentence in TYPED])
def test_what_cannot_be_read_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], line: str, sentence: str
) -> None:
    """By kind and fact, with what would be right; no ledger is begun for it."""
    ledger = tmp_path / "spring.ledger"
    assert _record(ledger, line) == 3
    shown = capsys.readouterr().err
    assert sentence in shown
    assert "Try: " in shown
    assert not ledger.exists()


def test_a_list_is_taken_whole_or_not_at_all(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every bad row is named, and none is written."""
    rows = "kind,request,drill,day,meter\nout,R05,ten foot,2027-04-24,100 ac\nin,R05,,2027-04-27,90 ac\nout,R77,ten foot,2027-04-28,120 ac\n"
    (tmp_path / "entries.csv").write_text(rows, encoding="utf-8")
    ledger = tmp_path / "spring.ledger"
    arguments = [
        "season",
        "record",
        SEASON,
        "--from",
        str(tmp_path / "entries.csv"),
        "--ledger",
        str(ledger),
    ]
    assert exit_code(arguments) == 3
    shown = capsys.readouterr().err
    assert "row 3: the meter of ten foot would run backwards" in shown
    assert 'row 4: no request is called "R77"' in shown
    assert not ledger.exists()
    (tmp_path / "entries.csv").write_text(
        rows.replace("90 ac", "108 ac").replace("R77", "R08"), encoding="utf-8"
    )
    assert exit_code(arguments) == 0
    assert "rows 1 to 3" in capsys.readouterr().out


def test_a_correction_is_a_new_row(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The row as it was stays and says what put it right; the bill goes by the new one."""
    ledger = tmp_path / "spring.ledger"
    assert _record(ledger, OUT, IN.replace("108.5", "180.5"), IN + " corrects=2") == 0
    entries = _json(capsys, "ledger", SEASON, "--ledger", str(ledger))["entries"]
    assert [entry["facts"].get("meter") for entry in entries] == ["100.0 ac", "180.5 ac", "108.5 ac"]
    assert exit_code(["season", "ledger", SEASON, "--ledger", str(ledger)]) == 0
    assert "row 3 corrects this" in capsys.readouterr().out
    bill = _json(capsys, "invoice", SEASON, "R05", "--ledger", str(ledger), "--day", "2027-05-01")
    assert bill["acres"]["drilled_m2"] == pytest.approx(8.5 * 4046.8564224)
    assert _record(ledger, IN + " corrects=2") == 3  # row 2 holds no more


def test_three_acreages_stay_apart(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """8 acres asked for, 8.5 metered; out of the area at least 10 are billed, by $15: the rate card's own
    least.
    """
    ledger = tmp_path / "spring.ledger"
    assert _record(ledger, OUT + ' bill="area=outside"', IN) == 0
    bill = _json(capsys, "invoice", SEASON, "R05", "--ledger", str(ledger), "--day", "2027-05-01")
    acres = {name: value / 4046.8564224 for name, value in bill["acres"].items()}
    assert acres["mapped_m2"] == pytest.approx(8, abs=0.01)
    assert acres["drilled_m2"] == pytest.approx(8.5)
    assert acres["billed_m2"] == pytest.approx(10)
    assert bill["total"] == "170.00"  # 10 ac × $15 + 1 day over 3 × $20
    assert bill["if_prompt"] == "165.75"  # less 8.5 ac × $0.50


@pytest.mark.parametrize(
    ("paid", "day", "owed"),
    [
        (
            "",
            "2027-05-10",
            "140.00",
        ),  # $120 at least and a day over: nothing counts as prompt until it is paid
        (
            "2027-05-10 sum=$135.75",
            "2027-07-30",
            "0.00",
        ),  # paid in 13 days, less 8.5 × $0.50: settled for good
        ("2027-05-10 sum=$100", "2027-05-20", "40.00"),  # a part is not all
        ("2027-06-10 sum=$154", "2027-07-30", "0.00"),  # 44 days: 10 % once
        ("", "2027-07-30", "182.00"),  # 94 days: 10 % for each of 3 × 30 days over
    ],
)
def test_payment_settles_the_bill(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], paid: str, day: str, owed: str
) -> None:
    """Prompt and late payment by the sample card, from the day the drill came back."""
    ledger = tmp_path / "spring.ledger"
    assert _record(ledger, OUT, IN, *([f"paid request=R05 day={paid}"] if paid else [])) == 0
    assert _json(capsys, "invoice", SEASON, "R05", "--ledger", str(ledger), "--day", day)["owed"] == owed


def test_a_bill_needs_the_drill_back(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """While it is out nothing can be billed, and the message says what to enter."""
    ledger = tmp_path / "spring.ledger"
    assert _record(ledger, OUT) == 0
    assert (
        exit_code(["season", "invoice", SEASON, "R05", "--ledger", str(ledger), "--day", "2027-05-01"]) == 4
    )
    assert "still out with Turnip Lane" in capsys.readouterr().err


def test_a_packet_is_complete_or_says_what_is_missing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """PLS by hand: 400 lb × 0.98 × 0.90 = 352.8 lb. Then everything that was left out, one by one."""
    ledger = tmp_path / "spring.ledger"
    more = " box=grain tested=2027-01-12 origin=here tag=kept receipt=5"
    assert _record(ledger, OUT, SOWN + ' depth="1 in" settings=42', SEED + more, IN) == 0
    packet = _json(capsys, "packet", SEASON, "R05", "--ledger", str(ledger))
    assert packet["complete"]
    assert packet["fields"][0]["seed"][0]["pls_kg"] / 0.45359237 == pytest.approx(352.8)
    assert packet["cautions"] == []
    assert _record(ledger, SEED + " corrects=3", SOWN + " corrects=2") == 0
    packet = _json(capsys, "packet", SEASON, "R05", "--ledger", str(ledger))
    missing = packet["fields"][0]["missing"]
    assert not packet["complete"]
    assert [one.partition(" (lot")[0] for one in missing] == [
        "seeding depth",
        "drill settings",
        "which box",
        "seed tag kept",
        "date of the seed test",
        "origin of the seed",
        "seed receipt",
    ]


def test_a_packet_says_that_seed_was_treated(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Beside the lot and among what is to be minded: the box, and that label and local rules say what to do."""
    ledger = tmp_path / "spring.ledger"
    more = " box=grain tested=2027-01-12 origin=here tag=kept receipt=5 treated=yes"
    assert _record(ledger, OUT, SOWN + ' depth="1 in" settings=42', SEED + more, IN) == 0
    packet = _json(capsys, "packet", SEASON, "R05", "--ledger", str(ledger))
    assert packet["fields"][0]["seed"][0]["treated"] is True
    (caution,) = packet["cautions"]
    assert caution.startswith("TREATED SEED: ")
    assert "in the grain box" in caution
    assert "on the label and in local rules" in caution
    assert exit_code(["season", "packet", SEASON, "R05", "--ledger", str(ledger)]) == 0
    assert ", TREATED" in capsys.readouterr().out


def test_a_packet_warns_of_old_tests_and_days_outside(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sown seven months after the test, and three days after the request's last day."""
    ledger = tmp_path / "spring.ledger"
    line = SOWN.replace("04-26", "05-19")
    assert (
        _record(
            ledger,
            OUT.replace("04-24", "05-18"),
            line,
            SEED + " tested=2026-10-12",
            IN.replace("04-27", "05-20"),
        )
        == 0
    )
    cautions = _json(capsys, "packet", SEASON, "R05", "--ledger", str(ledger))["cautions"]
    assert "more than 6 months before it was sown" in cautions[0]
    assert "outside the days of the request, 21 Apr 2027 to 16 May 2027" in cautions[1]


def test_the_sample_season_comes_to_a_board_report(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """From the list of entries to report, invoices and packets; the report on paper says the same sums."""
    ledger = str(tmp_path / "spring.ledger")
    assert (
        exit_code(["season", "record", SEASON, "--from", str(SAMPLES / "records.csv"), "--ledger", ledger])
        == 0
    )
    board = _json(
        capsys,
        "board",
        SEASON,
        "--ledger",
        ledger,
        "--by",
        "practice",
        "--by",
        "county",
        "--day",
        "2027-06-30",
        "--out",
        str(tmp_path),
    )
    for lines in board["groups"].values():
        for key in ("mapped_m2", "drilled_m2", "billed_m2"):
            assert sum(line[key] for line in lines) == pytest.approx(board["total"][key])
    charged = sum(
        round(
            float(_json(capsys, "invoice", SEASON, one, "--ledger", ledger, "--day", "2027-06-30")["total"])
            * 100
        )
        for one in (
            "R14",
            "R05",
            "R13",
            "R08",
            "R15",
            "R10",
            "R02",
            "R11",
            "R09",
            "R04",
            "R07",
            "R03",
            "R16",
        )
    )
    assert charged == round(float(board["charged"]) * 100)
    text = " ".join(
        " ".join(page.extract_text() for page in PdfReader(tmp_path / "board.pdf").pages).split()
    )
    assert f"{float(board['charged']):,.2f}" in text
    assert "Turned away" in text


def test_another_hand_in_the_file_is_noticed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The file refuses updates; where another program takes that guard away and changes a row, reading
    stops at it.
    """
    ledger = tmp_path / "spring.ledger"
    assert _record(ledger, OUT, IN) == 0
    with (
        sqlite3.connect(ledger) as connection,
        pytest.raises(sqlite3.IntegrityError, match="nothing in a ledger is rewritten"),
    ):
        connection.execute("UPDATE entry SET kind = 'rain' WHERE number = 2")
    connection.close()
    with sqlite3.connect(ledger) as connection:
        connection.execute("DROP TRIGGER entry_update")
        connection.execute("""UPDATE entry SET facts = replace(facts, '108.5', '108.4') WHERE number = 2""")
    connection.close()
    assert exit_code(["season", "ledger", SEASON, "--ledger", str(ledger)]) == 3
    assert "row 2 is not as it was written" in capsys.readouterr().err


@pytest.mark.parametrize(
    "content", [b"", b"not a database at all, only text\n" * 50, b"SQLite format 3\x00" + b"\xff" * 4000]
)
def test_other_files_are_no_ledgers(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes
) -> None:
    """They are refused and left as they are."""
    path = tmp_path / "notes.txt"
    path.write_bytes(content)
    assert exit_code(["season", "ledger", SEASON, "--ledger", str(path)]) == 3
    assert _record(path, OUT) == 3
    assert "Traceback" not in capsys.readouterr().err
    assert path.read_bytes() == content


def test_nothing_confirmed_is_lost_when_the_program_is_killed(tmp_path: Path) -> None:
    """Many programs write repairs, each killed at some moment: every row that was confirmed is there, in
    order, unbroken.
    """
    ledger = tmp_path / "spring.ledger"
    writer = (
        "import sys; from fieldplan.cli.main import exit_code\n"
        "for n in range(10_000):\n"
        f"    assert exit_code(['season', 'record', {SEASON!r}, 'repair', 'drill=ten foot', 'day=2027-05-01', f'cost=${{n + 1}}', "
        f"'what=' + sys.argv[1], '--ledger', {str(ledger)!r}]) == 0; sys.stdout.flush()\n"
    )
    confirmed = 0
    for round_ in range(4):
        with subprocess.Popen(
            [sys.executable, "-c", writer, f"round {round_}"],
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
            env=os.environ,
        ) as program:
            assert program.stdout is not None
            for _ in range(3 + round_):
                last = program.stdout.readline()
            time.sleep(0.003 * round_)
            program.send_signal(signal.SIGKILL)
            for line in program.stdout:
                last = line if line.endswith("\n") else last
        confirmed = int(last.rpartition("row ")[2].rstrip(".\n"))
        shown = subprocess.run(
            [
                sys.executable,
                "-m",
                "fieldplan",
                "season",
                "ledger",
                SEASON,
                "--ledger",
                str(ledger),
                "--json",
            ],
            capture_output=True,
            check=True,
        )
        numbers = [load["number"] for load in json.loads(shown.stdout)["entries"]]
        assert numbers == list(range(1, len(numbers) + 1))
        assert len(numbers) >= confirmed


def test_two_clerks_may_write_at_once(tmp_path: Path) -> None:
    """Their rows follow each other; none is lost."""
    ledger = tmp_path / "spring.ledger"
    writer = (
        "import sys; from fieldplan.cli.main import exit_code\n"
        "for n in range(8):\n"
        f"    assert exit_code(['season', 'record', {SEASON!r}, 'repair', 'drill=ten foot', 'day=2027-05-01', f'cost=${{n + 1}}', "
        f"'what=' + sys.argv[1], '--ledger', {str(ledger)!r}]) == 0\n"
    )
    programs = [
        subprocess.Popen([sys.executable, "-c", writer, name], stdout=subprocess.DEVNULL, cwd=ROOT)
        for name in ("one", "two")
    ]
    assert [program.wait() for program in programs] == [0, 0]
    shown = subprocess.run(
        [sys.executable, "-m", "fieldplan", "season", "ledger", SEASON, "--ledger", str(ledger), "--json"],
        capture_output=True,
        check=True,
    )
    assert len(json.loads(shown.stdout)["entries"]) == 16


def test_a_day_between_two_loans_belongs_to_one(tmp_path: Path) -> None:
    """Brought back and fetched again on one day: what was sown counts for the rental it was written down
    in.
    """
    again = OUT.replace("04-24", "04-27").replace("100.0", "108.5")
    lines = [
        OUT,
        SOWN.replace("04-26", "04-27"),
        IN,
        again,
        SOWN.replace("04-26", "04-27").replace("8.5", "3.0"),
    ]
    assert (
        _record(tmp_path / "spring.ledger", *lines, 'in request=R05 day=2027-04-29 meter="111.5 ac"') == 0
    )


def test_a_list_that_is_wrong_all_over_shows_some(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Forty problems, and how many more."""
    (tmp_path / "entries.csv").write_text(
        "kind,drill,day\n" + "rain,nobody,2027-05-01\n" * 100, encoding="utf-8"
    )
    assert (
        exit_code(
            [
                "season",
                "record",
                SEASON,
                "--from",
                str(tmp_path / "entries.csv"),
                "--ledger",
                str(tmp_path / "a"),
            ]
        )
        == 3
    )
    shown = capsys.readouterr().err
    assert shown.count("Error: ") == 41
    assert "more like these" in shown


def test_a_deposit_is_held_and_no_income(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Taken and partly given back: the invoice says what is held, and what is owed stays."""
    ledger = tmp_path / "spring.ledger"
    lines = [
        "deposit request=R05 day=2027-04-20 sum=$100",
        OUT,
        IN,
        "deposit request=R05 day=2027-04-28 sum=-$40",
    ]
    assert _record(ledger, *lines) == 0
    bill = _json(capsys, "invoice", SEASON, "R05", "--ledger", str(ledger), "--day", "2027-05-01")
    assert (bill["deposit_held"], bill["owed"]) == ("60", "140.00")
    board = _json(capsys, "board", SEASON, "--ledger", str(ledger), "--day", "2027-05-01")
    assert (board["deposits"], board["paid"]) == ("60", "0")


def test_two_drills_at_once_come_back_each_by_itself(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """8.5 acres with one, 3 with the other, in any order of return; days on which both were out count
    once.
    """
    ledger = tmp_path / "spring.ledger"
    other = OUT.replace("ten foot", "prairie").replace("100.0", "500.0").replace("04-24", "04-25")
    back = 'in request=R05 drill="prairie" day=2027-04-26 meter="503.0 ac"'
    assert _record(ledger, OUT, other, back, IN) == 0
    bill = _json(capsys, "invoice", SEASON, "R05", "--ledger", str(ledger), "--day", "2027-05-01")
    assert bill["acres"]["drilled_m2"] / 4046.8564224 == pytest.approx(11.5)
    assert not any(
        one["name"] == "extra days" and not one["how"].startswith("1 day") for one in bill["lines"]
    )  # 4 days, 3 of them free
    board = _json(capsys, "board", SEASON, "--ledger", str(ledger), "--day", "2027-05-01")
    assert [round(one["drilled_m2"] / 4046.8564224, 1) for one in board["drills"]] == [8.5, 3.0]


@pytest.mark.parametrize(
    ("paid", "day", "owed"),
    [
        (
            ["2027-05-10 sum=$135.75", "2027-05-20 sum=-$135.75 note=bounced"],
            "2027-06-20",
            "154.00",
        ),  # no discount left, and late
        (
            ["2027-05-28 sum=$139.50"],
            "2027-07-30",
            "14.60",
        ),  # $14 for the first 30 days, then twice 5 cents on 50 cents
        (["2027-05-10 sum=$135.75"], "2027-05-09", "140.00"),  # what was not paid yet on that day
    ],
)
def test_what_was_unpaid_counts_and_no_more(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], paid: list[str], day: str, owed: str
) -> None:
    """Late payment by the sample card: 10 % of what was unpaid after each 30 days."""
    ledger = tmp_path / "spring.ledger"
    assert _record(ledger, OUT, IN, *(f"paid request=R05 day={one}" for one in paid)) == 0
    found = _json(capsys, "invoice", SEASON, "R05", "--ledger", str(ledger), "--day", day)
    assert found["owed"] == owed


def test_a_report_leaves_out_what_came_later(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """On the day before the return nothing is metered and nothing is charged."""
    ledger = tmp_path / "spring.ledger"
    assert _record(ledger, OUT, IN, "paid request=R05 day=2027-05-10 sum=$20") == 0
    board = _json(capsys, "board", SEASON, "--ledger", str(ledger), "--day", "2027-04-26")
    assert (board["total"]["drilled_m2"], board["charged"], board["paid"], board["loans"]) == (
        0,
        "0",
        "0",
        1,
    )


def test_who_was_turned_away_may_be_served_after_all(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The entry stays; the board counts a rental and nobody turned away."""
    ledger = tmp_path / "spring.ledger"
    assert _record(ledger, "refused request=R05 day=2027-04-20 why=full", OUT, IN) == 0
    board = _json(capsys, "board", SEASON, "--ledger", str(ledger), "--day", "2027-05-01")
    assert (board["loans"], board["turned_away"]) == (1, [])


def test_a_list_of_requests_that_lost_a_row_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The board says that entries are in none of its sums; a drill that was renamed keeps its rentals."""
    shutil.copytree(SAMPLES, tmp_path / "s")
    season, ledger = tmp_path / "s" / "season.toml", str(tmp_path / "spring.ledger")
    for line in (OUT, IN):
        assert exit_code(["season", "record", str(season), *_words(line), "--ledger", ledger]) == 0
    season.write_text(season.read_text().replace('"ten foot"', '"green one"'), encoding="utf-8")
    board = _json(capsys, "board", str(season), "--ledger", ledger, "--day", "2027-05-01")
    assert sum(one["drilled_m2"] for one in board["drills"]) == board["total"]["drilled_m2"] > 0
    requests = tmp_path / "s" / "requests.csv"
    requests.write_text(
        "".join(row for row in requests.read_text().splitlines(keepends=True) if not row.startswith("R05")),
        encoding="utf-8",
    )
    assert exit_code(["season", "board", str(season), "--ledger", ledger, "--day", "2027-05-01"]) == 0
    assert "Entries name R05, not in the list of requests" in unwrapped(capsys.readouterr().out)


def test_the_ledger_as_csv_can_be_entered_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Into a new ledger, which then says the same."""
    minus = ["paid request=R05 day=2027-05-01 sum=-$20", "remark request=R05 day=2027-05-01 text==SUM(1)"]
    assert _record(tmp_path / "a", OUT, IN.replace("108.5", "180.5"), IN + " corrects=2", SOWN, *minus) == 0
    capsys.readouterr()
    assert exit_code(["season", "ledger", SEASON, "--ledger", str(tmp_path / "a"), "--csv"]) == 0
    (tmp_path / "again.csv").write_text(capsys.readouterr().out, encoding="utf-8")
    assert (
        exit_code(
            [
                "season",
                "record",
                SEASON,
                "--from",
                str(tmp_path / "again.csv"),
                "--ledger",
                str(tmp_path / "b"),
            ]
        )
        == 0
    )
    a, b = (
        _json(capsys, "ledger", SEASON, "--ledger", str(tmp_path / name))["entries"] for name in ("a", "b")
    )
    assert [(one["kind"], one["facts"], one["corrects"]) for one in a] == [
        (one["kind"], one["facts"], one["corrects"]) for one in b
    ]


def test_lists_are_read_as_spreadsheets_save_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Semicolons, a byte mark, capitals in the headings, empty rows, quotes doubled within quotes and a
    separator within them.
    """
    text = '\ufeffKind;Request;DAY;Text\n;;;\nremark;R05;2027-05-01;"a ""good"" stand; all of it"\n'
    (tmp_path / "list.csv").write_text(text, encoding="utf-8")
    assert (
        exit_code(
            [
                "season",
                "record",
                SEASON,
                "--from",
                str(tmp_path / "list.csv"),
                "--ledger",
                str(tmp_path / "a"),
            ]
        )
        == 0
    )
    (entry,) = _json(capsys, "ledger", SEASON, "--ledger", str(tmp_path / "a"))["entries"]
    assert entry["facts"]["text"] == 'a "good" stand; all of it'


def test_a_correction_keeps_its_place(tmp_path: Path) -> None:
    """Two rentals of one renter on one day; putting the first meter right later leaves the field with the
    first rental.
    """
    ledger = tmp_path / "spring.ledger"
    day = "day=2027-04-24"
    lines = [
        OUT,
        f'sown request=R05 field=a {day} acres="9 ac"',
        f'in request=R05 {day} meter="109 ac"',
        f'out request=R05 drill="ten foot" {day} meter="109 ac"',
        f'in request=R05 {day} meter="110 ac"',
        OUT.replace("100.0", "100.1") + " corrects=1",
    ]
    assert _record(ledger, *lines) == 0


def test_what_stood_in_the_ledger_is_no_excuse(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An entry on a request that was taken off the list stays; another one on it is refused."""
    shutil.copytree(SAMPLES, tmp_path / "s")
    season, ledger = tmp_path / "s" / "season.toml", str(tmp_path / "spring.ledger")
    assert (
        exit_code(
            [
                "season",
                "record",
                str(season),
                *_words("paid request=R05 day=2027-05-01 sum=$5"),
                "--ledger",
                ledger,
            ]
        )
        == 0
    )
    requests = tmp_path / "s" / "requests.csv"
    requests.write_text(
        "".join(row for row in requests.read_text().splitlines(keepends=True) if not row.startswith("R05")),
        encoding="utf-8",
    )
    assert (
        exit_code(
            [
                "season",
                "record",
                str(season),
                *_words("rain drill=prairie day=2027-05-03"),
                "--ledger",
                ledger,
            ]
        )
        == 0
    )
    assert (
        exit_code(
            [
                "season",
                "record",
                str(season),
                *_words("paid request=R05 day=2027-05-02 sum=$5"),
                "--ledger",
                ledger,
            ]
        )
        == 3
    )
    assert 'no request is called "R05"' in capsys.readouterr().err


def test_slips_are_pointed_out_and_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A digit too many at the meter, a field sown far over the map, seed by the ton; nothing is said of
    plain entries.
    """
    ledger = tmp_path / "spring.ledger"
    assert _record(ledger, OUT, SOWN, SEED) == 0
    assert "on the map" not in capsys.readouterr().err
    assert _record(ledger, SEED.replace("A1", "A2").replace("400 lb", "40000 lb")) == 0
    assert "40000 lb of oats went into 8.00 ac" in capsys.readouterr().err
    assert _record(ledger, SOWN.replace("8.5 ac", "18 ac").replace("04-26", "04-25")) == 0
    assert (
        "18.00 ac (7.28 ha) were sown, but R05 has 8.00 ac (3.24 ha) on the map" in capsys.readouterr().err
    )
    assert _record(ledger, IN.replace("108.5", "1085")) == 0
    assert (
        "the meter counted 985.00 ac (398.62 ha), but R05 has 8.00 ac (3.24 ha) on the map"
        in capsys.readouterr().err
    )


def test_an_entry_is_written_or_refused_and_nothing_between(tmp_path: Path) -> None:
    """Where a boundary file is gone, what needs the map is refused, and what does not is written."""
    shutil.copytree(SAMPLES, tmp_path / "s")
    (tmp_path / "s" / "restoration.zip").unlink()
    season, ledger = str(tmp_path / "s" / "season.toml"), str(tmp_path / "spring.ledger")
    paid = [
        "season",
        "record",
        season,
        *_words("paid request=R03 day=2027-05-01 sum=$5"),
        "--ledger",
        ledger,
    ]
    assert exit_code(paid) == 0
    assert (
        exit_code(
            [
                "season",
                "record",
                season,
                *_words(OUT.replace("R05", "R03").replace("ten foot", "prairie")),
                "--ledger",
                ledger,
            ]
        )
        == 0
    )
    back = [
        "season",
        "record",
        season,
        *_words('in request=R03 day=2027-04-27 meter="108.5 ac"'),
        "--ledger",
        ledger,
    ]
    assert exit_code(back) == 3
    shutil.copy(SAMPLES / "restoration.zip", tmp_path / "s")
    assert exit_code(back) == 0


def test_a_confirmation_after_a_refusal_holds(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The last answer counts: turned away, then confirmed, it stays where it was confirmed, and nobody is
    turned away.
    """
    ledger = tmp_path / "spring.ledger"
    assert (
        _record(
            ledger,
            "refused request=R05 day=2027-04-01 why=full",
            'confirm request=R05 day=2027-04-05 drill="ten foot" first=2027-05-03',
        )
        == 0
    )
    found = _json(capsys, "plan", SEASON, "--ledger", str(ledger))
    (booked,) = [one for one in found["bookings"] if one["request"] == "R05"]
    assert (booked["days"][0], booked["confirmed"]) == ("2027-05-03", True)
    assert (
        _json(capsys, "board", SEASON, "--ledger", str(ledger), "--day", "2027-05-01")["turned_away"] == []
    )


@pytest.mark.parametrize("day", ["9999-12-31", "1999-01-01", "20270501", "tomorrow"])
def test_a_day_that_cannot_be_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], day: str
) -> None:
    """By the option; a date without dashes is taken by no entry either."""
    ledger = tmp_path / "spring.ledger"
    assert _record(ledger, OUT, IN) == 0
    code = exit_code(["season", "invoice", SEASON, "R05", "--ledger", str(ledger), "--day", day])
    assert code == (0 if day == "20270501" else 2)
    assert _record(ledger, f"remark request=R05 day={day} text=x") == 3
    assert "Traceback" not in capsys.readouterr().err


def test_a_payment_may_come_years_later(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And the line for late payment counts its periods instead of listing them."""
    ledger = tmp_path / "spring.ledger"
    assert _record(ledger, OUT, IN, "paid request=R05 day=2029-06-25 sum=$100") == 0
    found = _json(capsys, "invoice", SEASON, "R05", "--ledger", str(ledger), "--day", "2029-06-26")
    (late,) = [one for one in found["lines"] if one["name"] == "late payment"]
    assert late["how"].endswith("26 × $140.00")
