"""Which tests run which lines of the package, and whether they notice a change: all in a scratch copy, a
process a run.
"""

from __future__ import annotations

import compileall
import json
import multiprocessing
import os
import py_compile
import re
import resource
import shutil
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import sha256
from pathlib import Path
from typing import Any

import coverage
import pytest

ROOT = Path(__file__).resolve().parents[2]
LEFT_OUT = shutil.ignore_patterns(
    ".git", ".*_cache", ".venv", ".hypothesis", "__pycache__", "*.egg-info", "build", "dist"
)
UNTRIED = ("tests/browser", "tests/benchmarks")
REAL_PROCESSES = ("tests/cli/test_commands.py", "tests/cli/test_what_is_printed.py")
"""Files whose tests start processes of their own, in which no lines are seen: tried where no other test runs a line."""
TELLING = ("tests/golden", "tests/unit", "tests/reference", "tests/property")
"""Folders whose tests compare most figures for their time."""
_SHARED = re.compile(r"\bscope=|@(?:lru_)?cache\b")
"""Where a test may use what another one of its file made."""
HEAVY = (
    "fiona",
    "geopandas",
    "hypothesis",
    "matplotlib",
    "openpyxl",
    "ortools.sat.python.cp_model",
    "pyogrio",
    "typst",
    "xlsxwriter",
)
"""Loaded once, before processes part."""
PLAIN = (
    "-q",
    "-p",
    "no:cacheprovider",
    "--hypothesis-seed=0",
    "-W",
    "ignore::pytest.PytestAssertRewriteWarning",
    "-o",
    "addopts=--strict-markers --import-mode=importlib",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Test:
    """A test as it was when nothing was changed."""

    name: str
    seconds: float
    passed: bool

    @property
    def file(self) -> str:
        """Its file, from the root."""
        return self.name.partition("::")[0]


@dataclass(kw_only=True)
class Seen:
    """A plugin that parts the lines by the test that ran them, and takes the tests' times."""

    lines: coverage.Coverage
    seconds: dict[str, float] = field(default_factory=dict)
    ready: dict[str, float] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Any:
        """Lines from here on are this test's."""
        self.lines.switch_context(item.nodeid)
        try:
            return (yield)
        finally:
            self.lines.switch_context("")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Take its time; what is made ready for a test may serve all of its file."""
        file = report.nodeid.partition("::")[0]
        if report.when == "setup":
            self.ready[file] = max(self.ready.get(file, 0.0), report.duration)
        else:
            self.seconds[report.nodeid] = self.seconds.get(report.nodeid, 0.0) + report.duration
        if report.outcome != "passed":
            self.failed.add(report.nodeid)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """A plugin that keeps some tests, in their order."""

    names: Sequence[str]

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Drop the others."""
        place = {name: i for i, name in enumerate(self.names)}
        items[:] = sorted(
            (item for item in items if item.nodeid in place), key=lambda item: place[item.nodeid]
        )


class Scratch:
    """A copy of the project in which the package may be changed, with the tests that saw its lines."""

    def __init__(self, into: Path) -> None:
        self.root = into / ROOT.name
        shutil.copytree(ROOT, self.root, ignore=LEFT_OUT)
        if (shared := ROOT.parent / "shared").exists():
            (into / "shared").symlink_to(shared.resolve())
        # times cannot tell a change from its original: the compiled files go by the text
        compileall.compile_dir(
            self.root / "fieldplan", quiet=2, invalidation_mode=py_compile.PycInvalidationMode.CHECKED_HASH
        )
        for one in HEAVY:
            with suppress(ImportError):
                __import__(one)

    @cached_property
    def digest(self) -> str:
        """What tells this state of package and tests from others."""
        files = sorted(
            one for room in ("fieldplan", "tests") for one in (self.root / room).rglob("*") if one.is_file()
        )
        named = (
            (f"{file.relative_to(self.root)}", file) for file in files if "__pycache__" not in file.parts
        )
        return sha256(
            b"\0".join(
                name.encode() + one.read_bytes() for name, one in named if not name.startswith(UNTRIED)
            )
        ).hexdigest()

    def gather(self, into: Path) -> Path:
        """Run all tests once, or take the lines that are in the folder already if they are of this
        state.
        """
        told = into / "tests.json"
        if told.exists() and json.loads(told.read_text(encoding="utf-8"))["digest"] == self.digest:
            return into
        told.unlink(missing_ok=True)
        into.mkdir(parents=True, exist_ok=True)
        self._apart(lambda: self._gather(into), into / "pytest.log", None)
        return into

    def _gather(self, into: Path) -> int:
        lines = coverage.Coverage(data_file=into / "lines", include=["fieldplan/*"], config_file=False)
        lines.set_option("run:relative_files", True)
        seen = Seen(lines=lines)
        lines.erase()
        lines.start()
        pytest.main(["tests", *(f"--ignore={one}" for one in UNTRIED), *PLAIN], plugins=[seen])
        lines.stop()
        lines.save()
        tests = [
            [name, round(seconds, 3), name not in seen.failed] for name, seconds in seen.seconds.items()
        ]
        told = {"digest": self.digest, "ready": seen.ready, "tests": tests}
        (into / "tests.json").write_text(json.dumps(told, indent=0), encoding="utf-8")
        return 0

    def fails(self, names: Sequence[str], log: Path, limit_s: float) -> bool:
        """Whether any of the tests notices, be it by not ending; where none is left to run, nobody does."""
        if not names:
            return False
        files = list(dict.fromkeys(name.partition("::")[0] for name in names))
        ended = self._apart(
            lambda: int(pytest.main([*files, "-x", *PLAIN], plugins=[Chosen(names=names)])), log, limit_s
        )
        return ended not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED)

    def _apart(self, run: Callable[[], int], log: Path, limit_s: float | None) -> int:
        """Run in a process of its own, with a limit on the processor's time (and ten times that on the
        clock's).
        """

        def child() -> None:
            os.setsid()
            if limit_s:
                resource.setrlimit(resource.RLIMIT_CPU, (int(limit_s), int(limit_s) + 5))
            out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(out, 1)
            os.dup2(out, 2)
            os.chdir(self.root)
            sys.path[:] = [
                f"{self.root}",
                *(one for one in sys.path if one and Path(one).resolve() != ROOT),
            ]
            os.environ["PYTHONPATH"] = f"{self.root}"
            code = run()
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(code)

        process = multiprocessing.get_context("fork").Process(target=child)
        process.start()
        try:
            process.join(limit_s * 10 if limit_s else None)
        finally:
            if process.is_alive() and process.pid is not None:
                os.killpg(process.pid, signal.SIGKILL)
                process.join()
        return process.exitcode or 0


