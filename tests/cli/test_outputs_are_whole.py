"""Files are written all or none: on full disks, when killed, when names are taken, and when two write at
once.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import boundary_builders as s
import pytest
from conftest import SAMPLES

from fieldplan.cli.main import exit_code
from fieldplan.report import files, moves
from fieldplan.report.files import WORK, write_files
from fieldplan.report.outputs import PLAN, names_of

posix = pytest.mark.skipif(
    os.name == "nt", reason="needs signals and limits that this system does not have"
)
_LIMITED = """
import json, os, resource, signal, sys
from pathlib import Path
from fieldplan.cli import plan
from fieldplan.cli.main import exit_code
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
made, plan_job = [], plan.plan_job
plan.plan_job = lambda *a, **k: made[0] if made else made.append(plan_job(*a, **k)) or made[0]
def limit(most):
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, resource.RLIM_INFINITY))
got = {}
for name, arguments, most in json.loads(sys.argv[1]):
    if most < 0:
        free = Path(arguments[arguments.index("--out") + 1] + "-free")
        assert exit_code([str(free) if one == str(free)[:-5] else one for one in arguments]) == 0
        most += max(one.stat().st_size for one in free.iterdir() if one.name != "manifest.json")
    limit(most)
    got[f"{name} {most}"] = exit_code(arguments)
    limit(resource.RLIM_INFINITY)
os.write(1, b"|" + json.dumps(got).encode())
"""
"""Runs command lines in one process, each with its own limit on how large a file may grow: the nearest thing to a full disk.

A limit below nothing is so much less than the largest file would take. The plan is made once: it is the writing that is tried.
"""


_KILLED = """
import json, os, signal, sys, time
from fieldplan.cli import plan
from fieldplan.cli.main import exit_code
from fieldplan.report.files import write_files
command, given = json.loads(sys.argv[1]), []
plan.write_and_say = lambda folder, writers, **k: given.append((folder, writers))
assert exit_code(command) == 0
((out, writers),) = given
held = lambda: {one.name: one.read_bytes() for one in out.iterdir() if one.is_file()}
began = time.monotonic()
write_files(out, writers, force=True)
whole_s, new = time.monotonic() - began, held()
old = dict.fromkeys(new, b"old")
found = {"old": 0, "new": 0, "neither": 0}
for n in range(20):
    for name in old:
        (out / name).write_bytes(b"old")
    child = os.fork()
    if child == 0:
        write_files(out, writers, force=True)
        os._exit(0)
    time.sleep(whole_s * 1.1 * n / 20)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    stands = held()
    found["old" if stands == old else "new" if stands == new else "neither"] += 1
write_files(out, writers, force=True)
os.write(1, b"|" + json.dumps(found).encode())
"""
"""Forks runs that write the same plan, and kills each at another moment of its writing."""


@pytest.fixture
def field(tmp_path: Path) -> Path:
    """A field of a few acres."""
    return s.geojson(tmp_path / "field.geojson", s.SQUARE)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The farm's job with a day on which the booking starts, which a calendar needs."""
    text = (
        (SAMPLES / "farm.toml")
        .read_text(encoding="utf-8")
        .replace("[booking]", "[booking]\nstart = 2027-05-10")
    )
    shutil.copy(SAMPLES / "rates.toml", tmp_path)
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    return tmp_path / "job.toml"


def _plan(field: Path, job: Path, *more: object) -> list[str]:
    return ["plan", str(field), "--job", str(job), "--today", "2027-04-01", "-q", *map(str, more)]


def _limited(runs: list[tuple[str, list[str], int]]) -> tuple[dict[str, int], str]:
    """Exit codes by name and limit, and what stood on stderr."""
    command = [sys.executable, "-W", "ignore", "-c", _LIMITED, json.dumps(runs)]
    got = subprocess.run(command, capture_output=True, text=True, check=False)
    return json.loads(got.stdout.rpartition("|")[2]), got.stderr


def _held(folder: Path) -> dict[str, bytes | str]:
    """Everything in a folder: bytes of files, where links lead."""
    return {
        one.name: str(one.readlink()) if one.is_symlink() else one.read_bytes()
        for one in folder.iterdir()
        if not one.is_dir()
    }


def _one(name: str, text: str = "new") -> dict[str, files.Writer]:
    return {name: lambda path: path.write_bytes(text.encode())}


