"""A worker: a process that plans drafts one after the other, and remembers what it has read and covered."""

from __future__ import annotations

import os
import pickle
import signal
import tempfile
import threading
import time
from collections import OrderedDict, deque
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from multiprocessing import parent_process
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fieldplan.boundary.exclusions import ExclusionFile, load_exclusions
from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.coverage.remembered import offer
from fieldplan.errors import FieldplanError, Problem
from fieldplan.field_planner import covered_ahead, lacking, remember
from fieldplan.files import only_within
from fieldplan.jobfile.load import job_of
from fieldplan.kernels.ahead import make_ready
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.field import Field
from fieldplan.model.job import Job
from fieldplan.planner import plan_job
from fieldplan.web.answer import Answer
from fieldplan.web.draft import Draft
from fieldplan.web.needed import examined_whole, things
from fieldplan.web.warming import tell_when_compiling
from fieldplan.web.wire import Sender
from fieldplan.web.written import (
    EXCLUSIONS,
    FIELDS,
    JOB,
    fields_with_exclusions,
    ground_writers,
    without_exclusion_keys,
)

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.sharedctypes import Synchronized

WORTH_HELP = 3
"""So many fields to cover are shared with workers that have nothing to do."""
MAX_GROUNDS = 16
"""Maps whose fields a worker keeps."""
MAX_FIELDS = 150
"""Fields whose coverage and plan it keeps: two jobs of sixty fields and several of ten."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A draft to be planned.

    Parameters
    ----------
    number
        Rises from one request to the next.
    folder
        The folder of the job: files that the job names lie there.
    today
        The day on which the plan is made.
    ahead
        Numbers of fields that are to be covered for another worker, which plans the draft.
    """

    number: int
    draft: Draft
    folder: Path
    today: date
    ahead: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Covered:
    """The coverage of a field that another worker has worked out, as bytes, and what it depends on."""

    key: bytes
    packed: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """The fields of a map as they were read, and its exclusions for each field that they may reach."""

    boundary: BoundaryFile
    exclusions: tuple[ExclusionFile, ...] = ()


@dataclass(slots=True)
class Known:
    """The maps that were read last."""

    grounds: OrderedDict[bytes, Ground] = field(default_factory=OrderedDict)

    def ground(self, draft: Draft, folder: Path) -> Ground:
        """The fields of a draft, read from the files that it is saved as.

        Raises
        ------
        BoundaryError
            With every problem of the map.
        """
        key = pickle.dumps((draft.ground, str(folder)))
        ground = self.grounds.pop(key, None) or _read(draft, folder)
        self.grounds[key] = ground
        while len(self.grounds) > MAX_GROUNDS:
            self.grounds.popitem(last=False)
        return ground


class Outdated(Exception):
    """Nobody waits for this plan any more."""


def answer_to(
    asked: Asked,
    known: Known,
    progress: Callable[[Iterable[Field]], Iterable[Field]] = iter,
    lacks: Callable[[tuple[int, ...]], None] | None = None,
) -> Answer:
    """The plan of a draft, or all that is in its way.

    Parameters
    ----------
    progress
        Wraps the fields as they are planned.
    lacks
        Is told the numbers of fields that have to be covered, before that begins.
    """
    begun = time.perf_counter()
    problems: list[Problem] = []
    ground, job, plan = None, None, None
    draft, folder = asked.draft, asked.folder
    if draft.of_layer("fields"):
        try:
            ground = known.ground(draft, folder)
        except FieldplanError as error:
            problems += error.problems
    with only_within(folder):
        found = examined_whole(draft, folder / JOB)
    job = found.job
    problems += things(draft, found.problems)
    if ground and job and not problems:
        try:
            with only_within(folder):  # the heights that a job names are read while it is planned
                if lacks is not None:
                    lacks(lacking(ground.boundary, job))
                plan = plan_job(ground.boundary, job, progress, today=asked.today)
        except FieldplanError as error:
            problems += error.problems
    return Answer(
        draft=draft,
        boundary_name=FIELDS,
        plan=plan,
        problems=tuple(problems),
        took_s=time.perf_counter() - begun,
    )


def _job(draft: Draft, folder: Path) -> Job:
    """The job of the tables; no file outside the folder is opened for it."""
    with only_within(folder):
        return job_of(without_exclusion_keys(draft.tables), folder / JOB)


