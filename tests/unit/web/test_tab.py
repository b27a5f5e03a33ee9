"""One page and its job: saved as it changes, told what stands in the way, never over another page's work."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable, Coroutine
from pathlib import Path
from typing import Any

import pytest
from desks import TODAY, NoPlanner, small_draft, with_hours

from fieldplan.errors import OutputError
from fieldplan.web import tab as tab_module
from fieldplan.web.jobs import Jobs
from fieldplan.web.tab import Tab, Tabs


@pytest.fixture
def jobs(tmp_path: Path) -> Jobs:
    """A job called "a"."""
    made = Jobs(tmp_path)
    made.save("a", small_draft(1), revision=0)
    return made


def _run(act: Callable[[Callable[[], Tab]], Coroutine[Any, Any, None]], jobs: Jobs) -> None:
    """Run something that opens pages of the job."""
    tabs = Tabs()

    async def inner() -> None:
        await act(lambda: Tab(jobs.take_up("a"), jobs, NoPlanner(), tabs, lambda: TODAY))  # type: ignore[arg-type]

    asyncio.run(inner())


def _hours(jobs: Jobs) -> str:
    return str(jobs.take_up("a").draft.tables["booking"]["hours_per_day"])


def test_changes_that_follow_closely_are_saved_together(jobs: Jobs) -> None:
    """And the first of them does not wait for the last."""

    async def act(opened: Callable[[], Tab]) -> None:
        tab = opened()
        for hours in range(40, 60):
            tab.desk.change(with_hours(tab.desk.draft, f"{hours / 10} h"))
            await asyncio.sleep(0.02)
        await asyncio.sleep(0.0)
        await tab.flush()
        assert tab.state == "saved"
        assert 2 <= tab.revision - 1 <= 8

    _run(act, jobs)
    assert _hours(jobs) == "5.9 h"


def test_a_full_disk_is_said_and_tried_again(jobs: Jobs, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing typed meanwhile is lost, and the message goes by itself."""
    monkeypatch.setattr(tab_module, "RETRY_AFTER_S", 0.1)
    save = jobs.save

    def full(*given: Any, **named: Any) -> int:
        del given, named
        raise OutputError.of("disk-full", file="jobs", why="full")

    async def act(opened: Callable[[], Tab]) -> None:
        tab = opened()
        monkeypatch.setattr(jobs, "save", full)
        tab.desk.change(with_hours(tab.desk.draft, "5 h"))
        await tab.flush()
        assert (tab.state, [one.code for one in tab.why]) == ("failed", ["disk-full"])
        tab.desk.change(with_hours(tab.desk.draft, "6 h"))
        monkeypatch.setattr(jobs, "save", save)
        for _ in range(100):
            await asyncio.sleep(0.02)
            if tab.state == "saved":
                break
        assert (tab.state, tab.why) == ("saved", ())

    _run(act, jobs)
    assert _hours(jobs) == "6 h"


def test_other_units_do_not_disturb_another_window(jobs: Jobs) -> None:
    """Each window speaks in its own; what is typed in either is saved after that."""

    async def act(opened: Callable[[], Tab]) -> None:
        one, other = opened(), opened()
        one.desk.speak("metric")
        await one.flush()
        assert (other.state, other.desk.units) == ("saved", "us")
        other.desk.change(with_hours(other.desk.draft, "5 h"))
        await other.flush()
        assert other.state == "saved"
        assert one.state == "overtaken"

    _run(act, jobs)
    assert _hours(jobs) == "5 h"


def test_a_window_with_changes_of_its_own_is_told_before_it_saves(jobs: Jobs) -> None:
    """Both typed at once: the first save counts, the other's text stays on its page and is not saved."""

    async def act(opened: Callable[[], Tab]) -> None:
        one, other = opened(), opened()
        other.desk.change(with_hours(other.desk.draft, "11 h"))
        one.desk.change(with_hours(one.desk.draft, "5 h"))
        await one.flush()
        assert other.state == "overtaken"
        await asyncio.sleep(0.4)
        await other.flush()
        assert other.desk.draft.tables["booking"]["hours_per_day"] == "11 h"

    _run(act, jobs)
    assert _hours(jobs) == "5 h"


def test_a_page_that_is_closed_saves_and_is_forgotten(jobs: Jobs) -> None:
    """Its last change is in the file, and others are not told of it any more."""

    async def act(opened: Callable[[], Tab]) -> None:
        tab = opened()
        tab.desk.change(with_hours(tab.desk.draft, "5 h"))
        await tab.close()
        assert tab._tabs.open == {}

    _run(act, jobs)
    assert _hours(jobs) == "5 h"


def test_a_job_that_is_read_only_is_not_changed(tmp_path: Path) -> None:
    """Whatever a page says: neither its draft nor what stands side by side; the units are the reader's."""
    jobs = Jobs(tmp_path)
    jobs.save("a", small_draft(1), revision=0)
    said = {"schema": "fieldplan/desk/1", "version": "99.1", "revision": 1}
    (jobs.folder_of("a") / "desk.json").write_text(json.dumps(said), encoding="utf-8")

    async def act(opened: Callable[[], Tab]) -> None:
        tab = opened()
        desk, was = tab.desk, tab.desk.draft
        desk.change(with_hours(desk.draft, "5 h"))
        desk.keep([{"name": "mine"}])
        desk.speak("metric")
        assert (desk.draft, desk.can_undo, desk.variants, desk.units) == (was, False, (), "metric")
        await tab.close()

    _run(act, jobs)
    assert json.loads((jobs.folder_of("a") / "desk.json").read_text(encoding="utf-8")) == said


def test_a_library_that_stops_has_every_page_saved(jobs: Jobs, monkeypatch: pytest.MonkeyPatch) -> None:
    """As the server asks for it: the library hands itself to whatever takes an argument."""
    nicegui = pytest.importorskip("nicegui")

    async def inner() -> None:
        monkeypatch.setattr("nicegui.core.loop", asyncio.get_running_loop())
        tabs, stopping = Tabs(), type(nicegui.app)()
        tab = Tab(jobs.take_up("a"), jobs, NoPlanner(), tabs, lambda: TODAY)  # type: ignore[arg-type]
        stopping.on_shutdown(tabs.flush_all)
        tab.desk.change(with_hours(tab.desk.draft, "4.5 h"))
        await stopping.stop()

    asyncio.run(inner())
    assert _hours(jobs) == "4.5 h"
