"""A folder with the samples where command lines are run, and how what they say is put on a page."""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import shutil
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from unittest import mock

from conftest import SAMPLES, TODAY

from fieldplan.cli import main, progress
from fieldplan.errors import FieldplanError

WIDTH = "80"
"""Columns of the terminal that help pages are laid out for."""
_UNSTABLE = (
    (re.compile(r'("written": )"[^"]*"'), r'\1"(when)"'),
    (re.compile(r"\b20\d\d-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?(?:\+00:00|Z)"), "(when)"),
    (re.compile("(?<=[A-Z2-7-])\u200b"), ""),  # where a seal may be broken on paper
    (re.compile(r"\b(\d+)(?:-[A-Z2-7]{4}){5}\b"), r"\1-(seal)"),
)
"""What differs from run to run, and what stands for it: the moment at which a row went into the ledger, and its hash."""


LONG_S = 3600.0
"""No page says how long it is taking on this machine."""
_ASK_THE_CLOCK = (
    "cli.options",
    "cli.season_ledger",
    "cli.season_letters",
    "cli.season_people",
    "cli.season_plan",
    "cli.season_record",
    "cli.season_takeover",
    "report.data.calendar",
)
"""Modules that ask what day it is."""


class _SampleDay(date):
    """Dates on a machine whose calendar stands still."""

    @classmethod
    def today(cls) -> date:
        """The day on which the sample jobs are planned."""
        return TODAY


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran:
    """What a command line said."""

    line: str
    code: int
    out: str
    err: str
    problems: tuple[str, ...] = ()
    """Codes of what it was refused for: programs go by them, and no page says them."""

    @property
    def sentence(self) -> str:
        """All of it as a page: the line, what was printed, what was said beside it, and an exit code that
        is not 0.
        """
        err = f"--- on standard error\n{self.err}" if self.err else ""
        problems = f" ({', '.join(self.problems)})" if self.problems else ""
        code = f"--- exit code {self.code}{problems}\n" if self.code else ""
        return f"$ fieldplan {self.line}\n{self.out}{err}{code}"


class Bench:
    """Runs each command line once, in its own folder; asked again, it gives what was said then."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._ran: dict[str, Ran] = {}

    @classmethod
    def with_samples(cls, folder: Path) -> Bench:
        """A bench that has the sample fields on it, and a shelf of seed for each command that changes one."""
        shutil.copytree(SAMPLES, folder / "sample_fields")
        for shelf in ("us", "metric", "written", "undone"):
            shutil.copy(SAMPLES / "stock.csv", folder / f"shelf-{shelf}.csv")
        return cls(folder)

    def run(self, line: str) -> Ran:
        """What a command line says."""
        if line not in self._ran:
            self._ran[line] = run(self.folder, line)
        return self._ran[line]


def run(folder: Path, line: str) -> Ran:
    """What a command line says in a folder, in this process."""
    out, err = io.StringIO(), io.StringIO()
    problems: list[str] = []
    say = main._failed

    def failed(error: FieldplanError, *how: object) -> int:
        problems.extend(dict.fromkeys(problem.code for problem in error.problems))
        return say(error, *how)

    with contextlib.ExitStack() as here:
        for one in (
            contextlib.chdir(folder),
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
            mock.patch.dict(os.environ, COLUMNS=WIDTH),
            mock.patch.object(main, "_failed", failed),
            *(mock.patch.object(progress, name, LONG_S) for name in ("FIRST_SIGN_S", "SIGN_OF_LIFE_S")),
            *(mock.patch(f"fieldplan.{name}.date", _SampleDay) for name in _ASK_THE_CLOCK),
        ):
            here.enter_context(one)
        code = main.exit_code(shlex.split(line))
    return Ran(
        line=line,
        code=code,
        out=stable(out.getvalue()),
        err=stable(err.getvalue()),
        problems=tuple(problems),
    )


def stable(text: str) -> str:
    """A text without what differs from run to run."""
    for pattern, instead in _UNSTABLE:
        text = pattern.sub(instead, text)
    return text
