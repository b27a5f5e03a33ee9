"""Documents on paper."""

from __future__ import annotations

from fieldplan.report.documents.document import Document, parts_of, seal_line
from fieldplan.report.output import Output, PaperAsked, ready
from fieldplan.report.typeset import Paper, compiled
from fieldplan.report.words.plain import plain


def document_pdf(document: Document, paper: Paper) -> bytes:
    """A PDF of the document, with the lines to fill in by hand.

    Parameters
    ----------
    document
        The document to print.
    paper
        The size of the pages.

    Raises
    ------
    MissingExtra
        If the typesetter is not installed.
    """
    return compiled(
        "document",
        {
            "title": plain(document.title),
            "paper": paper,
            "about": [plain(line) for line in document.about],
            "last": plain(document.last),
            "blanks": list(document.blanks),
            "head": [plain(line) for line in document.head],
            "seal": seal_line(document.seal),
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
