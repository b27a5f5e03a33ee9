"""A document of headed parts, on the terminal and on paper, both saying the same."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.report.output import Output, PaperAsked, ready
from fieldplan.report.paper.typeset import Paper, compiled
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.plain import plain
from fieldplan.report.words.sources import sources_named


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A heading, a table whose first ``left`` columns are text, and sentences; each may be empty. ``listed`` sentences have a dash."""

    name: str = ""
    header: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    left: int = 1
    lines: tuple[str, ...] = ()
    listed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A letterhead, a title, what it is about, its parts, a last word, and on paper lines to be filled in by hand.

    ``sources`` are the keys of the published sources that it names.
    """

    title: str
    about: tuple[str, ...]
    parts: tuple[Part, ...]
    last: str = ""
    blanks: tuple[str, ...] = ()
    head: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


def document_text(document: Document) -> str:
    """The document for a terminal."""
    parts = [*document.parts, *_cited(document)]
    lines = [
        *(plain(one) for one in document.head),
        *([""] if document.head else []),
        plain(document.title),
        *(line for about in document.about for line in paragraph(about, indent=0)),
    ]
    for part in parts:
        lines += ["", *([plain(part.name.upper())] if part.name else [])]
        if part.rows:
            lines += table(part.header, part.rows, left=part.left)
        lines += [line for text in part.lines for line in paragraph(text, bullet="- " if part.listed else "")]
    if document.last:
        lines += ["", *paragraph(document.last)]
    return "\n".join(lines) + "\n"


def document_pdf(document: Document, paper: Paper) -> bytes:
    """The document on paper, with its blanks."""
    return compiled("document", {
        "title": plain(document.title), "paper": paper, "about": [plain(one) for one in document.about], "last": plain(document.last),
        "blanks": list(document.blanks), "head": [plain(one) for one in document.head],
        "parts": [
            {"name": plain(part.name), "header": list(part.header), "rows": [[plain(cell) for cell in row] for row in part.rows],
             "left": part.left, "lines": [plain(one) for one in part.lines], "listed": part.listed}
            for part in (*document.parts, *_cited(document))
        ],
    })  # fmt: skip


def _cited(document: Document) -> tuple[Part, ...]:
    """The sources that the document names, as a part of its own; none where it names none."""
    said = sources_named(document.sources)
    return (Part(name="Sources", lines=tuple(f"{one}." for one in said), listed=True),) if said else ()


PDF: Output[PaperAsked] = Output(
    name="pdf",
    words="PDF",
    make=lambda asked: {f"{asked.name}.pdf": ready(document_pdf(asked.document, asked.paper))},
    extra="sheets",
)
