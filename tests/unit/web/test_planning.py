"""Drafts are planned in processes: the newest of each page, with the numbers of the command line."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from conftest import ROOT
from desks import TODAY, sample_job, small_draft, waited, with_exclusion, with_hours

from fieldplan.cli.main import exit_code
from fieldplan.report.data.plan_json import plan_json
from fieldplan.web import planning
from fieldplan.web.answer import Answer
from fieldplan.web.draft import Draft
from fieldplan.web.jobs import Jobs
from fieldplan.web.planning import Planner
from fieldplan.web.worker import Asked, Known, answer_to

SAMPLES = {
    "farm": ("farm.toml", "farm.geojson"),
    "pivot": ("farm.toml", "pivot.kml"),
    "ponds": ("farm.toml", "ponds.gpkg"),
    "restoration": ("restoration.toml", "restoration.zip"),
}


def _answer(draft: Draft, folder: Path) -> Answer:
    return answer_to(Asked(number=1, draft=draft, folder=folder, today=TODAY), Known())


def _said_by_the_command_line(
    fields: Path, job: Path, capsys: pytest.CaptureFixture[str]
) -> dict[str, object]:
    capsys.readouterr()
    command = ["plan", str(fields), "--job", str(job), "--json", "--legs", "--today", TODAY.isoformat()]
    assert exit_code(command) == 0, capsys.readouterr().err
    said: dict[str, object] = json.loads(capsys.readouterr().out)
    return said


@pytest.mark.parametrize("sample", SAMPLES)
def test_the_page_gives_the_numbers_of_the_command_line(
    sample: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On every sample, saved and planned in its folder: the same JSON, to the last digit of the last leg."""
    jobs = Jobs(tmp_path)
    draft = sample_job(jobs, sample, *SAMPLES[sample])
    folder = jobs.folder_of(sample)
    answer = _answer(draft, folder)
    assert answer.plan is not None, answer.problems
    said = _said_by_the_command_line(folder / "fields.gpkg", folder / "job.toml", capsys)
    assert json.loads(plan_json(answer.plan, legs=True)) == said
    opened = jobs.take_up(sample)
    again = _answer(opened.draft, folder)
    assert again.plan is not None
    assert plan_json(again.plan, legs=True) == plan_json(answer.plan, legs=True)