@posix
def test_a_full_disk_is_one_sentence_for_every_output(tmp_path: Path, field: Path, job: Path) -> None:
    """Every kind of --write, stopped at its first byte and near its last, exits 3, says so, and leaves
    nothing, not even folders.
    """
    runs = [
        (word, _plan(field, job, "--out", tmp_path / f"full-{word}", "--write", word), maximum)
        for word in names_of(PLAN)
        for maximum in (10, -1)
    ]
    got, sentence = _limited(runs)
    assert got == dict.fromkeys(got, 3), got
    assert len(got) == 2 * len(PLAN)
    assert sentence.count("Error: ") == sentence.count("cannot be written (") == len(got), sentence
    assert "Traceback" not in sentence
    assert "Exception ignored" not in sentence
    assert [one.name for one in tmp_path.glob("full-*") if not one.name.endswith("-free")] == []


@posix
def test_a_full_disk_is_one_sentence_for_init_season_and_ledger(tmp_path: Path) -> None:
    """The starter file, a paper of the season and a row of the ledger likewise; the ledger keeps what it
    had.
    """
    for name in (
        "season.toml",
        "requests.csv",
        "rates.toml",
        "restoration.zip",
        "restoration.toml",
        "farm.toml",
        "farm.geojson",
        "records.csv",
    ):
        shutil.copy(SAMPLES / name, tmp_path)
    season, ledger = str(tmp_path / "season.toml"), tmp_path / "season.ledger"
    note = ["season", "record", season, "rain", "drill=ten foot", "day=2027-04-20"]
    assert exit_code(["season", "record", season, "--from", str(tmp_path / "records.csv")]) == 0
    before = ledger.read_bytes()
    runs = [
        ("init", ["init", str(tmp_path / "new")], 10),
        ("board", ["season", "board", season, "--out", str(tmp_path / "papers")], 10),
        ("record", note, 10),
        ("begin", [*note, "--ledger", str(tmp_path / "other.ledger")], 10),
    ]
    got, sentence = _limited(runs)
    assert got == dict.fromkeys(got, 3), sentence
    assert "Traceback" not in sentence
    assert ledger.read_bytes() == before
    assert not [
        one
        for one in tmp_path.iterdir()
        if one.name in ("new", "papers", "other.ledger") or one.name.startswith(".")
    ]


@posix
def test_a_full_folder_for_temporary_files_is_not_a_damaged_boundary(tmp_path: Path, job: Path) -> None:
    """A zip that cannot be unpacked for want of room is not called broken."""
    zipped = s.zipped(
        tmp_path / "f.zip", {"field.geojson": s.geojson(tmp_path / "field.geojson", s.SQUARE)}
    )
    got, sentence = _limited([("zip", _plan(zipped, job), 10)])
    assert got == {"zip 10": 3}
    assert "temporary files: cannot be written (the disk does not allow a file that large)" in sentence


@pytest.mark.parametrize("fails_at", range(1, 7))
def test_a_move_that_fails_puts_everything_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails_at: int
) -> None:
    """Whichever move fails, files that were there are as they were, links too, and new ones are gone."""
    (tmp_path / "a").write_text("old a")
    (tmp_path / "c").symlink_to("elsewhere")
    before, done, replace = _held(tmp_path), [], Path.replace

    def failing(self: Path, target: Path) -> Path:
        if target.name != moves.JOURNAL:
            done.append(target)
        if len(done) == fails_at:
            raise PermissionError(13, "in use")
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", failing)
    writers = {name: _one(name)[name] for name in ("a", "b", "c")}
    if fails_at > 5:
        write_files(tmp_path, writers, force=True)
        assert _held(tmp_path) == dict.fromkeys("abc", b"new")
    else:
        with pytest.raises(files.UsageError, match="not permitted"):
            write_files(tmp_path, writers, force=True)
        assert _held(tmp_path) == before
    assert not (tmp_path / WORK).exists()


