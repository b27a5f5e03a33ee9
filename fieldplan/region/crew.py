"""Workers that plan parts: processes of this machine, each replaced when it is lost or past its time.

A part that a worker is lost with is done once more, for a worker may be killed for reasons of its own. If it is
lost again, or a part takes longer than its limit, it is halved until the parcel is found that stops the
planner; that one is left, and named.
"""

from __future__ import annotations

import ctypes
import gc
import multiprocessing
import os
import signal
import threading
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from dataclasses import dataclass, field

from fieldplan.errors import PlanError
from fieldplan.kernels.ahead import make_ready
from fieldplan.region.parcel import LOST, TOO_LONG, Parcel, Planned, Setup, plan_parcel, row_without_plan
from fieldplan.region.parts import Part

PlanOne = Callable[[Parcel, Setup], Planned]
_LOOK_AGAIN_S = 0.5
_MOST_NEVER_BEGUN = 3
_MEMORY_EVERY = 10
"""Parcels after which memory is given back."""

_setup: Setup | None = None
"""Of this worker."""


def plan_part(part: Part, setup: Setup, plan_one: PlanOne = plan_parcel) -> tuple[Planned, ...]:
    """The rows of a part: the one function that every engine runs."""
    planned = []
    for number, parcel in enumerate(part.parcels, start=1):
        planned.append(plan_one(parcel, setup))
        if number % _MEMORY_EVERY == 0 or number == len(part.parcels):
            _give_back_memory()
    return tuple(planned)


