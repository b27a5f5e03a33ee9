"""The first plan on a machine: made ready at the start, said while it lasts, and not begun again for nothing."""

from __future__ import annotations

import multiprocessing
import threading
import time
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numba
import numpy as np
import pytest
from desks import TODAY, small_draft, waited

from fieldplan.report.words.first_start import FIRST
from fieldplan.web import planning, warming
from fieldplan.web.desk import Desk
from fieldplan.web.planning import Planner
from fieldplan.web.waiting import waiting_for
from fieldplan.web.worker import Asked, Known, answer_to


def test_the_draft_for_warming_up_can_be_planned() -> None:
    """With a hole and a pond in it: what is compiled for it is what a plan needs."""
    draft = warming.draft()
    answer = answer_to(Asked(number=1, draft=draft, folder=Path("warming"), today=TODAY), Known())
    assert answer.problems == ()
    assert answer.plan is not None
    (field,) = answer.plan.driven
    assert field.totals.passes > 5


def test_compiling_is_told_and_running_is_not() -> None:
    """Each time that a loop is compiled, and not when it is called again."""
    from numba.core import event

    told: list[int] = []
    before = list(event._registered["numba:compile"])
    warming.tell_when_compiling(lambda: told.append(1))
    try:
        loop = numba.njit(lambda x: x + 1.0)
        assert told == []
        loop(2.0)
        n_told = len(told)
        assert n_told >= 1
        loop(3.0)
        assert len(told) == n_told
        loop(np.ones(2))
        assert len(told) > n_told
    finally:
        event._registered["numba:compile"][:] = before


class _Stand:
    """A planner with one worker whose end of the conversation is ours."""

    def __init__(self) -> None:
        self.told: list[bool] = []
        self.killed = 0
        self.planner = Planner(1, compiling=self.told.append)
        self.worker = self.planner._workers[0]
        self.worker.pipe, self.there = multiprocessing.Pipe()
        self.worker.outdated = SimpleNamespace(value=0)
        self.worker.process = SimpleNamespace(kill=self._kill, join=lambda _: None)
        for target, given in (
            (self.planner._listen, (self.worker, self.worker.pipe)),
            (self.planner._mind_the_time, ()),
        ):
            threading.Thread(target=target, args=given, daemon=True).start()

    def _kill(self) -> None:
        self.killed += 1

    def ask(self) -> int:
        """Ask for a plan; the number of the request that the worker has."""
        self.planner.ask(
            "me",
            small_draft(1),
            Path("a"),
            today=TODAY,
            answered=lambda _: None,
            progressed=lambda *_: None,
        )
        assert self.worker.busy is not None
        return self.worker.busy.asked.number


@pytest.fixture
def stand(monkeypatch: pytest.MonkeyPatch) -> Any:
    """One that is stopped afterwards, and soon loses patience."""
    monkeypatch.setattr(planning, "PATIENCE_S", 0.3)
    made = _Stand()
    yield made
    made.planner.stop()


def test_who_waits_is_told_while_loops_are_compiled(stand: Any) -> None:
    """Until the plan is there."""
    number = stand.ask()
    stand.there.send(("compiling", number, None))
    waited(lambda: stand.told == [True])
    stand.there.send(("outdated", number, None))
    waited(lambda: stand.told == [True, False])


def test_a_worker_that_compiles_is_not_stopped(stand: Any) -> None:
    """However often its draft is changed meanwhile: another would have to begin anew. Any other is."""
    number = stand.ask()
    stand.there.send(("compiling", number, None))
    waited(lambda: stand.told == [True])
    stand.ask()
    time.sleep(1.0)  # three times as long as its patience
    assert stand.killed == 0
    stand.there.send(("outdated", number, None))
    waited(lambda: stand.told == [True, False])
    waited(lambda: stand.worker.busy is not None)
    stand.ask()
    waited(lambda: stand.killed > 0)


def test_the_page_says_why_the_first_plan_takes_long() -> None:
    """In words, as long as there is no plan."""
    desk = Desk(draft=small_draft(1))
    assert FIRST not in waiting_for(desk)
    desk.compiles = True
    assert "up to a minute, once" in waiting_for(desk)


def test_one_worker_after_the_other_is_made_ready(stand: Any) -> None:
    """A plan that somebody asks for meanwhile comes right after that."""
    stand.planner.warm(TODAY)
    assert stand.worker.busy.asked.draft == warming.draft()
    first = stand.worker.busy.asked.number
    stand.ask()
    stand.there.send(("outdated", first, None))
    waited(lambda: stand.worker.busy is not None and stand.worker.busy.who == "me")
