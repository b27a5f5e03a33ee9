"""A document on paper."""

from __future__ import annotations

from fieldplan.report.documents.document import Document, parts_of
from fieldplan.report.output import Output, PaperAsked, ready
from fieldplan.report.typeset import Paper, compiled
from fieldplan.report.words.plain import plain


def document_pdf(document: Document, paper: Paper) -> bytes:
    """The document on paper, with its blanks."""
    return compiled(
        "document",
        {
            "title": plain(document.title),
            "paper": paper,
            "about": [plain(one) for one in document.about],
            "last": plain(document.last),
            "blanks": list(document.blanks),
            "head": [plain(one) for one in document.head],
            "parts": [
                {
                    "name": plain(part.name),
                    "header": list(part.header),
                    "rows": [[plain(cell) for cell in row] for row in part.rows],
                    "left": part.left,
                    "lines": [plain(line) for line in part.lines],
                    "listed": part.listed,
                }
                for part in parts_of(document)
            ],
        },
    )


PDF: Output[PaperAsked] = Output(
    name="pdf",
    words="PDF",
    make=lambda asked: {f"{asked.name}.pdf": ready(document_pdf(asked.document, asked.paper))},
    extra="sheets",
)