def test_a_sample_taken_in_is_planned_as_the_sample_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What the page makes of the files of the farm has the totals that these files have by themselves."""
    from conftest import SAMPLES as THERE

    jobs = Jobs(tmp_path)
    answer = _answer(sample_job(jobs, "farm"), jobs.folder_of("farm"))
    assert answer.plan is not None
    there = _said_by_the_command_line(THERE / "farm.geojson", THERE / "farm.toml", capsys)
    here = json.loads(plan_json(answer.plan))
    for part in ("totals", "booking", "order", "cost", "cover"):
        assert here[part] == there[part], part


def test_exclusions_that_are_drawn_are_planned_as_they_are_saved(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """They stand in a file of their own, which the job file names."""
    jobs = Jobs(tmp_path)
    draft = with_exclusion(small_draft(2), reason="pond", set_back="30 ft")
    jobs.save("a", draft, revision=0)
    answer = _answer(draft, jobs.folder_of("a"))
    assert answer.plan is not None, answer.problems
    assert answer.plan.fields[0].field.excluded_m2 > 0
    folder = jobs.folder_of("a")
    said = _said_by_the_command_line(folder / "fields.gpkg", folder / "job.toml", capsys)
    assert json.loads(plan_json(answer.plan, legs=True)) == said


def test_all_that_is_in_the_way_is_said_at_once(tmp_path: Path) -> None:
    """Of the map and of the job, each with where it is."""
    draft = small_draft(2)
    bad = replace(draft.ground[1], geometry=draft.ground[0].geometry)
    tables = {**draft.tables, "booking": {"hours_per_day": "9 parsecs"}, "drill": {}}
    answer = _answer(Draft(ground=(draft.ground[0], bad), tables=tables), tmp_path)
    assert answer.plan is None
    assert {(one.about, one.key) for one in answer.problems} >= {
        ("[booking]", "hours_per_day"),
        ("[drill]", "rows"),
    }
    assert any(one.code.startswith("overlap") or "overlap" in one.code for one in answer.problems), (
        answer.problems
    )


def test_nothing_drawn_is_no_problem_of_the_map(tmp_path: Path) -> None:
    """Only the job is missing."""
    assert _answer(Draft(tables=small_draft(1).tables), tmp_path).problems == ()


@pytest.mark.parametrize(
    "change",
    [
        {"cost": {"rate_card": "../rates.toml"}},
        {"cost": {"rate_card": "/etc/hostname"}},
        {"drill": {"use": "../drill.toml"}},
        {"cost": {"use": "inner.toml"}},
        {"cost": {"rate_card": "link.toml"}},
        {"working": {"field_speed": "4 mph", "elevation": "../heights.tif"}},
        {"booking": {"hours_per_day": "8 h", "weather": "../station.csv"}},
    ],
    ids=[
        "card above",
        "card anywhere",
        "drill above",
        "card named by a file inside",
        "a link",
        "heights",
        "weather",
    ],
)
def test_no_file_outside_of_the_job_is_opened(change: dict[str, dict[str, str]], tmp_path: Path) -> None:
    """Whichever key names it, and whether or not it is there: the page opens no file there."""
    folder = tmp_path / "jobs" / "a"
    folder.mkdir(parents=True)
    for name in ("rates.toml", "drill.toml", "heights.tif", "station.csv"):
        (tmp_path / "jobs" / name).write_text("secret = 'of another job'\n", encoding="utf-8")
    (folder / "inner.toml").write_text('[cost]\nrate_card = "../rates.toml"\n', encoding="utf-8")
    (folder / "link.toml").symlink_to(tmp_path / "jobs" / "rates.toml")
    draft = small_draft(1)
    tables = {**draft.tables, **{key: {**draft.tables[key], **table} for key, table in change.items()}}
    answer = _answer(replace(draft, tables=tables), folder)
    assert answer.plan is None
    assert "file-outside" in {one.code for one in answer.problems}
    assert "secret" not in str(answer.problems)


@pytest.fixture(scope="module")
def planner() -> Iterator[Planner]:
    """One worker."""
    made = Planner(1)
    made.begin()
    yield made
    made.stop()


class Waiting:
    """Keeps what it is told."""

    def __init__(self) -> None:
        self.answers: list[Answer] = []
        self.told: list[tuple[int, int]] = []
        self.first = threading.Event()

    def answered(self, answer: Answer) -> None:
        """Keep an answer."""
        self.answers.append(answer)
        self.first.set()

    def progressed(self, done: int, every: int) -> None:
        """Keep how far it is."""
        self.told.append((done, every))


def _ask(planner: Planner, who: str, draft: Draft, folder: Path, waiting: Waiting) -> None:
    planner.ask(who, draft, folder, today=TODAY, answered=waiting.answered, progressed=waiting.progressed)


def test_only_the_newest_draft_is_answered(planner: Planner, tmp_path: Path) -> None:
    """A person who drags a slider waits for the last of its values."""
    waiting, draft = Waiting(), small_draft(3)
    drafts = [with_hours(draft, f"{hours} h") for hours in (5, 6, 7, 8, 9)]
    for one in drafts:
        _ask(planner, "me", one, tmp_path, waiting)
    waited(lambda: any(answer.draft is drafts[-1] for answer in waiting.answers), 60)
    assert [answer.draft is drafts[-1] for answer in waiting.answers] == [True]


def test_a_plan_from_a_worker_is_the_one_made_here(planner: Planner, tmp_path: Path) -> None:
    """The plans of fields that were sent before are named alone: put together they are the same, and the same object."""
    waiting, draft = Waiting(), small_draft(3)
    for hours in ("8 h", "9 h"):
        _ask(planner, "me", with_hours(draft, hours), tmp_path, waiting)
        waited(lambda: waiting.first.is_set(), 60)
        waiting.first.clear()
    first, second = (answer.plan for answer in waiting.answers)
    assert first is not None
    assert second is not None
    assert all(one is other for one, other in zip(first.fields, second.fields, strict=True))
    here = _answer(with_hours(draft, "9 h"), tmp_path).plan
    assert here is not None
    assert plan_json(second, legs=True) == plan_json(here, legs=True)


def test_a_worker_that_is_lost_is_replaced(planner: Planner, tmp_path: Path) -> None:
    """Killed in the middle, as when memory runs out: the draft that it had is planned by the next."""
    waiting, draft = Waiting(), small_draft(12, side_deg=0.004)
    _ask(planner, "me", draft, tmp_path, waiting)
    waited(lambda: waiting.told, 60)
    planner._workers[0].process.kill()
    waited(lambda: waiting.answers, 120)
    assert waiting.answers[0].plan is not None
    assert waiting.told[0][1] == 12


def test_a_worker_that_is_lost_twice_is_said(planner: Planner, tmp_path: Path) -> None:
    """And the next draft is planned all the same."""
    waiting = Waiting()
    _ask(planner, "me", small_draft(12, side_deg=0.0041), tmp_path, waiting)
    for n in (1, 2):
        waited(lambda: planner._workers[0].busy is not None, 60)
        process = planner._workers[0].process
        process.kill()
        waited(lambda process=process: planner._workers[0].process is not process, 60)
        assert n
    waited(lambda: waiting.answers, 60)
    assert [one.code for one in waiting.answers[0].problems] == ["desk-worker-lost"]
    _ask(planner, "me", small_draft(1), tmp_path, waiting)
    waited(lambda: len(waiting.answers) == 2, 60)
    assert waiting.answers[1].plan is not None


def test_an_outdated_plan_that_takes_long_is_stopped(
    planner: Planner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A field that takes minutes keeps nobody waiting who has gone on."""
    monkeypatch.setattr(planning, "PATIENCE_S", 0.0)
    waiting = Waiting()
    _ask(planner, "me", small_draft(1, side_deg=0.02), tmp_path, waiting)
    waited(lambda: planner._workers[0].busy is not None, 60)
    last = small_draft(1)
    _ask(planner, "me", last, tmp_path, waiting)
    waited(lambda: waiting.answers, 60)
    assert [answer.draft is last for answer in waiting.answers] == [True]


