"""Kernels are compiled ahead of the first plan: all that it calls, by other processes, and once."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from conftest import ROOT

from fieldplan.cli.progress import with_progress, with_requests
from fieldplan.kernels import ahead
from fieldplan.report.words.first_start import FIRST
from fieldplan.scratch import hold, release

_FIRST_PLAN = """
from datetime import date
from pathlib import Path

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.jobfile.load import load_job
from fieldplan.kernels.ahead import make_ready
from fieldplan.planner import plan_job
from fieldplan.web.warming import draft, tell_when_compiling
from fieldplan.web.worker import Asked, Known, answer_to

make_ready()
told = []
tell_when_compiling(lambda: told.append(1))
asked = Asked(number=1, draft=draft(), folder=Path("warming"), today=date(2027, 4, 1))
assert answer_to(asked, Known()).plan is not None
fields, job = load_fields(Path("sample_fields/farm.geojson"), ReadingTerms()), load_job(Path("sample_fields/farm.toml"))
plan_job(fields, job, today=asked.today)
print(len(told))
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where nothing is kept yet."""
    monkeypatch.setattr(ahead, "kept_in", lambda: tmp_path)
    return tmp_path


@pytest.fixture
def processes(monkeypatch: pytest.MonkeyPatch) -> list[bool]:
    """What processes that compile come to, one set after the other."""
    made: list[bool] = []
    monkeypatch.setattr(ahead, "_compiled_by_processes", lambda: not made.append(True))  # type: ignore[func-returns-value]
    return made


def test_a_plan_compiles_nothing_more() -> None:
    """A kernel that is missing in the list, or is called with other types, makes the first plan wait."""
    command = [sys.executable, "-c", _FIRST_PLAN]
    run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    assert run.stdout == "0\n"


@pytest.mark.usefixtures("folder")
def test_it_is_done_and_told_once(processes: list[bool]) -> None:
    """The second run finds it done."""
    told: list[str] = []
    ahead.make_ready(lambda: told.append("first"))
    ahead.make_ready(lambda: told.append("second"))
    assert (told, processes) == (["first"], [True])


@pytest.mark.usefixtures("folder", "processes")
def test_who_waits_is_told_once_beside_the_output(capsys: pytest.CaptureFixture[str]) -> None:
    """JSON on stdout stays JSON."""
    assert list(with_progress(())) == []
    assert list(with_requests(())) == []
    assert capsys.readouterr() == ("", f"{FIRST}\n")


def test_it_is_tried_again_after_a_failure(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A process may have been killed."""
    monkeypatch.setattr(ahead, "_compiled_by_processes", lambda: False)
    told: list[int] = []
    ahead.make_ready(lambda: told.append(1))
    ahead.make_ready(lambda: told.append(2))
    assert told == [1, 2]
    assert not (folder / "ready").exists()


def test_nothing_is_begun_where_nothing_can_be_kept(
    processes: list[bool], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What another process compiles would be lost with it."""
    monkeypatch.setattr(ahead, "kept_in", lambda: None)
    ahead.make_ready(lambda: pytest.fail("told"))
    assert processes == []


def test_what_another_run_compiles_is_waited_for(folder: Path, processes: list[bool]) -> None:
    """And not compiled a second time."""
    lock = hold(folder / "in-work")
    told: list[int] = []

    def other_is_done() -> None:
        told.append(1)
        (folder / "ready").touch()
        release(lock)

    ahead.make_ready(other_is_done)
    assert (told, processes) == ([1], [])


@pytest.mark.parametrize(("module", "done"), [("keyword", True), ("no_such_module", False)])
def test_a_process_that_fails_is_noticed(module: str, done: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Then the next run tries again."""
    monkeypatch.setattr(ahead, "__name__", module)
    assert ahead._compiled_by_processes() == done
