"""The store of a season: written by one at a time and whole or not at all, read by all, also where nothing may be written."""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from conftest import ROOT, SAMPLES
from living import Clerk, row

from fieldplan.office import planning
from fieldplan.records import ledger
from fieldplan.records.kinds import KINDS

pytest.importorskip("ortools")

LINES = (
    "plan",
    "record confirm request=A day=2027-04-01",
    "record confirm request=B day=2027-04-01",
    "record confirm request=C day=2027-04-01",
    "record met request=A what=agreement day=2027-04-01",
    "record standing request=A good=yes why=new day=2027-04-01",
    "record deposit request=A sum=$100 day=2027-04-02",
    "record refused request=D why='no days' day=2027-04-02",
    "record decline request=D drill=one first=2027-05-10 day=2027-04-02",
    'record out request=A drill=one day=2027-05-03 meter="100 ac"',
    "record sown request=A field=A day=2027-05-03 acres='6 ac'",
    "record seed request=A field=A day=2027-05-03 species=oats lot=T1 weight='300 lb'",
    "record done request=A share='50 %' day=2027-05-03",
    "record lost day=2027-05-04 why=rain",
    "record rain drill=one day=2027-05-12",
    'record in request=A day=2027-05-05 meter="112 ac"',
    'record meter drill=one day=2027-05-05 meter="112 ac" why=looked',
    "record repair drill=one day=2027-05-05 cost=$5 what=tube",
    "record paid request=A sum=$120 day=2027-05-20",
    "record remark request=A text=fine day=2027-05-20",
    "record shorten request=B last=2027-05-07 day=2027-05-05",
    "record release request=C day=2027-05-05",
    "record cancel request=C day=2027-05-06",
    "rain --today 2027-05-06",
    "record withdraw request=D day=2027-05-06",
    "record strike corrects=24 why=slip day=2027-05-07",
    "record letter request=B what=confirmation drill=one days='2027-05-06 2027-05-07' day=2027-05-07",
    "record down drill=one until=2027-05-22 what=hose day=2027-05-21",
    "forget A",
    "plan --today 2027-05-06",
)
"""A season in which every kind of entry occurs that a clerk or a plan writes."""
WRITER = """
import contextlib, io, shlex, sys
from fieldplan.cli.main import exit_code
for line in {lines!r}[int(sys.argv[2]):]:
    command, *rest = shlex.split(line)
    with contextlib.redirect_stdout(io.StringIO()):
        assert exit_code(["season", command, sys.argv[1], *rest]) == 0, line
    print("done", flush=True)
"""


def _clerk(folder: Path) -> Clerk:
    rows = [row(name, asked=f"2027-03-0{k}") for k, name in enumerate("ABCD", start=1)]
    return Clerk(folder).season(early_by_rules="true").list(*rows)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> tuple[Clerk, list[int]]:
    """The season of `LINES`, and how many entries it has after each line."""
    clerk = _clerk(tmp_path_factory.mktemp("whole") / "spring")
    counts = []
    for line in LINES:
        clerk.does(line)
        counts.append(len(clerk.entries))
    return clerk, counts


def test_every_kind_of_entry_occurs(whole: tuple[Clerk, list[int]]) -> None:
    """But those of a list that changed or a booking that moved, which other tests have."""
    clerk, _ = whole
    assert {one["kind"] for one in clerk.entries} == set(KINDS) - {"changed", "moved"}


def test_the_store_as_csv_can_be_entered_again(whole: tuple[Clerk, list[int]], tmp_path: Path) -> None:
    """All kinds of entries into a new store, which then says the same."""
    clerk, _ = whole
    clerk.does("ledger --csv")
    (tmp_path / "again.csv").write_text(clerk.out, encoding="utf-8")
    again = _clerk(tmp_path / "spring")
    again.does(f"record --from {tmp_path / 'again.csv'}")
    assert [(one["kind"], one["facts"], one["corrects"]) for one in again.entries] == [
        (one["kind"], one["facts"], one["corrects"]) for one in clerk.entries
    ]


