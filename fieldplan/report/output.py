"""What an output is: the name to ask for it by, a description, and what makes its files.

Each module of ``report/`` that writes files has its own; ``outputs.py`` lists them all.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Generic, TypeVar

from fieldplan.errors import MissingExtra
from fieldplan.facts import fact
from fieldplan.model.card import Card
from fieldplan.model.mix_design import Design
from fieldplan.model.plan import Plan
from fieldplan.model.replanned import Change
from fieldplan.model.season import Season
from fieldplan.model.standing import Carried, Checked
from fieldplan.report.documents.document import Document
from fieldplan.report.files import Writer
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import Quantities

Asked = TypeVar("Asked")
_NEEDED_BY = {"sheets": ("typst", "xlsxwriter"), "scale": ("pyarrow",)}
"""Libraries that come with an extra of the installation."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Output(Generic[Asked]):
    """One kind of files that results are written to.

    Parameters
    ----------
    name
        The name to ask for it by.
    words
        What it is, for help texts.
    make
        Writers by file name, from what is asked for.
    always
        Files that it always writes, whatever is asked for.
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
        """Whether the libraries that it needs are installed."""
        return self.extra is None or all(
            importlib.util.find_spec(library) for library in _NEEDED_BY[self.extra]
        )

    def require(self) -> None:
        """Stop before any long work if a library that it needs is not installed.

        Raises
        ------
        MissingExtra
            With the extra to install.
        """
        if self.extra is not None and not self.installed:
            raise MissingExtra.named(self.extra, fact("extra-for/output", name=self.name))


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanAsked:
    """A plan and how it is to be written.

    Parameters
    ----------
    plan
        The plan.
    cards
        The set-up card of each mix.
    boundary_name
        The name of the boundary file.
    q
        The reader's units.
    paper
        The size of printed pages.
    legs
        Write every leg of the route into the JSON as well.
    """

    plan: Plan
    cards: Sequence[Card]
    boundary_name: str
    q: Quantities
    paper: Paper
    legs: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Diary:
    """What the calendars of a season carry.

    Parameters
    ----------
    season_id
        Id of the season: with that of the request it is the id of an event.
    carried
        Every event with every calendar that carries it or ever did.
    names
        Names of renters by id, as far as they are known.
    """

    season_id: str
    carried: Sequence[Carried]
    names: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonAsked:
    """A season and how it is to be written.

    Parameters
    ----------
    season
        The season.
    q
        The reader's units.
    paper
        The size of printed pages.
    phones
        Write phone numbers too.
    lost
        Bookings that were lost to rain: the calendars cancel them.
    diary
        What each calendar has carried, where the season has a store.
    checks
        What must be in order before a drill goes out, by request, where the season's file asks for it.
    """

    season: Season
    q: Quantities
    paper: Paper
    phones: bool = False
    lost: Sequence[Change] = ()
    diary: Diary | None = None
    checks: Mapping[str, Sequence[Checked]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperAsked:
    """A document and how it is to be printed.

    Parameters
    ----------
    document
        The document.
    name
        The name of its files, without an ending.
    paper
        The size of the pages.
    """

    document: Document
    name: str
    paper: Paper


@dataclass(frozen=True, slots=True, kw_only=True)
class MixAsked:
    """A designed mix and how it is to be written.

    Parameters
    ----------
    design
        The mix.
    q
        The reader's units.
    paper
        The size of printed pages.
    head
        Lines of the letterhead.
    """

    design: Design
    q: Quantities
    paper: Paper
    head: tuple[str, ...] = ()


def of_bytes(make: Callable[[], bytes]) -> Writer:
    """A writer of bytes that are made only when they are written: a large job never has all files in memory.

    Parameters
    ----------
    make
        Makes the content of the file.
    """

    def write(path: Path) -> None:
        path.write_bytes(make())

    return write


def of_text(make: Callable[[], str], encoding: str = "utf-8") -> Writer:
    """A writer of text that is made only when it is written.

    Parameters
    ----------
    make
        Makes the content of the file.
    encoding
        Characters that it lacks are written as "?".
    """
    return of_bytes(lambda: make().encode(encoding, errors="replace"))


def ready(made: bytes) -> Writer:
    """A writer of bytes that were made before any file is written, because making them can fail."""
    return partial(_write, made)


def _write(content: bytes, path: Path) -> None:
    path.write_bytes(content)
