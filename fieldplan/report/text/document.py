"""Documents for the terminal."""

from __future__ import annotations

from fieldplan.report.documents.document import Document, parts_of
from fieldplan.report.text.table import paragraph, table
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
        lines += ["", *([plain(part.name.upper())] if part.name else [])]
        if part.rows:
            lines += table(part.header, part.rows, left=part.left)
        lines += [
            line for text in part.lines for line in paragraph(text, bullet="- " if part.listed else "")
        ]
    if document.last:
        lines += ["", *paragraph(document.last)]
    return "\n".join(lines) + "\n"
