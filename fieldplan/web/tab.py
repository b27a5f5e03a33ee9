"""One page in one browser: its desk, saved as it changes, and planned as it changes."""

from __future__ import annotations

import asyncio
import uuid
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

from fieldplan.errors import FieldplanError, Problem, problem
from fieldplan.web.answer import Answer
from fieldplan.web.desk import Desk
from fieldplan.web.draft import Draft
from fieldplan.web.jobs import Jobs, Kept, OvertakenError
from fieldplan.web.planning import Planner

State = Literal["saved", "saving", "overtaken", "read only", "failed"]
SAVE_AFTER_S = 0.15
"""Changes that follow each other more closely are saved together; the first of them waits no longer than twice that."""
RETRY_AFTER_S = 5.0
DRAW_AFTER_S = 0.02
Today = Callable[[], date]


@dataclass(slots=True)
class Tabs:
    """All pages of a server that have a job open: they tell each other what was saved."""

    open: dict[str, list[Tab]] = field(default_factory=dict)
    compiles: bool = False

    def add(self, tab: Tab) -> None:
        """A page has opened its job."""
        self.open.setdefault(tab.desk.name, []).append(tab)

    def remove(self, tab: Tab) -> None:
        """A page is closed."""
        of_job = self.open.get(tab.desk.name, [])
        if tab in of_job:
            of_job.remove(tab)
        if not of_job:
            self.open.pop(tab.desk.name, None)

    def told_of_compiling(self, compiles: bool) -> None:
        """Have every page say that plans take longer, or no longer do."""
        self.compiles = compiles
        for tab in [tab for name in self.open for tab in self.of(name)]:
            tab.desk.compiles = compiles
            tab.desk.tell("progress")

    def of(self, name: str) -> tuple[Tab, ...]:
        """The pages that have a job open."""
        return tuple(self.open.get(name, ()))

    async def flush(self, name: str) -> None:
        """Save what the pages of a job have not saved yet."""
        for tab in self.of(name):
            await tab.flush()

    async def flush_all(self) -> None:
        """Save what no page has saved yet. The library would give an argument to what takes one as it stops."""
        for name in list(self.open):
            await self.flush(name)


