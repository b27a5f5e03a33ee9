"""Letters as plain text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from fieldplan.model.letters import AboutBill, AboutSeason, Letter, Mail
from fieldplan.report.documents.document import Part
from fieldplan.report.letters.page import LetterPage
from fieldplan.report.text.document import body_lines
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.money_and_places import money_text
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence

WIDTH = 76
"""Columns of a letter."""


def letter_text(page: LetterPage) -> str:
    """The letter as wrapped lines, the letterhead first."""
    lines = [
        *page.head,
        *([""] if page.head else []),
        *page.to,
        "",
        page.dated,
        "",
        *_wrapped(page.title),
        "",
    ]
    for one in page.body:
        lines += _wrapped(one) if isinstance(one, str) else _part(one)
    if page.seal:
        lines += ["", *_wrapped(page.seal)]
    single = [line for before, line in pairwise(["", *lines]) if line or before]
    return "\n".join(single) + "\n"


def _wrapped(line: str) -> list[str]:
    return paragraph(line, indent=0, maximum=WIDTH) or [""]


def _part(part: Part) -> Iterator[str]:
    """A table, or lines of facts, with an empty line after it."""
    yield from body_lines(part, WIDTH)
    yield ""


def mail_page(mail: Mail, files: Sequence[str], season: str, q: Quantities, *, written: bool) -> str:
    """The letters that are due, those that cannot be written yet, what to look at, and where they went.

    Parameters
    ----------
    files
        The name of the file of each letter, where they were written.
    season
        Name of the season.
    written
        Whether they were written.
    """
    lines = [plain(f"{season}: letters"), ""]
    if mail.letters:
        header = ("letter", "request", "renter", "of", *(("file",) if files else ()))
        rows = [(*_row(letter), *((files[n],) if files else ())) for n, letter in enumerate(mail.letters)]
        lines += [*table(header, rows, left=len(header)), ""]
    if mail.not_written:
        lines.append("NOT WRITTEN")
        for one in mail.not_written:
            lines += paragraph(f"{one.kind}, {one.request_id}: {sentence(one.why, q)}.", bullet="- ")
        lines.append("")
    if mail.doubts:
        lines.append("LOOK AGAIN")
        for doubt in mail.doubts:
            lines += paragraph(f"{sentence(doubt, q)}.", bullet="- ")
        lines.append("")
    lines += paragraph(_last(mail, written=written))
    return "\n".join(lines) + "\n"


def _row(letter: Letter) -> tuple[str, ...]:
    return (letter.kind, letter.request.request_id, letter.called, _of(letter))


def _of(letter: Letter) -> str:
    """What a letter is about, in short: drill and days, or what is owed."""
    booked, about = letter.booked, letter.about
    if booked is not None:
        return f"{booked[0]}, {booked[1][0]:%a %d %b} to {booked[1][-1]:%a %d %b}"
    if isinstance(about, AboutBill):
        return f"owed {money_text(about.bill.owed, about.bill.card.currency)}"
    return f"owed {money_text(about.owed, about.currency)}" if isinstance(about, AboutSeason) else ""


def _last(mail: Mail, *, written: bool) -> str:
    if not mail.letters:
        return "No letter is due."
    if written:
        return f"{counted(len(mail.letters), 'letter')} written, each as PDF and as text, and entered in the ledger."
    return f"{counted(len(mail.letters), 'letter is', 'letters are')} due. With --out they are written, and entered in the ledger."
