"""A letter as it is printed: its parts, whatever it is printed on."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.model.letters import Letter
from fieldplan.model.rental_program import SeasonTerms
from fieldplan.report.documents.document import Part, seal_line
from fieldplan.report.letters.fields import day_text, values_of
from fieldplan.report.letters.template import Template, filled
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterPage:
    """A letter.

    Parameters
    ----------
    head
        Lines of the letterhead.
    to
        Name and address.
    dated
        The day.
    body
        Paragraphs, empty lines between them, and tables.
    seal
        What is said of the seal of the ledger; empty without one.
    """

    head: tuple[str, ...]
    to: tuple[str, ...]
    dated: str
    title: str
    body: tuple[str | Part, ...]
    seal: str


def page_of(letter: Letter, template: Template, terms: SeasonTerms, seal: str, q: Quantities) -> LetterPage:
    """A letter by its template.

    Parameters
    ----------
    terms
        The terms of the season.
    seal
        The seal of the ledger that it was made from.
    """
    title, body = filled(template, values_of(letter, terms, q))
    return LetterPage(
        head=tuple(plain(line) for line in terms.letterhead),
        to=(plain(letter.called), *(plain(line) for line in letter.address)),
        dated=day_text(letter.day),
        title=title,
        body=body,
        seal=seal_line(seal),
    )