def test_nobody_is_answered_who_has_gone(planner: Planner, tmp_path: Path) -> None:
    """A closed page."""
    gone, here = Waiting(), Waiting()
    _ask(planner, "gone", small_draft(2, side_deg=0.0021), tmp_path, gone)
    planner.forget("gone")
    _ask(planner, "here", small_draft(1), tmp_path, here)
    waited(lambda: here.answers, 60)
    assert gone.answers == []


def test_idle_workers_cover_fields_ahead(tmp_path: Path) -> None:
    """From the last field on, while the plan begins with the first: the plan is the same, and takes what they covered."""
    shared = Planner(2)
    shared.begin()
    try:
        waiting, draft = Waiting(), small_draft(10, side_deg=0.003)
        _ask(shared, "me", draft, tmp_path, waiting)
        home = shared._homes["me"]
        (helper,) = (one for one in shared._workers if one is not home)
        waited(lambda: helper.busy is not None and helper.busy.helps is not None, 60)
        assert helper.busy is not None
        assert helper.busy.asked.ahead == tuple(range(9, -1, -1))
        waited(lambda: waiting.answers, 60)
        waited(lambda: helper.busy is None, 60)
        here = _answer(draft, tmp_path).plan
        assert here is not None
        assert waiting.answers[0].plan is not None
        assert plan_json(waiting.answers[0].plan, legs=True) == plan_json(here, legs=True)
    finally:
        shared.stop()


KEYS = """
from pathlib import Path
import hashlib
from desks import small_draft
from fieldplan.field_planner import covered_ahead
from fieldplan.web.worker import Known, _job
draft = small_draft(2)
for key, _ in covered_ahead(Known().ground(draft, Path("a")).boundary, _job(draft, Path("a")), (1, 0)):
    print(hashlib.sha256(key).hexdigest())
"""


def test_what_a_coverage_depends_on_is_the_same_in_every_process() -> None:
    """Else what one covers for another would not be found there; sets have other orders in other processes."""
    paths = os.pathsep.join((str(ROOT), str(ROOT / "tests")))
    printed = {
        subprocess.run(
            [sys.executable, "-c", KEYS],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": paths},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(printed) == 1
    assert len(set(printed.pop().split())) == 2


def test_who_asks_a_worker_that_helps_does_not_wait_for_that(tmp_path: Path) -> None:
    """A plan that somebody waits for goes before help for another."""
    shared = Planner(2)
    shared.begin()
    try:
        one, other = Waiting(), Waiting()
        _ask(shared, "one", small_draft(14, side_deg=0.004), tmp_path / "one", one)
        (helper,) = (worker for worker in shared._workers if worker is not shared._homes["one"])
        waited(lambda: helper.busy is not None, 60)
        _ask(shared, "other", small_draft(1), tmp_path / "other", other)
        waited(lambda: other.answers, 60)
        assert shared._homes["other"] is helper
        assert other.answers[0].plan is not None
        waited(lambda: one.answers, 60)
        assert one.answers[0].plan is not None
    finally:
        shared.stop()
