"""Plans made in worker processes: the newest draft of each desk, one worker a desk as long as there are enough."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from queue import SimpleQueue
from typing import Any

from fieldplan.errors import Problem, problem
from fieldplan.web import warming
from fieldplan.web.answer import Answer
from fieldplan.web.draft import Draft
from fieldplan.web.wire import Receiver
from fieldplan.web.worker import Asked, work
from fieldplan.web.written import FIELDS

PATIENCE_S = 4.0
"""A worker that is still busy with an outdated draft after this time is stopped, and another begins without what that
one remembered.
"""
ENDS = ("answer", "outdated", "failed")
"""What a worker says when it is free again."""
_WARMING = "warming"
Answered = Callable[[Answer], None]
Progressed = Callable[[int, int], None]


@dataclass(slots=True, kw_only=True)
class Wanted:
    """What a desk waits for.

    Parameters
    ----------
    again
        Whether a worker was lost with it before.
    helps
        The worker for which this one covers fields ahead, and the number of the request there.
    """

    who: str
    asked: Asked
    answered: Answered
    progressed: Progressed
    again: bool = False
    helps: tuple[Worker, int] | None = None


@dataclass(slots=True, eq=False)
class Worker:
    """A process, and what it is busy with. What is sent to it waits in an outbox: nobody waits until it is read."""

    context: Any = field(default_factory=lambda: multiprocessing.get_context("spawn"))
    busy: Wanted | None = None
    waiting: dict[str, Wanted] = field(default_factory=dict)
    late_from_s: float | None = None
    compiles: bool = False
    process: Any = None
    pipe: Any = None
    outdated: Any = None
    outbox: SimpleQueue[Any] = field(default_factory=SimpleQueue)

    def begin(self) -> None:
        """Start the process."""
        here, there = self.context.Pipe()
        self.outdated = self.context.Value("Q", 0)
        self.process = self.context.Process(target=work, args=(there, self.outdated), daemon=True)
        self.process.start()
        there.close()
        self.pipe = here
        self.outbox.put(None)
        self.outbox = SimpleQueue()
        threading.Thread(target=_post, args=(here, self.outbox), daemon=True).start()

    def stop(self) -> None:
        """End the process, whatever it does."""
        if self.process is not None:
            self.process.kill()
            self.process.join(5.0)


class Planner:
    """Plans the newest draft of every desk that asks.

    Callbacks are called in threads of the planner.

    Parameters
    ----------
    n_workers
        Processes; as many as there are processors, and at most four, if not given.
    compiling
        Is told when a process begins to compile loops, for which plans wait, and when it has.
    """

    def __init__(
        self, n_workers: int | None = None, compiling: Callable[[bool], None] | None = None
    ) -> None:
        self.compiling = compiling
        self._lock = threading.RLock()
        self._workers = [Worker() for _ in range(n_workers or max(1, min(4, os.cpu_count() or 1)))]
        self._homes: dict[str, Worker] = {}
        self._of_folder: dict[Path, Worker] = {}
        self._number = 0
        self._stopped = False

    def begin(self) -> None:
        """Start the processes, so that the first plan need not wait for them."""
        with self._lock:
            for worker in self._workers:
                self._begin(worker)
        threading.Thread(target=self._mind_the_time, daemon=True).start()

    def stop(self) -> None:
        """End all processes."""
        with self._lock:
            self._stopped = True
            for worker in self._workers:
                worker.stop()

    def ask(
        self,
        who: str,
        draft: Draft,
        folder: Path,
        *,
        today: date,
        answered: Answered,
        progressed: Progressed,
    ) -> None:
        """Plan a draft; an earlier one of the same desk that is not planned yet is dropped.

        Parameters
        ----------
        who
            Names the desk.
        folder
            The folder of its job.
        answered
            Is told the answer, unless another draft is asked for before.
        progressed
            Is told how many fields are planned, and how many there are.
        """
        with self._lock:
            if self._stopped:
                return
            self._number += 1
            asked = Asked(number=self._number, draft=draft, folder=folder, today=today)
            worker = self._home_of(who, folder)
            worker.waiting[who] = Wanted(who=who, asked=asked, answered=answered, progressed=progressed)
            self._outdate(worker, who)
            self._next(worker)

    def look_ahead(self, draft: Draft, folder: Path, *, today: date) -> None:
        """Plan a draft that nobody has asked for yet: it is remembered until somebody does."""
        self.ask("", draft, folder, today=today, answered=self._looked, progressed=_not_told)

    def warm(self, today: date) -> None:
        """Make a first plan in one process after the other: the first compiles what all others load."""
        self._warm(self._workers, today)

    def _warm(self, workers: Sequence[Worker], today: date) -> None:
        with self._lock:
            if self._stopped or not workers:
                return
            self._number += 1
            workers[0].waiting[_WARMING] = Wanted(
                who=_WARMING,
                asked=Asked(number=self._number, draft=warming.draft(), folder=Path(_WARMING), today=today),
                answered=lambda _: self._warm(workers[1:], today),
                progressed=_not_told,
            )
            self._next(workers[0])

    def _looked(self, answer: Answer) -> None:
        del answer
        self.forget("")

    def forget(self, who: str) -> None:
        """Drop what a desk waits for: nobody looks at it any more."""
        with self._lock:
            worker = self._homes.pop(who, None)
            if worker is not None:
                worker.waiting.pop(who, None)
                self._outdate(worker, who)

    def _home_of(self, who: str, folder: Path) -> Worker:
        """The worker of a desk: the one that remembers its job, or else the one with the fewest desks."""
        if who not in self._homes:
            homes = list(self._homes.values())
            free = min(self._workers, key=lambda one: sum(home is one for home in homes))
            self._homes[who] = self._of_folder.setdefault(folder, free)
        return self._homes[who]

    def _outdate(self, worker: Worker, who: str) -> None:
        """Nobody waits for what a worker is busy with for a desk; nor for help, where somebody asks for a plan."""
        if worker.busy is not None and (worker.busy.who == who or worker.busy.helps is not None):
            worker.outdated.value = worker.busy.asked.number
            worker.late_from_s = worker.late_from_s or time.monotonic()

    def _next(self, worker: Worker) -> None:
        """Hand a worker what has waited longest, if it is free."""
        if worker.busy is not None or not worker.waiting:
            return
        who = min(worker.waiting, key=lambda one: worker.waiting[one].asked.number)
        worker.busy, worker.late_from_s = worker.waiting.pop(who), None
        worker.outbox.put(worker.busy.asked)

    def _share(self, worker: Worker, lacking: tuple[int, ...]) -> None:
        """Have idle workers cover fields from the last on, while the one that plans begins with the first."""
        idle = [one for one in self._workers if one is not worker and one.busy is None and not one.waiting]
        if worker.busy is None:
            return
        for k, helper in enumerate(idle):
            self._number += 1
            ahead = lacking[::-1][k :: len(idle)]
            asked = replace(worker.busy.asked, number=self._number, ahead=ahead)
            helper.waiting[""] = replace(
                worker.busy, who="", asked=asked, helps=(worker, worker.busy.asked.number)
            )
            self._next(helper)

    def _no_more_help(self, worker: Worker, number: int) -> None:
        for helper in self._workers:
            if helper.busy is not None and helper.busy.helps == (worker, number):
                helper.outdated.value = helper.busy.asked.number

    def _begin(self, worker: Worker) -> None:
        worker.begin()
        threading.Thread(target=self._listen, args=(worker, worker.pipe), daemon=True).start()

    def _listen(self, worker: Worker, pipe: Any) -> None:
        """Pass on what one process says, until it is gone."""
        receiver = Receiver()
        while True:
            try:
                kind, number, said = pipe.recv()
                answer = receiver.unpack(said) if kind == "answer" else None
            except (EOFError, OSError):
                compiled = worker.compiles
                self._lost(worker, pipe)
                self._tell_of_compiling(worker, compiled)
                return
            with self._lock:
                wanted = worker.busy if worker.busy and worker.busy.asked.number == number else None
                live = wanted is not None and number > worker.outdated.value
                compiled = worker.compiles
                if kind == "compiling":
                    worker.compiles = True
                elif kind == "lacking" and live:
                    self._share(worker, said)
                elif kind == "covered" and wanted is not None and wanted.helps is not None:
                    wanted.helps[0].outbox.put(said)
                elif kind in ENDS:
                    worker.busy, worker.compiles = None, False
                    self._no_more_help(worker, number)
                    self._next(worker)
            self._tell_of_compiling(worker, compiled)
            if wanted is None or not live:
                continue
            if wanted.helps is not None:
                continue
            if answer is not None:
                wanted.answered(replace(answer, draft=wanted.asked.draft))
            elif kind == "progress":
                done, every = said
                wanted.progressed(done, every)
            elif kind == "failed":
                why = str(said).strip().splitlines()[-1]
                wanted.answered(_without_plan(wanted.asked, problem("desk-bug", why=why)))

    def _tell_of_compiling(self, worker: Worker, before: bool) -> None:
        if worker.compiles != before and self.compiling is not None:
            self.compiling(any(one.compiles for one in self._workers))

    def _lost(self, worker: Worker, pipe: Any) -> None:
        """Begin another process in the place of one that is gone, and go on with what it was busy with."""
        with self._lock:
            if self._stopped or worker.pipe is not pipe:
                return
            lost, worker.busy, worker.compiles = worker.busy, None, False
            outdated = lost is not None and (
                lost.helps is not None or lost.asked.number <= worker.outdated.value
            )
            if lost is not None:
                self._no_more_help(worker, lost.asked.number)
            self._begin(worker)
            given_up = None
            if lost is not None and not outdated:
                if lost.again:
                    given_up = lost
                else:
                    worker.waiting.setdefault(lost.who, replace(lost, again=True))
            self._next(worker)
        if given_up is not None:
            given_up.answered(_without_plan(given_up.asked, problem("desk-worker-lost")))

    def _mind_the_time(self) -> None:
        """Stop workers that go on with an outdated draft for too long, where somebody waits for them.

        One that compiles goes on: another would have to begin with that again.
        """
        while not self._stopped:
            time.sleep(0.2)
            with self._lock:
                for worker in self._workers:
                    late_s = time.monotonic() - (worker.late_from_s or time.monotonic())
                    if late_s > PATIENCE_S and worker.waiting and worker.busy and not worker.compiles:
                        worker.late_from_s = None
                        worker.process.kill()


def _post(pipe: Any, outbox: SimpleQueue[Any]) -> None:
    """Send what is put into an outbox, until nothing more is."""
    with contextlib.suppress(OSError, ValueError):  # the one that listens sees that the process is gone
        for message in iter(outbox.get, None):
            pipe.send(message)


def _not_told(done: int, every: int) -> None:
    del done, every


def _without_plan(asked: Asked, found: Problem) -> Answer:
    return Answer(draft=asked.draft, boundary_name=FIELDS, problems=(found,))
