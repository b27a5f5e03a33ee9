"""A document of headed parts: what invoices, reports and packets are before they are printed."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.report.words.numbers import counted
from fieldplan.report.words.sources import sources_named


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A heading, a table and sentences; each may be empty.

    Parameters
    ----------
    name
        The heading.
    header, rows
        The table, all rows as long as its header.
    left
        Columns of text before the columns of numbers.
    lines
        Sentences below the table.
    listed
        Put a dash before each sentence.
    """

    name: str = ""
    header: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    left: int = 1
    lines: tuple[str, ...] = ()
    listed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A document for the terminal or for paper.

    Parameters
    ----------
    title
        The heading of the whole.
    about
        Lines below it: who, what, when.
    parts
        The parts in their order.
    last
        The closing sentence.
    blanks
        Names of lines to fill in by hand, on paper only.
    head
        Lines of the letterhead.
    sources
        Keys of the published sources that the document names.
    seal
        The seal of the ledger that the document was made from.
    """

    title: str
    about: tuple[str, ...]
    parts: tuple[Part, ...]
    last: str = ""
    blanks: tuple[str, ...] = ()
    head: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    seal: str = ""


def seal_line(seal: str) -> str:
    """What a paper says of its seal; nothing if it has none."""
    if not seal:
        return ""
    n_entries = int(seal.partition("-")[0])
    return f"Seal {seal} of the ledger: {counted(n_entries, 'entry', 'entries')} when this was made."


def parts_of(document: Document) -> tuple[Part, ...]:
    """The parts of a document; if it cites sources, they are the last part."""
    cited = tuple(f"{source}." for source in sources_named(document.sources))
    return (*document.parts, Part(name="Sources", lines=cited, listed=True)) if cited else document.parts
