"""Printed sheets as PDF: a field on two pages, the set-up card, seed labels. What they say is what the page
says.
"""

from __future__ import annotations

from functools import partial
from typing import Any

from fieldplan.model.card import Card
from fieldplan.model.plan import Plan
from fieldplan.report.files import Writer
from fieldplan.report.output import Output, PlanAsked, of_bytes
from fieldplan.report.paper.field_sheet import sheet_of
from fieldplan.report.text.card import LAST_WORD, cited
from fieldplan.report.text.seed_page import lot_name, parcel
from fieldplan.report.typeset import Paper, compiled
from fieldplan.report.words.plain import plain, slugs
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence

MAX_FIELDS = 60
"""Fields of one PDF of field sheets."""
LABEL_LINES, LABEL_LETTERS = 7, 52
"""Lines of seed that a label holds, and letters of a line."""


def field_sheets(plan: Plan, q: Quantities, paper: Paper, first: int = 0) -> bytes:
    """A PDF with two pages a field: map and answers; loads, catches and blanks.

    It holds at most `MAX_FIELDS` fields from ``first`` on, so that jobs of hundreds do not stand in memory
    at once.
    """
    return compiled(
        "field",
        {
            "title": plain(f"Field sheets for {plan.job.path.name}"),
            "paper": paper,
            "footer": plain(
                f"{plan.job.drill.name}; passes are numbered as driven; the maker's manual, labels and local rules come first"
            ),
            "fields": [
                sheet_of(plan, field, q, on_paper=True) for field in plan.fields[first : first + MAX_FIELDS]
            ],
        },
    )


def card_sheet(card: Card, q: Quantities, paper: Paper) -> bytes:
    """A PDF of the set-up card."""
    names = list(dict.fromkeys(step.part for step in card.steps))
    return compiled(
        "card",
        {
            "title": plain(f'Set-up card: {card.drill}, mix "{card.mix}"'),
            "paper": paper,
            "tractor": plain(sentence(card.tractor, q)),
            "cautions": [
                plain(f"{sentence(caution.says, q)}{cited(caution.source)}.") for caution in card.cautions
            ],
            "parts": [
                {
                    "name": name,
                    "steps": [
                        {
                            "text": plain(f"{sentence(step.says, q)}{cited(step.source)}"),
                            "blank": step.blank,
                        }
                        for step in card.steps
                        if step.part == name
                    ],
                }
                for name in names
            ],
            "sources": [f"{source.key}: {source.title}" for source in card.sources],
            "last": LAST_WORD,
        },
    )


def label_sheets(plan: Plan, q: Quantities, paper: Paper) -> bytes:
    """A PDF of a label for every batch, parcel by parcel."""
    every = [(field, batch) for field in plan.fields for batch in field.batches]
    labels = []
    for n, (one, batch) in enumerate(every, start=1):
        when = "start" if batch.number == 1 else f"stop {batch.number - 1}"
        which = "spare, keep dry" if batch.spare else f"batch {batch.number} of {batch.of}, {when}"
        portions = [
            f"{q.mass(part.bulk_kg, 2)} {q.mass_unit}  {lot_name(part.species, part.lot)}"
            + (": mix in well" if part.carrier else f"  (PLS {q.mass(part.pls_kg, 2)} {q.mass_unit})")
            for part in batch.portions
        ]
        portions.append(
            f"in all {q.mass(batch.load_kg, 2)} {q.mass_unit}; PLS {q.mass(batch.pls_kg, 2)} {q.mass_unit}"
        )
        room = LABEL_LINES - 2 * batch.treated - len(parcel(one)) // 32 - len(batch.mix) // LABEL_LETTERS
        pieces = _pieces([plain(text) for text in portions], max(2, room))
        labels += [
            {
                "parcel": plain(parcel(one)),
                "number": f"{n} of {len(every)}",
                "box": f"{batch.box} box",
                "mix": plain(batch.mix),
                "treated": batch.treated,
                "which": which + ("" if len(pieces) == 1 else f"; label {k} of {len(pieces)} for it"),
                "portions": piece,
            }
            for k, piece in enumerate(pieces, start=1)
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


def _pieces(lines: list[str], maximum: int) -> list[list[str]]:
    """The lines in as many labels as hold them, long ones taking up several lines."""
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
    """What each parcel is brought, lot by lot, with room to tick."""
    rows = [
        [
            plain(parcel(field)) if i == 0 else "",
            plain(field.seed.mix) if i == 0 else "",
            plain(lot_name(part.species, part.lot)),
            f"{q.mass(part.need_kg, 2)} {q.mass_unit}",
            "",
            "",
        ]
        for field in plan.fields
        for i, part in enumerate(field.deliveries)
    ]
    return {"header": ["parcel", "mix", "seed", "bring", "packed", "came back"], "rows": rows}


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
    name="sheet", words="PDF, two pages a field", make=_sheets, extra="sheets"
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