def test_killed_at_any_moment_a_store_has_whole_commands_only(
    whole: tuple[Clerk, list[int]], tmp_path: Path
) -> None:
    """A program that writes every kind of entry is killed again and again, and begins where it stopped: after each kill
    the store has what was confirmed and at most one command more, whole.
    """
    _, counts = whole
    clerk = _clerk(tmp_path / "spring")
    dice, done, killed = random.Random(5), 0, 0
    code = WRITER.format(lines=LINES)
    while done < len(LINES):
        with subprocess.Popen(
            [sys.executable, "-c", code, str(clerk.folder), str(done)],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            cwd=ROOT,
            env=os.environ,
        ) as program:
            assert program.stdout is not None
            confirmed = done
            for _ in range(dice.randint(7, 11)):
                confirmed += program.stdout.readline() == "done\n"
            time.sleep(dice.random() * 0.02)
            program.send_signal(signal.SIGKILL)
            confirmed += program.stdout.read().count("done\n")
        killed += 1
        n_entries = len(clerk.entries) if (clerk.folder / "season.ledger").exists() else 0
        assert n_entries in {
            counts[confirmed - 1] if confirmed else 0,
            counts[min(confirmed, len(LINES) - 1)],
        }
        done = next(k for k, n in enumerate((0, *counts)) if n == n_entries and k >= confirmed)
    assert killed >= 2
    assert [one["kind"] for one in clerk.entries] == [one["kind"] for one in whole[0].entries]


def test_many_writers_and_readers_at_once(tmp_path: Path) -> None:
    """Two clerks enter every kind of entry about requests of their own while a third reads: nothing is lost or refused."""
    clerk = _clerk(tmp_path / "spring").does("plan")
    own = [
        "record met request={0} what={1} day=2027-04-01",
        "record remark request={0} text=x{1} day=2027-05-20",
        "record paid request={0} sum=${1} day=2027-05-20",
        "record deposit request={0} sum=${1} day=2027-05-20",
        "record standing request={0} good=yes why=w{1} day=2027-05-20",
        "record repair drill=one cost=${1} what={0} day=2027-05-20",
        "record decline request={0} drill=one first=2027-05-1{1} day=2027-05-20",
    ]
    programs = []
    for name in ("A", "B"):
        lines = [f"record confirm request={name} day=2027-04-01"]
        lines += [line.format(name, n) for n in range(1, 4) for line in own]
        command = [sys.executable, "-c", WRITER.format(lines=lines), str(clerk.folder), "0"]
        programs.append(subprocess.Popen(command, stdout=subprocess.DEVNULL, cwd=ROOT))
    read = 0
    while any(program.poll() is None for program in programs):
        assert len(clerk.entries) >= 8
        read += 1
    assert [program.wait() for program in programs] == [0, 0]
    assert read > 3
    assert len(clerk.entries) == 8 + 2 * (1 + 3 * len(own))


def test_who_reads_never_waits_for_who_writes(tmp_path: Path) -> None:
    """While another program holds the store for writing, it is read; writing waits and then says so."""
    clerk = _clerk(tmp_path / "spring").does("plan")
    with sqlite3.connect(clerk.folder / "season.ledger", isolation_level=None) as holding:
        holding.execute("BEGIN IMMEDIATE")
        holding.execute("CREATE TABLE other (x)")
        began = time.monotonic()
        assert len(clerk.entries) == 8
        clerk.does("board --day 2027-05-31", "offers", "renters")
        assert time.monotonic() - began < ledger.WAIT_S / 2
        holding.execute("ROLLBACK")
    holding.close()


