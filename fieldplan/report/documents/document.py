"""A document of headed parts."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.report.words.sources import sources_named


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A heading, a table whose first ``left`` columns are text, and sentences; each may be empty.
    ``listed`` sentences have a dash.
    """

    name: str = ""
    header: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    left: int = 1
    lines: tuple[str, ...] = ()
    listed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A letterhead, a title, what it is about, its parts, a last word, and on paper lines to be filled in
    by hand.

    ``sources`` are the keys of the published sources that it names.
    """

    title: str
    about: tuple[str, ...]
    parts: tuple[Part, ...]
    last: str = ""
    blanks: tuple[str, ...] = ()
    head: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


def parts_of(document: Document) -> tuple[Part, ...]:
    """The parts of a document, and last the sources that it rests on, where there are any."""
    cited = tuple(f"{one}." for one in sources_named(document.sources))
    return (*document.parts, Part(name="Sources", lines=cited, listed=True)) if cited else document.parts