@posix
@pytest.mark.parametrize("dies_at", range(1, 7))
def test_the_next_run_puts_back_what_a_killed_one_moved(tmp_path: Path, dies_at: int) -> None:
    """Killed after any move, a folder is put back by the next run in it, but for what somebody wrote
    since.
    """
    (tmp_path / "a").write_text("old a")
    (tmp_path / "b").write_text("old b")
    dying = f"""
import os, signal
from pathlib import Path
from fieldplan.report.files import write_files
replace, done = Path.replace, []
def dying(self, target):
    replace(self, target)
    done.append(target)
    if len(done) == {dies_at}: os.kill(os.getpid(), signal.SIGKILL)
Path.replace = dying
write_files(Path({str(tmp_path)!r}), {{name: lambda path: path.write_text("new") for name in "abc"}}, force=True)
"""
    assert subprocess.run([sys.executable, "-c", dying], check=False).returncode == -signal.SIGKILL
    assert (tmp_path / WORK).exists()
    if dies_at == 5:
        (tmp_path / "b").write_text("written by hand since")
    write_files(tmp_path, _one("d"), force=False)
    b = b"written by hand since" if dies_at == 5 else b"old b"
    assert _held(tmp_path) == {"a": b"old a", "b": b, "d": b"new"}
    assert not (tmp_path / WORK).exists()


@posix
def test_killed_at_any_moment_the_old_files_or_the_new_ones_stand(
    tmp_path: Path, field: Path, job: Path
) -> None:
    """SIGKILL at 20 moments spread over the writing with --force: the set is the old or the new one; the
    next run clears up.
    """
    command = _plan(field, job, "--out", tmp_path / "out", "--write", "json,kml,gpx,timeline", "--force")
    got = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", _KILLED, json.dumps(command)],
        capture_output=True,
        text=True,
        check=False,
    )
    found = json.loads(got.stdout.rpartition("|")[2])
    assert found["neither"] == 0, found
    assert found["old"] > 3, found
    assert [one.name for one in (tmp_path / "out").iterdir() if one.name.startswith(".")] == []