def _read(draft: Draft, folder: Path) -> Ground:
    """Write the map as it is saved, and read it as the command line does."""
    terms = ReadingTerms()
    with tempfile.TemporaryDirectory(prefix="fieldplan-desk-") as place:
        try:
            return _read_from(Path(place), draft, folder, terms)
        except FieldplanError as error:
            raise type(error)(
                tuple(replace(one, file=one.file.replace(place, folder.name)) for one in error.problems)
            ) from None


def _read_from(place: Path, draft: Draft, folder: Path, terms: ReadingTerms) -> Ground:
    for file, _, write in ground_writers(draft):
        write(place / file)
    named = fields_with_exclusions(draft)
    exclusions = tuple(load_exclusions(place / EXCLUSIONS, terms, field_id=field_id) for field_id in named)
    boundary = load_fields(place / FIELDS, terms, exclusions)
    return Ground(boundary=replace(boundary, path=folder / FIELDS), exclusions=exclusions)


def work(conversation: Connection, outdated: Synchronized[int]) -> None:
    """Answer what is asked through a pipe until it closes; the body of the process.

    Parameters
    ----------
    outdated
        Requests up to this number are not waited for any more.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    remember(MAX_FIELDS)
    _warm()
    at_work = _AtWork(conversation, outdated)
    tell_when_compiling(at_work.compiles)
    while at_work.answer_next():
        pass


class _AtWork:
    """A worker's conversation, and what it knows."""

    def __init__(self, conversation: Connection, outdated: Synchronized[int]) -> None:
        self._conversation, self._outdated = conversation, outdated
        self._known, self._sender = Known(), Sender(MAX_FIELDS)
        self._asked = deque[Asked]()
        self._number, self._compiled_for = 0, -1

    def answer_next(self) -> bool:
        """Answer the next request; false when there will be none."""
        try:
            while not self._asked:
                self._take(self._conversation.recv())
        except (EOFError, OSError):
            return False
        asked = self._asked.popleft()
        self._number = asked.number
        try:
            self._require_wanted(asked.number)
            make_ready(self.compiles)
            kind, said = self._ahead(asked) if asked.ahead else self._answer(asked)
        except Outdated:
            kind, said = "outdated", None
        except Exception:
            kind, said = "failed", _trace()
        self._tell(kind, asked.number, said)
        return True

    def compiles(self) -> None:
        """Tell that what was asked takes longer, for a loop has to be compiled."""
        if self._compiled_for != self._number:
            self._compiled_for = self._number
            self._tell("compiling", self._number, None)

    def _answer(self, asked: Asked) -> tuple[str, Any]:
        def lacks(numbers: tuple[int, ...]) -> None:
            if len(numbers) >= WORTH_HELP:
                self._tell("lacking", asked.number, numbers)

        answer = answer_to(asked, self._known, self._told(asked.number), lacks)
        # without the draft, which the desk has
        return "answer", self._sender.pack(replace(answer, draft=Draft()))

    def _ahead(self, asked: Asked) -> tuple[str, Any]:
        """Cover fields for another worker."""
        ground, job = self._known.ground(asked.draft, asked.folder), _job(asked.draft, asked.folder)
        for key, driven in covered_ahead(ground.boundary, job, asked.ahead):
            self._tell("covered", asked.number, Covered(key, pickle.dumps(driven, pickle.HIGHEST_PROTOCOL)))
            self._require_wanted(asked.number)
        return "outdated", None

    def _told(self, number: int) -> Callable[[Iterable[Field]], Iterable[Field]]:
        """Tells how many fields are planned, takes what others have covered, and stops where nobody waits for the rest."""

        def progress(fields: Iterable[Field]) -> Iterator[Field]:
            every = tuple(fields)
            told_s = time.perf_counter()
            for n, one in enumerate(every):
                self._require_wanted(number)
                if time.perf_counter() - told_s > 0.1:
                    self._tell("progress", number, (n, len(every)))
                    told_s = time.perf_counter()
                while self._conversation.poll():
                    self._take(self._conversation.recv())
                yield one

        return progress

    def _take(self, message: Asked | Covered) -> None:
        if isinstance(message, Covered):
            offer(message.key, pickle.loads(message.packed))
        else:
            self._asked.append(message)

    def _require_wanted(self, number: int) -> None:
        if number <= self._outdated.value:
            raise Outdated

    def _tell(self, kind: str, number: int, said: Any) -> None:
        self._conversation.send((kind, number, said))


def _trace() -> str:
    import traceback

    return traceback.format_exc()


def _warm() -> None:
    """Load what the first plan would wait for."""
    import geopandas  # noqa: F401
    import pyogrio  # noqa: F401


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
