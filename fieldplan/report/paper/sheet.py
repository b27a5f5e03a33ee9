"""Printed sheets as PDF: a field on two pages, the set-up card, seed labels; the same figures as on the plan
page.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from fieldplan.model.card import Card
from fieldplan.model.plan import Plan
from fieldplan.report.files import Writer
from fieldplan.report.output import Output, PlanAsked, of_bytes
from fieldplan.report.paper.field_sheet import sheet_of
from fieldplan.report.text.card import LAST_WORD, cited
from fieldplan.report.text.labels import Label, label_portions, labels_of
from fieldplan.report.typeset import Paper, compiled
from fieldplan.report.words.plain import plain, slugs
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import lot_name, parcel
from fieldplan.report.words.sentences import sentence

MAX_FIELDS = 60
"""Fields of one PDF of field sheets."""
LABEL_LINES, LABEL_LETTERS = 7, 52
"""Lines of seed that a label holds, and letters of a line."""


def field_sheets(plan: Plan, q: Quantities, paper: Paper, first: int = 0) -> bytes:
    """A PDF with two pages a field: map and answers; loads, catches and blanks.

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
            "title": plain(f"Field sheets for {plan.job.path.name}"),
            "paper": paper,
            "footer": plain(f"{plan.job.drill.name}; passes are numbered as driven; {first_of_all}"),
            "fields": [sheet_of(plan, field, q, on_paper=True) for field in fields],
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
            "tractor": plain(sentence(card.tractor, q)),
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
        {"text": plain(f"{sentence(step.says, q)}{cited(step.source)}"), "blank": step.blank}
        for step in card.steps
        if step.part == part
    ]


def label_sheets(plan: Plan, q: Quantities, paper: Paper) -> bytes:
    """A PDF of a label for every batch, parcel by parcel, after a list of what each parcel is brought.

    Parameters
    ----------
    plan
        The plan of the job.
    q
        The reader's units.
    paper
        The size of the pages.

    Raises
    ------
    MissingExtra
        If the typesetter is not installed.
    """
    every = labels_of(plan)
    labels = [
        label
        for n, one in enumerate(every, start=1)
        for label in _labels(one, f"{n} of {len(every)}", q, plan.job.loading.scale_kg)
    ]
    return compiled(
        "labels",
        {
            "title": plain(f"Seed labels for {plan.job.path.name}"),
            "paper": paper,
            "labels": labels,
            "manifest": _manifest(plan, q),
        },
    )


def _labels(one: Label, number: str, q: Quantities, scale_kg: float) -> Iterator[dict[str, Any]]:
    """One label, or several where the lots of a batch do not fit on one."""
    of, name = one.of, one.head
    room = LABEL_LINES - 2 * of.treated - len(name) // 32 - len(of.mix) // LABEL_LETTERS
    pieces = _pieces([plain(text.strip()) for text in label_portions(of, q, scale_kg)], max(2, room))
    for k, piece in enumerate(pieces, start=1):
        yield {
            "parcel": plain(name),
            "number": number,
            "box": f"{of.box} box",
            "mix": plain(of.mix),
            "treated": of.treated,
            "which": one.use + ("" if len(pieces) == 1 else f"; label {k} of {len(pieces)} for it"),
            "portions": piece,
        }


def _pieces(lines: list[str], maximum: int) -> list[list[str]]:
    """The lines on as few labels as hold them; a long line takes up several."""
    pieces: list[list[str]] = [[]]
    used = 0
    for line in lines:
        takes = 1 + len(line) // LABEL_LETTERS
        if used + takes > maximum and pieces[-1]:
            pieces.append([])
            used = 0
        pieces[-1].append(line)
        used += takes
    return pieces


def _manifest(plan: Plan, q: Quantities) -> dict[str, Any]:
    """What to bring to each parcel, lot by lot, with room to tick."""
    rows = [
        [
            plain(parcel(field)) if i == 0 else "",
            plain(field.seed.mix) if i == 0 else "",
            plain(lot_name(part.species, part.lot) + (", TREATED" if part.treated else "")),
            q.weight(part.need_kg, plan.job.loading.scale_kg),
            "",
            "",
        ]
        for field in plan.fields
        for i, part in enumerate(field.deliveries)
    ]
    return {"header": ["parcel", "mix", "seed", "bring", "packed", "returned"], "rows": rows}


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
    name="sheet", words="PDF, two pages per field", make=_sheets, extra="sheets"
)
CARDS: Output[PlanAsked] = Output(
    name="setup", words="PDF, the set-up card of each mix", make=_cards, extra="sheets"
)
LABELS: Output[PlanAsked] = Output(
    name="labels",
    words="PDF, seed labels",
    make=lambda asked: {
        "seed-labels.pdf": of_bytes(lambda: label_sheets(asked.plan, asked.q, asked.paper))
    },
    extra="sheets",
)