@dataclass(slots=True)
class Gathered:
    """Rows of parts that came back in pieces, until they are whole."""

    wanted: dict[int, int] = field(default_factory=dict)
    rows: dict[int, list[Planned]] = field(default_factory=dict)

    def begin(self, part: Part) -> None:
        """Expect the rows of a part."""
        self.wanted[part.number], self.rows[part.number] = len(part.parcels), []

    def add(self, number: int, planned: Iterable[Planned]) -> Iterator[tuple[int, list[Planned]]]:
        """Add rows; the part, in the order of its rows, if these are its last."""
        self.rows[number] += planned
        if len(self.rows[number]) == self.wanted[number]:
            del self.wanted[number]
            yield number, sorted(self.rows.pop(number), key=lambda one: int(one.row["row"]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A part or some of it, and whether a worker was lost with it before."""

    part: Part
    again: bool = False

    def after_loss(self, code: str, setup: Setup) -> tuple[list[Piece], list[Planned]]:
        """What is to be done of it after a worker was lost with it, and what is left for good."""
        if code == LOST and not self.again:
            return [Piece(part=self.part, again=True)], []
        if len(self.part.parcels) == 1:
            return [], [Planned(row=row_without_plan(self.part.parcels[0], setup, code))]
        return [Piece(part=half, again=True) for half in self.part.halves()], []


class Worker:
    """One process, and the piece that it has.

    Parameters
    ----------
    limit_s
        How long it may take for a piece.
    """

    def __init__(self, setup: Setup, plan_one: PlanOne, limit_s: float) -> None:
        self._begin = (setup, plan_one)
        self._limit_s = limit_s
        self.piece: Piece | None = None
        self.future: Future[tuple[Planned, ...]] | None = None
        self._until: float | None = None
        self._code = LOST
        self._never_begun = 0
        self._hire()

    def _hire(self) -> None:
        # a new interpreter: a copy of this one would copy its locks, held or not
        self._pool = ProcessPoolExecutor(
            1, multiprocessing.get_context("spawn"), initializer=_begin_work, initargs=self._begin
        )
        self._ready: Future[int] = self._pool.submit(os.getpid)

    def start(self, piece: Piece) -> None:
        """Hand a piece to the process, a new one if the last is lost."""
        try:
            self.future = self._pool.submit(_work, piece.part)
        except BrokenProcessPool:
            self._replace()
            self.future = self._pool.submit(_work, piece.part)
        self.piece, self._until, self._code = piece, None, LOST

    def mind_the_time(self) -> None:
        """Kill the process if its piece is past its limit, which counts from when the process is ready."""
        if self.future is None or not self._ready.done() or self._ready.exception() is not None:
            return
        if self._until is None:
            self._until = time.monotonic() + self._limit_s
        elif time.monotonic() > self._until and not self.future.done():
            self._code = TOO_LONG
            self._kill()

    def result(self) -> tuple[Piece, tuple[Planned, ...] | str]:
        """The piece that is done, and its rows or the code of why they were lost."""
        assert self.piece is not None
        assert self.future is not None
        piece, future = self.piece, self.future
        self.piece = self.future = None
        try:
            found = future.result()
        except BrokenProcessPool:
            code = self._code
            self._replace()
            return piece, code
        self._never_begun = 0
        return piece, found

    def stop(self) -> None:
        """End the process, whatever it does."""
        self._kill()
        self._pool.shutdown(wait=False, cancel_futures=True)

    def _replace(self) -> None:
        """Another process in the place of a lost one.

        Raises
        ------
        PlanError
            If several were lost in a row before they could begin: then it is not the parcels' fault.
        """
        begun = self._ready.done() and self._ready.exception() is None
        self._never_begun = 0 if begun else self._never_begun + 1
        if self._never_begun >= _MOST_NEVER_BEGUN:
            raise PlanError.of("region-no-worker")
        self._pool.shutdown(wait=False, cancel_futures=True)
        self._hire()

    def _kill(self) -> None:
        if self._ready.done() and self._ready.exception() is None:
            with suppress(ProcessLookupError):
                os.kill(self._ready.result(), getattr(signal, "SIGKILL", signal.SIGTERM))


def planned_by_processes(
    parts: Iterable[Part],
    setup: Setup,
    *,
    n_workers: int,
    limit_s: float,
    plan_one: PlanOne = plan_parcel,
) -> Iterator[tuple[int, list[Planned]]]:
    """Number and rows of each part, in whatever order they are done; only what is being planned is in memory.

    Workers load kernels that others have compiled: one that compiles them itself has three times the memory.

    Parameters
    ----------
    limit_s
        Time that a part may take.
    """
    make_ready()
    waiting, left, gathered = deque[Piece](), iter(parts), Gathered()
    workers = [Worker(setup, plan_one, limit_s) for _ in range(n_workers)]
    try:
        while True:
            for worker in (one for one in workers if one.piece is None):
                if not waiting and (part := next(left, None)) is not None:
                    gathered.begin(part)
                    waiting.append(Piece(part=part))
                if waiting:
                    worker.start(waiting.popleft())
            busy = {worker.future: worker for worker in workers if worker.future is not None}
            if not busy:
                return
            done, _ = wait(busy, _LOOK_AGAIN_S, FIRST_COMPLETED)
            for future in done:
                piece, found = busy[future].result()
                if isinstance(found, str):
                    again, given_up = piece.after_loss(found, setup)
                    waiting.extendleft(reversed(again))
                    yield from gathered.add(piece.part.number, given_up)
                else:
                    yield from gathered.add(piece.part.number, found)
            for worker in workers:
                worker.mind_the_time()
    finally:
        for worker in workers:
            worker.stop()


def _begin_work(setup: Setup, plan_one: PlanOne) -> None:
    """Make a process ready: it leaves interruptions to the one that started it, and ends when that ends."""
    global _setup, _plan_one
    _setup, _plan_one = setup, plan_one
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()


_plan_one: PlanOne = plan_parcel
_is_settled = False


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _work(part: Part) -> tuple[Planned, ...]:
    global _is_settled
    assert _setup is not None
    planned = plan_part(part, _setup, _plan_one)
    if not _is_settled:
        # libraries and tables are loaded now, and stay: looking through them again took longer than a small parcel
        gc.collect()
        gc.freeze()
        _is_settled = True
    return planned


def _give_back_memory() -> None:
    """Give memory that is free back to the system, where the C library keeps it: outlines come in all sizes, and
    what one leaves does not fit the next.
    """
    gc.collect()
    with suppress(OSError, AttributeError):
        ctypes.CDLL("libc.so.6").malloc_trim(0)