class Tab:
    """One page.

    Parameters
    ----------
    kept
        The job as it was opened.
    today
        Tells the day on which plans are made.
    """

    def __init__(self, kept: Kept, jobs: Jobs, planner: Planner, tabs: Tabs, today: Today) -> None:
        self.who = uuid.uuid4().hex
        self.desk = Desk(
            draft=kept.draft,
            units=kept.units,
            variants=kept.variants,
            name=kept.name,
            folder=kept.folder,
            read_only=kept.read_only,
            compiles=tabs.compiles,
        )
        self.desk.step_from(kept.steps)
        self._steps_kept = kept.steps
        self.revision = kept.revision
        self.state: State = "read only" if kept.read_only else "saved"
        self.why: tuple[Problem, ...] = (kept.read_only,) if kept.read_only else ()
        self.folder = kept.folder
        self._jobs, self._planner, self._tabs, self._today = jobs, planner, tabs, today
        self._as_saved: tuple[Draft, Any, Any] = self._now()
        self._draft_saved: Draft | None = kept.draft
        self._loop = asyncio.get_running_loop()
        self._alone = asyncio.Lock()
        self._timer: asyncio.TimerHandle | None = None
        self._tasks = set[asyncio.Task[None]]()
        self._closed = False
        self._drawing: asyncio.TimerHandle | None = None
        self.desk.later = self._later
        tabs.add(self)
        for topic in ("draft", "units", "variants"):
            self.desk.listen(topic, self._save_soon)
        self.desk.listen("draft", self._plan)

    def begin(self) -> None:
        """Plan the job as it was opened."""
        self._plan()

    def _now(self) -> tuple[Draft, Any, Any]:
        return (self.desk.draft, self.desk.units, self.desk.variants)

    # planning

    def _plan(self) -> None:
        self.desk.planned = None
        draft = self.desk.draft
        self._planner.ask(
            self.who,
            draft,
            self.folder,
            today=self._today(),
            answered=lambda answer: self._from_thread(self._answered, answer),
            progressed=lambda done, every: self._from_thread(self._progressed, draft, done, every),
        )
        self.desk.tell("progress")

    def _from_thread(self, call: Callable[..., None], *values: Any) -> None:
        if not self._loop.is_closed():
            self._loop.call_soon_threadsafe(call, *values)

    def _answered(self, answer: Answer) -> None:
        if not self._closed and answer.draft is self.desk.draft:
            self.desk.answered(answer)

    def _later(self, act: Callable[[], None]) -> None:
        """Do something after the next messages have left; what was to be done before and is not yet is left out."""
        if self._drawing is not None:
            self._drawing.cancel()
        self._drawing = self._loop.call_later(DRAW_AFTER_S, self._draw, act)

    def _draw(self, act: Callable[[], None]) -> None:
        self._drawing = None
        if not self._closed:
            act()

    def _progressed(self, draft: Draft, done: int, every: int) -> None:
        if not self._closed and draft is self.desk.draft:
            self.desk.planned = (done, every)
            self.desk.tell("progress")

    # saving

    def _save_soon(self) -> None:
        if self.state == "read only":
            return
        if self.state != "overtaken":
            self._show("saving")
        if self._timer is None and self.state != "overtaken":
            self._timer = self._loop.call_later(SAVE_AFTER_S, self._save_now)

    def _save_now(self) -> None:
        self._timer = None
        task = self._loop.create_task(self._save())
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    async def flush(self) -> None:
        """Save now what is not saved yet, and what undo goes to."""
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        await self._save()
        steps = self.desk.steps
        if self.state == "saved" and steps != self._steps_kept:
            self._steps_kept = steps
            with suppress(FieldplanError):  # the job itself is saved: undo begins anew without them
                await asyncio.to_thread(
                    self._jobs.keep_steps, self.desk.name, steps, revision=self.revision
                )

    async def _save(self) -> None:
        async with self._alone:
            now = self._now()
            if self.state in ("read only", "overtaken") or now == self._as_saved:
                if self.state == "saving":
                    self._show("saved")
                return
            draft, units, variants = now
            try:
                revision = await asyncio.to_thread(
                    lambda: self._jobs.save(
                        self.desk.name,
                        draft,
                        revision=self.revision,
                        before=self._draft_saved,
                        units=units,
                        variants=variants,
                    )
                )
            except OvertakenError as error:
                self._show("overtaken", error.problems)
                return
            except FieldplanError as error:
                self._show("failed", error.problems)
                self._timer = self._timer or self._loop.call_later(RETRY_AFTER_S, self._save_now)
                return
            self.revision, self._as_saved, self._draft_saved = revision, now, draft
            if self._now() == now:
                self._show("saved")
            for other in self._tabs.of(self.desk.name):
                if other is not self:
                    other.told_of(revision, draft, variants)

    def told_of(self, revision: int, draft: Draft, variants: tuple[Mapping[str, Any], ...]) -> None:
        """Another page has saved the job; if all that it changed is how it is looked at, this one just goes on."""
        alike = self.state == "saved" and (draft, variants) == (self.desk.draft, self.desk.variants)
        if revision == self.revision + 1 and alike:
            self.revision = revision
        elif revision > self.revision and self.state != "read only":
            if self._timer is not None:
                self._timer.cancel()
                self._timer = None
            self._show("overtaken", (problem("desk-overtaken", name=self.desk.name),))

    async def take_newer(self) -> bool:
        """Show the job as another page has saved it; what this page had can be had back by undoing.

        Returns
        -------
        bool
            False if it can only be looked at now: the page is to be opened anew.
        """
        kept = await asyncio.to_thread(self._jobs.take_up, self.desk.name)
        if kept.read_only is not None:
            return False
        self.revision, self._draft_saved = kept.revision, kept.draft
        self._as_saved = (kept.draft, kept.units, kept.variants)
        self.state = "saved"
        self.desk.change(kept.draft)
        self.desk.keep(kept.variants)
        self.desk.speak(kept.units)
        await self.flush()
        self._show("saved")
        return True

    async def keep_mine(self) -> str:
        """Save what this page has as a job of its own, with the files that it names; the name of that job."""
        new = await asyncio.to_thread(self._jobs.duplicate, self.desk.name, self.desk.name)
        draft, units, variants = self._now()
        kept = await asyncio.to_thread(self._jobs.take_up, new)
        await asyncio.to_thread(
            lambda: self._jobs.save(
                new, draft, revision=kept.revision, before=kept.draft, units=units, variants=variants
            )
        )
        return new

    def _show(self, state: State, why: tuple[Problem, ...] = ()) -> None:
        if (state, why) != (self.state, self.why):
            self.state, self.why = state, why
            self.desk.tell("saved")

    async def close(self) -> None:
        """The page is gone: what it changed last is saved, and nothing is planned for it any more."""
        self._closed = True
        self._planner.forget(self.who)
        await self.flush()
        self._tabs.remove(self)
