"""Letters on paper."""

from __future__ import annotations

from fieldplan.report.files import Writer
from fieldplan.report.letters.fields import BOX, TICKED
from fieldplan.report.letters.page import LetterPage
from fieldplan.report.output import ready
from fieldplan.report.text.letter import letter_text
from fieldplan.report.typeset import Paper, compiled
from fieldplan.report.words.plain import plain


def letter_pdf(page: LetterPage, paper: Paper) -> bytes:
    """A PDF of a letter.

    Parameters
    ----------
    paper
        The size of the page.

    Raises
    ------
    MissingExtra
        If the typesetter is not installed.
    """
    return compiled(
        "letter",
        {
            "title": plain(page.title),
            "paper": paper,
            "head": list(page.head),
            "to": list(page.to),
            "dated": page.dated,
            "seal": page.seal,
            "box": BOX,
            "ticked": TICKED,
            "body": [
                {"line": plain(one)}
                if isinstance(one, str)
                else {
                    "header": list(one.header),
                    "rows": [[plain(cell) for cell in row] for row in one.rows],
                    "left": one.left,
                    "lines": [plain(line) for line in one.lines],
                }
                for one in page.body
            ],
        },
    )


def letter_files(page: LetterPage, name: str, paper: Paper) -> dict[str, Writer]:
    """Writers of a letter as PDF and as plain text, by file name; the PDF is made at once, since making it can fail.

    Parameters
    ----------
    name
        The name of the files, without an ending.
    """
    return {
        f"{name}.pdf": ready(letter_pdf(page, paper)),
        f"{name}.txt": ready(letter_text(page).encode("utf-8")),
    }