@posix
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_told_to_stop_a_run_clears_up(tmp_path: Path, job: Path, number: signal.Signals) -> None:
    """SIGTERM and Ctrl-C exit 130 and leave no folder, neither in the output nor among temporary files."""
    stopping = f"""
import os, signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)  # whoever started the tests may have had it ignored
from fieldplan.report.gis import kml
kml.kml_bytes = lambda *_: os.kill(os.getpid(), {int(number)})
from fieldplan.boundary.readers import geojson
from fieldplan.cli.main import run
run()
"""
    (tmp_path / "temp").mkdir()
    field = s.geojson(tmp_path / "field.geojson", s.SQUARE)
    command = _plan(field, job, "--out", tmp_path / "out", "--write", "json,kml")
    environment = {**os.environ, "TMPDIR": str(tmp_path / "temp")}
    got = subprocess.run(
        [sys.executable, "-c", stopping, *command],
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert got.returncode == 130, got.stderr
    assert got.stderr.strip() == "Interrupted. No file was left half written."
    assert not (tmp_path / "out").exists()
    assert list((tmp_path / "temp").iterdir()) == []


@posix
def test_temporary_folders_of_dead_runs_are_cleared_and_no_others(tmp_path: Path) -> None:
    """The next run removes the folder of a killed one, and leaves that of a live one, a stranger's and a
    file alone.
    """
    living = (
        "import sys, time\nfrom pathlib import Path\nfrom fieldplan.scratch import working_folder\n"
        "with working_folder() as place:\n    (place / 'copy').write_text('x')\n    print(place, flush=True)\n    time.sleep(60)\n"
    )
    environment = {**os.environ, "TMPDIR": str(tmp_path)}
    runs = [
        subprocess.Popen([sys.executable, "-c", living], env=environment, stdout=subprocess.PIPE, text=True)
        for _ in range(2)
    ]
    try:
        dead, live = (Path(run.stdout.readline().strip()) for run in runs if run.stdout)
        runs[0].kill()
        runs[0].wait()
        (tmp_path / "fieldplan-notes").mkdir()
        (tmp_path / "fieldplan-list.txt").write_text("mine")
        assert dead.exists()
        done = subprocess.run(
            [sys.executable, "-m", "fieldplan", "acres", SAMPLES / "farm.geojson"],
            env=environment,
            capture_output=True,
            check=False,
        )
        assert done.returncode == 0
        assert {one.name for one in tmp_path.iterdir()} == {
            live.name,
            "fieldplan-notes",
            "fieldplan-list.txt",
        }
        assert (live / "copy").exists()
    finally:
        for run in runs:
            run.kill()
            run.communicate()


def test_two_runs_at_once_write_one_after_the_other(tmp_path: Path, field: Path, job: Path) -> None:
    """Both write the same names with --force; what stands is one whole set, as its manifest says."""
    commands = [
        _plan(field, job, "--out", tmp_path / "out", "--write", "json,svg,kml", "--force", "--units", units)
        for units in ("us", "metric")
    ]
    runs = [
        subprocess.Popen([sys.executable, "-m", "fieldplan", *command], stdout=subprocess.DEVNULL)
        for command in commands
    ]
    assert [run.wait() for run in runs] == [0, 0]
    alone = []
    for n, command in enumerate(commands):
        command[command.index("--out") + 1] = str(tmp_path / str(n))
        assert exit_code(command) == 0
        alone.append(_held(tmp_path / str(n)))
    assert _held(tmp_path / "out") in alone
    assert not (tmp_path / "out" / WORK).exists()


_LOOKS = """
import sys
from pathlib import Path
from fieldplan.report.files import refuse_early
for _ in range(300):
    refuse_early(Path(sys.argv[1]), ["a"], force=True)
"""


def test_looks_at_once_do_not_take_the_folder_from_each_other(tmp_path: Path) -> None:
    """Each makes the folder and removes it again, since it writes nothing."""
    command = [sys.executable, "-c", _LOOKS, str(tmp_path / "out")]
    runs = [subprocess.Popen(command) for _ in range(3)]
    assert [run.wait() for run in runs] == [0, 0, 0]


def test_a_folder_that_is_being_written_to_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Who waited in vain for another run is told so, and touches nothing."""
    monkeypatch.setattr(files, "WAIT_S", 0.1)
    with files._alone_in(tmp_path), pytest.raises(files.UsageError, match="another run is writing"):
        write_files(tmp_path, _one("a"), force=False)
    assert list(tmp_path.iterdir()) == []


def _folder(path: Path) -> None:
    path.mkdir()


def _read_only(path: Path) -> None:
    path.write_text("mine")
    path.chmod(0o444)


def _dangling(path: Path) -> None:
    path.symlink_to("nowhere")


@pytest.mark.parametrize(
    ("make", "more", "sentence"),
    [
        (_folder, ["--force"], "is not a file"),
        (_read_only, ["--force"], "read-only"),
        (_dangling, [], "already holds manifest.json"),
    ],
)
def test_a_name_that_no_file_may_take_stops_before_any_is_replaced(
    tmp_path: Path,
    field: Path,
    job: Path,
    capsys: pytest.CaptureFixture[str],
    make: Callable[[Path], None],
    more: list[str],
    sentence: str,
) -> None:
    """A folder, a read-only file, and without --force even a link to nowhere, in the place of the last
    file.
    """
    out = tmp_path / "out"
    out.mkdir()
    make(out / "manifest.json")
    before = sorted(one.name for one in out.iterdir())
    assert exit_code(_plan(field, job, "--out", out, *more)) == 2
    assert sentence in capsys.readouterr().err
    assert sorted(one.name for one in out.iterdir()) == before


def test_a_link_is_replaced_and_what_it_leads_to_left(tmp_path: Path) -> None:
    """With --force a link gives way to the file; the file that it led to is nobody's to write to."""
    (tmp_path / "theirs").write_text("theirs")
    (tmp_path / "a").symlink_to(tmp_path / "theirs")
    write_files(tmp_path, _one("a"), force=True)
    assert _held(tmp_path) == {"a": b"new", "theirs": b"theirs"}


@pytest.mark.parametrize(
    ("out", "sentence"),
    [
        ("a-file", "it is a file"),
        ("a-file/below", "it is a file"),
        ("n" * 300, "the name is too long"),
        ("/".join(["n" * 200] * 30), "name is too long"),
    ],
)
def test_a_folder_that_cannot_be_is_said(
    tmp_path: Path, field: Path, job: Path, capsys: pytest.CaptureFixture[str], out: str, sentence: str
) -> None:
    """A file in its place or above it, and names over what the system allows."""
    (tmp_path / "a-file").write_text("mine")
    assert exit_code(_plan(field, job, "--out", tmp_path / out)) == 2
    assert sentence in capsys.readouterr().err
    assert sorted(one.name for one in tmp_path.iterdir()) == [
        "a-file",
        "field.geojson",
        "job.toml",
        "rates.toml",
    ]


def test_what_refuses_to_be_made_leaves_the_old_files(tmp_path: Path, field: Path, job: Path) -> None:
    """A calendar without a start, and a writer that is not installed, stop before anything is replaced."""
    out = tmp_path / "out"
    assert exit_code(_plan(field, job, "--out", out)) == 0
    before = _held(out)
    assert (
        exit_code(_plan(field, SAMPLES / "farm.toml", "--out", out, "--force", "--write", "json,calendar"))
        == 2
    )
    without = "import sys\nsys.modules['pyarrow'] = None\nfrom fieldplan.cli.main import run\nrun()\n"
    command = _plan(field, job, "--out", out, "--force", "--write", "json,parquet")
    assert (
        subprocess.run(
            [sys.executable, "-W", "ignore", "-c", without, *command], capture_output=True, check=False
        ).returncode
        == 2
    )
    assert _held(out) == before


def test_a_journal_cannot_lead_out_of_its_folder(tmp_path: Path) -> None:
    """A folder from a stranger with a journal that names files elsewhere moves nothing there."""
    (tmp_path / "mine").write_text("mine")
    found = (tmp_path / "mine").stat()
    work = tmp_path / "out" / WORK
    work.mkdir(parents=True)
    moved = {"../mine": {"replaces": False, "is": [found.st_size, found.st_mtime_ns]}}
    (work / moves.JOURNAL).write_text(json.dumps(moved))
    write_files(tmp_path / "out", _one("a"), force=False)
    assert (tmp_path / "mine").read_text() == "mine"
    assert _held(tmp_path / "out") == {"a": b"new"}


def test_system_temporary_folder_is_left_as_it_was(
    tmp_path: Path, field: Path, job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A run that writes every kind leaves nothing among temporary files: no library keeps a folder of its
    own there.
    """
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temp"))
    (tmp_path / "temp").mkdir()
    made: list[str] = []
    mkdtemp = tempfile.mkdtemp
    monkeypatch.setattr(tempfile, "mkdtemp", lambda *a, **k: made.append(mkdtemp(*a, **k)) or made[-1])
    assert exit_code(_plan(field, job, "--out", tmp_path / "out", "--write", "all")) == 0
    assert made
    assert {Path(one).name.split("-")[0] for one in made} <= {"fieldplan"}
    assert list((tmp_path / "temp").iterdir()) == []


_WITH_OUT = (
    ["plan", "nothing.geojson", "--job", "nothing.toml"],
    ["season", "plan", "nothing.toml"],
    ["season", "rain", "nothing.toml", "--was", "nothing.json"],
    ["season", "capacity", "nothing.toml"],
    ["season", "invoice", "nothing.toml", "R05"],
    ["season", "packet", "nothing.toml", "R05"],
    ["season", "board", "nothing.toml"],
)


@pytest.mark.parametrize("command", _WITH_OUT, ids=lambda command: " ".join(command[:2]))
def test_what_stands_in_the_way_of_out_is_said_before_the_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], command: list[str]
) -> None:
    """A file in the folder's place and an address stop every command before it reads anything; a folder
    that would do is not left behind.
    """
    monkeypatch.chdir(tmp_path)
    (tmp_path / "a-file").write_text("mine")
    for out, sentence in (
        ("a-file", "it is a file"),
        ("https://example.com/x", "only written on this machine"),
    ):
        assert exit_code([*command, "--out", out]) == 2
        assert sentence in capsys.readouterr().err
    assert exit_code([*command, "--out", "new/folder"]) == 3
    assert "nothing." in capsys.readouterr().err
    assert [one.name for one in tmp_path.iterdir()] == ["a-file"]


def test_a_taken_name_and_an_unknown_kind_are_said_before_the_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A season's file that is there without --force, and a --write that is not known; no ledger is begun at
    an address.
    """
    monkeypatch.chdir(tmp_path)
    (tmp_path / "capacity.pdf").write_text("mine")
    assert exit_code(["season", "capacity", "nothing.toml", "--out", str(tmp_path)]) == 2
    assert "already holds capacity.pdf" in capsys.readouterr().err
    assert (
        exit_code(
            ["plan", "nothing.geojson", "--job", "nothing.toml", "--out", "new", "--write", "page,bananas"]
        )
        == 2
    )
    assert "does not know bananas" in capsys.readouterr().err
    note = ["season", "record", str(SAMPLES / "season.toml"), "rain", "drill=ten foot", "day=2027-04-20"]
    assert exit_code([*note, "--ledger", "https://example.com/a.ledger"]) == 2
    assert "a file on this computer" in capsys.readouterr().err
    assert [one.name for one in tmp_path.iterdir()] == ["capacity.pdf"]
