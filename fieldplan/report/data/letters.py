"""Letters as JSON."""

from __future__ import annotations

from collections.abc import Sequence

from fieldplan.model.letters import Letter, Mail
from fieldplan.report.letters.page import LetterPage
from fieldplan.report.text.letter import letter_text


def mail_object(
    mail: Mail, pages: Sequence[LetterPage], files: Sequence[str], seal: str
) -> dict[str, object]:
    """Letters that are due with their text, and those that cannot be written yet, as nested dicts.

    Parameters
    ----------
    pages
        The letters as they are printed.
    files
        The name of the file of each, where they were written.
    seal
        The seal of the ledger that they were made from.
    """
    return {
        "schema": "fieldplan/letters/1",
        "seal": seal,
        "letters": [
            _letter(letter)
            | {"title": page.title, "text": letter_text(page), "file": files[n] if files else None}
            for n, (letter, page) in enumerate(zip(mail.letters, pages, strict=True))
        ],
        "not_written": [
            {"letter": one.kind, "request": one.request_id, "code": one.why.code}
            for one in mail.not_written
        ],
        "doubts": [
            {"code": doubt.code, "request": doubt.values["request"], "text": str(doubt)}
            for doubt in mail.doubts
        ],
    }


def _letter(letter: Letter) -> dict[str, object]:
    booked = letter.booked
    return {
        "letter": letter.kind,
        "request": letter.request.request_id,
        "renter": letter.called,
        "day": letter.day.isoformat(),
        "drill": booked[0] if booked else None,
        "days": [day.isoformat() for day in booked[1]] if booked else [],
    }