class Watch:
    """Tests by the lines that they ran, quick ones first."""

    def __init__(self, gathered: Path, root: Path) -> None:
        told = json.loads((gathered / "tests.json").read_text(encoding="utf-8"))
        self.tests = {
            name: Test(name=name, seconds=seconds, passed=passed) for name, seconds, passed in told["tests"]
        }
        self._ready: dict[str, float] = told["ready"]
        self._sharing = {
            file for file in self._ready if _SHARED.search((root / file).read_text(encoding="utf-8"))
        }
        self._data = coverage.CoverageData(basename=f"{gathered / 'lines'}")
        self._data.read()
        self._by_line: dict[str, dict[int, list[str]]] = {}

    @property
    def failing(self) -> list[str]:
        """Tests that fail though nothing is changed; those that were skipped are among them."""
        return [test.name for test in self.tests.values() if not test.passed]

    def of(self, places: Iterable[tuple[str, int]]) -> set[str]:
        """Names of the tests that ran any of these lines of files."""
        return {name for file, line in places for name in self._lines(file).get(line, ()) if name}

    def chosen(self, direct: set[str], max_s: float) -> list[str]:
        """Tests to try, as many as fit into a time, one of each file in turn and quick ones first; a file's
        tests stay together.

        First the direct ones, then others of files that share what they make; where there are none, those
        with processes.
        """
        files = {self.tests[name].file for name in direct}
        rest = [test for test in self.tests.values() if test.name not in direct]
        ranks = (
            [self.tests[name] for name in direct],
            [
                one
                for one in rest
                if one.file in files & self._sharing or (not direct and one.file in REAL_PROCESSES)
            ],
        )
        names: list[str] = []
        for one in (one for rank in ranks for one in _in_turn(rank) if one.passed):
            if not names or self.seconds([*names, one.name]) <= max_s:
                names.append(one.name)
        whole_s = {
            file: self.seconds(name for name in names if self.tests[name].file == file)
            for file in {*files, *REAL_PROCESSES}
        }
        return sorted(
            names,
            key=lambda name: (
                whole_s[self.tests[name].file],
                self.tests[name].file,
                self.tests[name].seconds,
            ),
        )

    def seconds(self, names: Iterable[str]) -> float:
        """How long tests take together, and what is made ready for their files."""
        tests = [self.tests[name] for name in names]
        return sum(test.seconds for test in tests) + sum(
            self._ready[file] for file in {test.file for test in tests}
        )

    def _lines(self, file: str) -> dict[int, list[str]]:
        if file not in self._by_line:
            self._by_line[file] = self._data.contexts_by_lineno(file)
        return self._by_line[file]


def _in_turn(tests: Iterable[Test]) -> list[Test]:
    """One of each file in turn, quick ones first; in a turn those first that look at most figures for their
    time.
    """
    turn: Counter[str] = Counter()
    turns = []
    for test in sorted(tests, key=lambda test: (test.seconds, test.name)):
        turn[test.file] += 1
        kind = next((k for k, folder in enumerate(TELLING) if test.file.startswith(folder)), len(TELLING))
        turns.append((turn[test.file], kind, test.seconds, test.name, test))
    return [one for *_, one in sorted(turns, key=lambda entry: entry[:4])]


def timed(since: float) -> str:
    """Minutes since a moment."""
    return f"{(time.monotonic() - since) / 60:.0f} min"
