"""What undo goes back to after a job was closed: kept beside it, a limited number of steps, of this state alone."""

from __future__ import annotations

import asyncio
import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from desks import TODAY, NoPlanner, small_draft, with_corner_moved, with_hours

from fieldplan.web import steps as steps_module
from fieldplan.web.desk import Desk
from fieldplan.web.draft import Draft
from fieldplan.web.jobs import Jobs
from fieldplan.web.steps import MOST_BYTES, MOST_STEPS, STEPS, Steps, steps_in, steps_text
from fieldplan.web.tab import Tab, Tabs


def _written(folder: Path, steps: Steps, revision: int = 3) -> Steps:
    (folder / STEPS).write_text(steps_text(steps, revision), encoding="utf-8")
    return steps_in(folder, revision)


def _many(n: int) -> tuple[Draft, ...]:
    draft = small_draft(2)
    return tuple(with_hours(draft, f"{k} h") for k in range(1, n + 1))


def test_steps_are_read_as_they_were_written(tmp_path: Path) -> None:
    """Maps and jobs of every step, with days as days."""
    first = small_draft(2)
    second = with_corner_moved(first)
    booking = {**first.tables["booking"], "start": date(2027, 5, 1)}
    third = replace(second, tables={**first.tables, "booking": booking})
    third = third.with_unit((("drill",), "row_spacing"), "{} cm")
    steps = Steps((first, second), (third,))
    assert _written(tmp_path, steps) == steps


def test_the_nearest_steps_are_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """So many, and fewer where they are large."""
    many = _many(MOST_STEPS + 5)
    assert _written(tmp_path, Steps(many)).before == many[-MOST_STEPS:]
    monkeypatch.setattr(steps_module, "MOST_BYTES", 20_000)
    kept = _written(tmp_path, Steps(many)).before
    assert 0 < len(kept) < MOST_STEPS
    assert kept == many[-len(kept) :]


def test_a_feature_that_many_steps_have_is_written_once() -> None:
    """Thirty changes of the job on a map of sixty fields are no thirty maps."""
    draft = small_draft(60)
    many = tuple(with_hours(draft, f"{k} h") for k in range(1, 31))
    assert len(steps_text(Steps(many), 1)) < MOST_BYTES / 5


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        '{"revision": 3}',
        '{"revision": 3, "before": [[0, [7]]], "after": [], "features": [], "jobs": ["a = 1"]}',
        '{"revision": 3, "before": [[0, [0]]], "after": [], "features": [["k", "roads", "00", {}]], "jobs": ["a = 1"]}',
        '{"revision": 3, "before": [[0, [0]]], "after": [], "features": [["k", "fields", "zz", {}]], "jobs": ["a = 1"]}',
        '{"revision": 3, "before": [[0, []]], "after": [], "features": [], "jobs": ["a = = 1"]}',
        "[" * 100_000,
    ],
)
def test_what_makes_no_sense_is_no_steps(tmp_path: Path, text: str) -> None:
    """The job opens all the same."""
    (tmp_path / STEPS).write_text(text, encoding="utf-8")
    assert steps_in(tmp_path, 3) == Steps()


def test_steps_of_another_state_are_left(tmp_path: Path) -> None:
    """Such as those from before a power cut."""
    assert _written(tmp_path, Steps(_many(2)), 3).before
    assert steps_in(tmp_path, 4) == Steps()


def _opened(jobs: Jobs) -> Tab:
    return Tab(jobs.take_up("a"), jobs, NoPlanner(), Tabs(), lambda: TODAY)  # type: ignore[arg-type]


def test_undo_goes_on_after_the_job_was_opened_anew(tmp_path: Path) -> None:
    """And redo too; a change after that forgets what was taken back, as ever."""
    jobs = Jobs(tmp_path)
    jobs.save("a", small_draft(1), revision=0)

    def hours(desk: Desk) -> Any:
        return desk.draft.tables["booking"]["hours_per_day"]

    async def act() -> None:
        tab = _opened(jobs)
        was = hours(tab.desk)
        for text in ("5 h", "6 h", "7 h"):
            tab.desk.change(with_hours(tab.desk.draft, text))
        tab.desk.undo()
        await tab.close()
        tab = _opened(jobs)
        desk = tab.desk
        assert hours(desk) == "6 h"
        desk.redo()
        assert hours(desk) == "7 h"
        for text in ("6 h", "5 h", was):
            desk.undo()
            assert hours(desk) == text
        assert not desk.can_undo
        await tab.close()

    asyncio.run(act())


def test_steps_do_not_go_over_what_another_window_saved(tmp_path: Path) -> None:
    """They are of a state that is gone."""
    jobs = Jobs(tmp_path)
    revision = jobs.save("a", small_draft(1), revision=0)
    jobs.save("a", small_draft(2), revision=revision)
    jobs.keep_steps("a", Steps(_many(2)), revision=revision)
    assert not (jobs.folder_of("a") / STEPS).exists()


def test_steps_stay_with_the_job(tmp_path: Path) -> None:
    """What is taken along from the page has none."""
    from fieldplan.web.made import job_files

    jobs = Jobs(tmp_path)
    revision = jobs.save("a", small_draft(1), revision=0)
    jobs.keep_steps("a", Steps(_many(2)), revision=revision)
    assert json.loads((jobs.folder_of("a") / STEPS).read_text(encoding="utf-8"))["before"]
    kept = jobs.take_up("a")
    assert STEPS.encode() not in job_files(kept.draft, kept.folder, "a").content


class _Points:
    """A sketch of letters: each is a step, until it is given up."""

    def __init__(self) -> None:
        self.drawn, self.back = "", ""

    can_undo = property(lambda self: bool(self.drawn))
    can_redo = property(lambda self: bool(self.back))

    def add(self, letter: str) -> None:
        self.drawn, self.back = self.drawn + letter, ""

    def undo(self) -> None:
        self.drawn, self.back = self.drawn[:-1], self.back + self.drawn[-1]

    def redo(self) -> None:
        self.drawn, self.back = self.drawn + self.back[-1], self.back[:-1]


def test_what_was_taken_back_last_comes_back_first() -> None:
    """Points of a sketch and changes of the job, whichever were taken back first; a new point forgets points alone."""
    desk, points = Desk(draft=small_draft(1)), _Points()
    desk.drawing = points

    def state() -> tuple[Any, str]:
        return desk.draft.tables["booking"]["hours_per_day"], points.drawn

    for text in ("5 h", "6 h"):
        desk.change(with_hours(desk.draft, text))
    for letter in "ab":
        points.add(letter)
    seen = [state()]
    for _ in range(3):
        desk.undo()
        seen.append(state())
    assert seen == [("6 h", "ab"), ("6 h", "a"), ("6 h", ""), ("5 h", "")]
    for expected in seen[-2::-1]:
        desk.redo()
        assert state() == expected
    for _ in range(3):
        desk.undo()
    points.add("c")
    desk.redo()
    assert state() == ("6 h", "c")
    desk.undo()
    desk.undo()
    desk.redo()
    desk.redo()
    assert state() == ("6 h", "c")
    assert not desk.can_redo
