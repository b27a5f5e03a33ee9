"""Printed sheets as PDF: a field on two pages or more, the set-up card; the same figures as on the plan
page.
"""

from __future__ import annotations

from functools import partial

from fieldplan.model.card import Card
from fieldplan.model.plan import Plan
from fieldplan.report.files import Writer
from fieldplan.report.output import Output, PlanAsked, of_bytes
from fieldplan.report.paper.field_sheet import sheet_of
from fieldplan.report.text.card import LAST_WORD, cited
from fieldplan.report.typeset import Paper, compiled
from fieldplan.report.words.plain import head_line, plain, slugs
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import meter_named, parcel
from fieldplan.report.words.sentences import sentence

MAX_FIELDS = 60
"""Fields of one PDF of field sheets."""


def field_sheets(plan: Plan, q: Quantities, paper: Paper, first: int = 0) -> bytes:
    """A PDF with two pages a field, map and order of passes, then loads and blanks; more where the map or stops need them.

    Parameters
    ----------
    plan
        The plan of the job.
    q
        The reader's units.
    paper
        The size of the pages.
    first
        Index of the first field in this PDF, which holds at most `MAX_FIELDS`: the pages of hundreds of
        fields would take up too much memory at once.

    Raises
    ------
    MissingExtra
        If the typesetter is not installed.
    """
    fields = plan.fields[first : first + MAX_FIELDS]
    first_of_all = "the maker's manual, labels and local rules come first"
    return compiled(
        "field",
        {
            "title": plain(f"Field sheets: {', '.join(parcel(field) for field in fields)}"),
            "paper": paper,
            "head": head_line(plan.job.drill.letterhead),
            "footer": plain(f"{plan.job.drill.name}; passes are numbered as driven; {first_of_all}"),
            "fields": [sheet_of(plan, field, q, paper) for field in fields],
        },
    )


def card_sheet(card: Card, q: Quantities, paper: Paper) -> bytes:
    """A PDF of the set-up card.

    Parameters
    ----------
    card
        The card of one drill and mix.
    q
        The reader's units.
    paper
        The size of the pages.

    Raises
    ------
    MissingExtra
        If the typesetter is not installed.
    """
    parts = dict.fromkeys(step.part for step in card.steps)
    return compiled(
        "card",
        {
            "title": plain(f'Set-up card: {card.drill}, mix "{card.mix}"'),
            "paper": paper,
            "head": head_line(card.letterhead),
            "meter": q.meter.capitalize(),
            "tractor": plain(sentence(card.tractor, q)),
            "stand": "" if card.stand is None else plain(sentence(card.stand, q)),
            "cautions": [
                plain(f"{sentence(caution.says, q)}{cited(caution.source)}.") for caution in card.cautions
            ],
            "parts": [{"name": part, "steps": _steps(card, part, q)} for part in parts],
            "sources": [f"{source.key}: {source.title}" for source in card.sources],
            "last": LAST_WORD,
        },
    )


def _steps(card: Card, part: str, q: Quantities) -> list[dict[str, str]]:
    return [
        {
            "text": plain(f"{meter_named(sentence(step.says, q), q)}{cited(step.source)}"),
            "blank": meter_named(step.blank, q),
        }
        for step in card.steps
        if step.part == part
    ]


def _sheets(asked: PlanAsked) -> dict[str, Writer]:
    """One PDF of field sheets, or for a job of many fields several, named by the fields they hold."""
    n = len(asked.plan.fields)
    if n <= MAX_FIELDS:
        return {"field-sheets.pdf": of_bytes(lambda: field_sheets(asked.plan, asked.q, asked.paper))}
    return {
        f"field-sheets-{first + 1:05d}-{min(n, first + MAX_FIELDS):05d}.pdf": of_bytes(
            partial(field_sheets, asked.plan, asked.q, asked.paper, first)
        )
        for first in range(0, n, MAX_FIELDS)
    }


def _cards(asked: PlanAsked) -> dict[str, Writer]:
    names = slugs([card.mix for card in asked.cards])
    return {
        f"setup-{name}.pdf": of_bytes(partial(card_sheet, card, asked.q, asked.paper))
        for name, card in zip(names, asked.cards, strict=True)
    }


SHEETS: Output[PlanAsked] = Output(
    name="sheet",
    words="PDF, two or three pages per field, more where stops need them",
    make=_sheets,
    extra="sheets",
)
CARDS: Output[PlanAsked] = Output(
    name="setup", words="PDF, the set-up card of each mix", make=_cards, extra="sheets"
)
