"""What an output is: a name to ask for it by, words for it, and what makes its files.

Each file of ``report/`` that writes something holds its own; ``outputs.py`` lists them all.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Generic, TypeVar

from fieldplan.errors import MissingExtra
from fieldplan.facts import fact
from fieldplan.model.card import Card
from fieldplan.model.plan import Plan
from fieldplan.model.season import Change, Season
from fieldplan.report.documents.document import Document
from fieldplan.report.files import Writer
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import Quantities

Asked = TypeVar("Asked")
_NEEDED_BY = {"sheets": ("typst", "xlsxwriter"), "scale": ("pyarrow",)}
"""Libraries that come with an extra of the installation."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Output(Generic[Asked]):
    """One thing that results can be written to.

    Parameters
    ----------
    make
        From what is asked for to writers by file name.
    always
        Files that it always writes, as far as their names do not depend on what is asked for.
    extra
        The extra of the installation that it needs.
    """

    name: str
    words: str
    make: Callable[[Asked], Mapping[str, Writer]]
    always: tuple[str, ...] = ()
    extra: str | None = None

    @property
    def installed(self) -> bool:
        """Whether the libraries that it needs are there."""
        return self.extra is None or all(importlib.util.find_spec(one) for one in _NEEDED_BY[self.extra])

    def require(self) -> None:
        """Stop, before long work is done for it, if a library that it needs is not installed.

        Raises
        ------
        MissingExtra
            With the extra to install.
        """
        if self.extra is not None and not self.installed:
            raise MissingExtra.named(self.extra, fact("extra-for/output", name=self.name))


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanAsked:
    """A plan and how it is to be written."""

    plan: Plan
    cards: Sequence[Card]
    boundary_name: str
    q: Quantities
    paper: Paper
    legs: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonAsked:
    """A season and how it is to be written; bookings that were ``lost`` to rain are cancelled in the
    calendars.
    """

    season: Season
    q: Quantities
    paper: Paper
    phones: bool = False
    lost: Sequence[Change] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperAsked:
    """A document, the name of its files without an ending, and the paper it is to be on."""

    document: Document
    name: str
    paper: Paper


def of_bytes(make: Callable[[], bytes]) -> Writer:
    """What is made only when it is written, so that not all files of a large job stand in memory at
    once.
    """

    def write(path: Path) -> None:
        path.write_bytes(make())

    return write


def of_text(make: Callable[[], str], encoding: str = "utf-8") -> Writer:
    """The same of text."""
    return of_bytes(lambda: make().encode(encoding, errors="replace"))


def ready(made: bytes) -> Writer:
    """What is made before any file is written, because making it can be refused."""
    return partial(_write, made)


def _write(content: bytes, path: Path) -> None:
    path.write_bytes(content)