def test_a_plan_made_while_somebody_else_entered_something_is_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between reading and writing another clerk confirms B elsewhere: what is entered knows of it."""
    clerk = _clerk(tmp_path / "spring").does("plan")
    clerk.edit("E", row("E", asked="2027-03-09"))
    other = Clerk(clerk.folder)
    solve, meanwhile = (
        planning.plan_living,
        iter(["confirm request=B drill=one first=2027-05-24 day=2027-04-01"]),
    )

    def interrupted(*given: object, **named: object) -> object:
        found = solve(*given, **named)  # type: ignore[arg-type]
        line = next(meanwhile, None)
        if line:
            thread = threading.Thread(target=lambda: None)
            thread.start()
            thread.join()
            other.record(line)
        return found

    monkeypatch.setattr(planning, "plan_living", interrupted)
    bookings = clerk.bookings()
    assert bookings["B"]["days"][0] == "2027-05-24"
    assert [one["kind"] for one in clerk.entries].count("request") == 5
    days = [day for one in clerk.bookings().values() for day in one["days"]]
    assert len(days) == len(set(days))


def test_a_store_that_changes_all_the_time_is_not_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After three times the command says so; nothing of the plan is in the store."""
    clerk = _clerk(tmp_path / "spring").does("plan")
    clerk.edit("E", row("E", asked="2027-03-09"))
    solve, numbers = planning.plan_living, iter(range(99))

    def interrupted(*given: object, **named: object) -> object:
        Clerk(clerk.folder).record(f"remark request=A day=2027-05-01 text=x{next(numbers)}")
        return solve(*given, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(planning, "plan_living", interrupted)
    assert clerk.run("plan") == 2
    assert "somebody entered something while this was planned" in clerk.said
    assert "E" not in {one["facts"].get("request") for one in clerk.entries}


@pytest.mark.parametrize("open_log", [False, True])
def test_what_may_only_be_read_is_readable(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, open_log: bool
) -> None:
    """On a disk where nothing may be written beside the store, all that is confirmed is read, from the log too."""
    clerk = _clerk(tmp_path / "spring").does("plan").record("confirm request=A day=2027-04-01")
    store = clerk.folder / "season.ledger"
    if open_log:  # another program is at it: the last entries stand in the log alone
        holding = sqlite3.connect(store)
        holding.execute("SELECT count(*) FROM entry").fetchone()
        clerk.record("confirm request=B day=2027-04-01")
        assert store.with_name("season.ledger-wal").stat().st_size
    connect = sqlite3.connect

    class ReadOnly(sqlite3.Connection):
        """A connection to a file beside which nothing can be written."""

        def execute(self, *given: object) -> sqlite3.Cursor:  # type: ignore[override]
            del given
            problem = sqlite3.OperationalError("unable to open database file")
            problem.sqlite_errorname = "SQLITE_CANTOPEN"
            raise problem

    def connected(path: object, **named: object) -> sqlite3.Connection:
        return connect(path, **named, **({"factory": ReadOnly} if Path(str(path)) == store else {}))  # type: ignore[call-overload, no-any-return]

    monkeypatch.setattr(sqlite3, "connect", connected)
    before = sorted(path.name for path in clerk.folder.iterdir())
    assert len(clerk.entries) == 9 + open_log
    clerk.does("board --day 2027-05-31", "offers", "renters", "plan --what-if")
    assert clerk.bookings("plan --what-if")["A"]["confirmed"]
    assert sorted(path.name for path in clerk.folder.iterdir()) == before
    assert clerk.run("record remark request=A day=2027-05-03 text=x") == 2
    assert "cannot be used" in clerk.said


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_is_read_only_is_readable(tmp_path: Path) -> None:
    """The same with the rights of the system."""
    clerk = _clerk(tmp_path / "spring").does("plan")
    clerk.folder.chmod(0o555)
    try:
        assert len(clerk.entries) == 8
    finally:
        clerk.folder.chmod(0o755)


STRUCK = [
    (
        "confirm request=A day=2027-04-01",
        "A is planned with one from 2027-05-03 to 2027-05-05",
        "confirm request=A",
    ),
    (
        "cancel request=A day=2027-04-02",
        "A is confirmed with one from 2027-05-03 to 2027-05-05",
        "cancel request=A",
    ),
    ("withdraw request=A day=2027-04-02", "A is confirmed with one from", "withdraw request=A"),
    ('out request=A drill=one day=2027-05-03 meter="1 ac"', "no drill is out with A", 'meter="1 ac"'),
    (
        'in request=A day=2027-05-04 meter="9 ac"',
        "one is out with A",
        'in request=A day=2027-05-04 meter="9 ac"',
    ),
    ("paid request=A day=2027-05-09 sum=$40", "A has paid 0 in all", "sum=$40"),
    ("deposit request=A day=2027-05-09 sum=$40", "0 of A's deposit is held", "sum=$40"),
    ("lost day=2027-05-10 why=rain", "2027-05-10 counts as a day to work again", "lost day=2027-05-10"),
    ("remark request=A day=2027-05-09 text=x", "A is confirmed", "text=x"),
    ("repair drill=one day=2027-05-09 cost=$4 what=y", "nothing else hangs on it", "repair drill=one"),
]


@pytest.mark.parametrize(("line", "left", "again"), STRUCK, ids=[line.split()[0] for line, _, _ in STRUCK])
def test_striking_says_what_it_leaves_behind(tmp_path: Path, line: str, left: str, again: str) -> None:
    """How the season stands without the row, and the entry that would set it right."""
    clerk = _clerk(tmp_path / "spring").does("plan")
    if not line.startswith("confirm"):
        clerk.record("confirm request=A day=2027-04-01")
    if line.startswith("in "):
        clerk.record('out request=A drill=one day=2027-05-03 meter="1 ac"')
    clerk.record(line)
    row_struck = len(clerk.entries)
    clerk.record(f"strike corrects={row_struck} day=2027-05-20 why=slip")
    assert f"Row {row_struck} ({line.split()[0]}) is struck: {left}" in clerk.said
    assert again in clerk.said.partition("To enter it again, put right: ")[2]


def test_what_hangs_on_a_row_keeps_it_from_being_struck_alone(tmp_path: Path) -> None:
    """A return needs its going out: the row that could not be true then is named; both at once can be struck."""
    clerk = _clerk(tmp_path / "spring").does("plan")
    clerk.record(
        'out request=A drill=one day=2027-05-03 meter="1 ac"', 'in request=A day=2027-05-04 meter="9 ac"'
    )
    assert clerk.run("record strike corrects=9 day=2027-05-20 why=slip") == 3
    assert "row 10 of the ledger could then not be true" in clerk.said
    (tmp_path / "both.csv").write_text(
        "kind,corrects,day,why\nstrike,9,2027-05-20,slip\nstrike,10,2027-05-20,slip\n", encoding="utf-8"
    )
    clerk.does(f"record --from {tmp_path / 'both.csv'}")
    assert clerk.said.count("is struck") == 2


def test_three_days_of_late_entries_go_in_at_once(tmp_path: Path) -> None:
    """Out of order, with the drill passing from A to B; then the same with every kind of slip: all are named, and nothing
    that only follows from another slip.
    """
    clerk = _clerk(tmp_path / "spring").does("plan")
    clerk.record("confirm request=A day=2027-04-01", "confirm request=B day=2027-04-01")
    late = [
        "kind,request,drill,day,meter,field,acres,until,why,share",
        "in,B,one,2027-05-06,124 ac,,,,,",
        "in,A,one,2027-05-05,112 ac,,,,,",
        "out,B,one,2027-05-05,112 ac,,,,,",
        "sown,A,,2027-05-04,,A,12 ac,,,",
        "lost,,,2027-05-03,,,,,rain,",
        "out,A,one,2027-05-03,100 ac,,,,,",
    ]
    slips = list(late)
    slips[1] = "in,B,one,2027-05-06,110 ac,,,,,"  # backwards
    slips[2] = "in,A,one,2027-05-05,112,,,,,"  # no unit: that A's drill would still be out is not said
    slips[4] = "sown,A,,2027-05-04,,A,13 ac,,,"
    slips += [
        "out,Z,one,2027-05-07,130 ac,,,,,",
        "lost,,two,2027-05-08,,,,,rain,",
        "done,C,,2027-05-08,,,,,,most",
    ]
    (tmp_path / "slips.csv").write_text("\n".join(slips) + "\n", encoding="utf-8")
    (tmp_path / "late.csv").write_text("\n".join(late) + "\n", encoding="utf-8")
    n_entries = len(clerk.entries)
    assert clerk.run(f"record --from {tmp_path / 'slips.csv'}") == 3
    errors = [line for line in clerk.err.splitlines() if line.startswith("Error: ")]
    for cause in (
        'row 3: in meter "112" has no unit',
        "row 10: done share",
        "row 2: the meter of one would run backwards, from 112.00 ac",
        'row 8: no request is called "Z"',
        'row 9: no drill is called "two"',
    ):
        assert sum(cause in line for line in errors) == 1, (cause, errors)
    assert len(errors) == 5
    assert len(clerk.entries) == n_entries
    clerk.does(f"record --from {tmp_path / 'late.csv'}")
    assert len(clerk.entries) == n_entries + 6


def test_an_older_folder_is_taken_over(tmp_path: Path) -> None:
    """A ledger and a season.json of before: bookings, confirmations and days are in the store, and hold."""
    clerk = _clerk(tmp_path / "spring")
    clerk.does(f"plan --what-if --out {tmp_path / 'old'}")
    _older_ledger(clerk.folder / "season.ledger", "Small spring")
    was = json.loads((tmp_path / "old" / "season.json").read_text(encoding="utf-8"))
    was["bookings"][2]["confirmed"] = True
    (tmp_path / "old" / "season.json").write_text(json.dumps(was), encoding="utf-8")
    planned = {one["request"]: one for one in was["bookings"]}
    clerk.does(f"takeover --was {tmp_path / 'old' / 'season.json'}")
    assert "D is confirmed elsewhere in the ledger than season.json has it" in clerk.said
    after = clerk.bookings()
    assert after["B"]["days"] == planned["B"]["days"]
    assert [name for name, one in sorted(after.items()) if one["confirmed"]] == ["B", "C", "D"]
    assert after["D"]["days"][0] == "2027-05-24"
    clerk.does(f"takeover --was {tmp_path / 'old' / 'season.json'}")
    assert "Nothing to take over" in clerk.said


def _older_ledger(path: Path, season: str) -> None:
    """A ledger as it was begun before: marked with the name of the season, without people beside it."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA journal_mode = WAL")
    for statement in ledger._TABLES:
        connection.execute(statement)
    connection.execute("INSERT INTO about VALUES (?)", (season,))
    seal = season
    rows = [
        (
            1,
            "2026-12-01T10:00:00+00:00",
            "confirm",
            {"request": "B", "day": "2027-04-01", "drill": "one", "first": "2027-05-06"},
        ),
        (
            2,
            "2026-12-01T10:00:01+00:00",
            "confirm",
            {"request": "D", "day": "2027-04-01", "drill": "one", "first": "2027-05-24"},
        ),
    ]
    for number, entered, kind, facts in rows:
        entry = (number, entered, kind, json.dumps(facts), None)
        seal = ledger._seal(seal, entry)
        connection.execute("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?)", (*entry, seal))
    connection.close()


def test_the_store_of_another_year_is_refused(tmp_path: Path) -> None:
    """The same name a year later; a first day that was only moved is the same season, with the same events."""
    clerk = _clerk(tmp_path / "spring").does("plan")
    text = (clerk.folder / "season.toml").read_text(encoding="utf-8")
    (clerk.folder / "season.toml").write_text(
        text.replace("opens = 2027-05-03", "opens = 2027-05-01"), encoding="utf-8"
    )
    clerk.does("plan")
    moved = text.replace("opens = 2027-05-03", "opens = 2028-05-03").replace(
        "closes = 2027", "closes = 2028"
    )
    (clerk.folder / "season.toml").write_text(moved, encoding="utf-8")
    assert clerk.run("plan") == 3
    assert 'is the ledger of "Small spring 2027-05-03"' in clerk.said


def test_a_season_is_named_by_its_folder_or_its_file(tmp_path: Path) -> None:
    """Both are the same store."""
    clerk = _clerk(tmp_path / "spring").does("plan")
    by_file = Clerk(clerk.folder / "season.toml")
    assert len(by_file.entries) == 8


def test_a_copy_of_the_samples_is_not_touched(tmp_path: Path) -> None:
    """Looking at a season that was never planned begins no store."""
    shutil.copytree(SAMPLES, tmp_path / "s")
    clerk = Clerk(tmp_path / "s")
    for line in ("board", "offers", "renters", "ledger", "rain --today 2027-05-03"):
        assert clerk.run(line) == 3
    assert not list((tmp_path / "s").glob("*.ledger*"))
