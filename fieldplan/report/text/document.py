"""Documents for the terminal."""

from __future__ import annotations

from fieldplan.report.documents.document import Document, Part, parts_of, seal_line
from fieldplan.report.text.table import WIDTH, paragraph, table
from fieldplan.report.words.plain import plain


def document_text(document: Document) -> str:
    """The document as wrapped lines, a letterhead first; lines to fill in by hand are left out."""
    lines = [
        *(plain(line) for line in document.head),
        *([""] if document.head else []),
        plain(document.title),
        *(line for about in document.about for line in paragraph(about, indent=0)),
    ]
    for part in parts_of(document):
        lines += ["", *([plain(part.name.upper())] if part.name else []), *body_lines(part)]
    if document.last:
        lines += ["", *paragraph(document.last)]
    if document.seal:
        lines += ["", *paragraph(seal_line(document.seal))]
    return "\n".join(lines) + "\n"


def body_lines(part: Part, maximum: int = WIDTH) -> list[str]:
    """The table and the sentences of a part, without its heading; sentences in so many columns at most."""
    lines = list(table(part.header, part.rows, left=part.left)) if part.rows else []
    return lines + [
        line
        for text in part.lines
        for line in paragraph(text, bullet="- " if part.listed else "", maximum=maximum)
    ]
