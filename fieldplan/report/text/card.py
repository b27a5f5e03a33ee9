"""The set-up card for the printer: what can hurt, then a box to tick before every step and a blank for
every reading.
"""

from __future__ import annotations

from fieldplan.model.card import Card, CardStep
from fieldplan.report.text.table import WIDTH, paragraph
from fieldplan.report.words import sentences
from fieldplan.report.words.plain import plain, width
from fieldplan.report.words.quantities import Quantities

_BLANK = "_" * 12
LAST_WORD = "The maker's manual, the seed label and local rules come before this card; where they differ, do as they say."


def card_page(card: Card, q: Quantities) -> str:
    """The card as text."""
    lines = [plain(f'Set-up card: {card.drill}, mix "{card.mix}"')]
    lines += [plain(f"Tractor: {tractor}")] if (tractor := sentences.sentence(card.tractor, q)) else []
    lines += ["Date ____________   Who ____________   Acre meter out ____________"]
    lines += ["", "WHERE IT CAN HURT"]
    for caution in card.cautions:
        lines += paragraph(f"{sentences.sentence(caution.says, q)}{cited(caution.source)}.", bullet="! ")
    part = ""
    for step in card.steps:
        if step.part != part:
            part = step.part
            lines += ["", part.upper()]
        lines += _step(step, q)
    lines += ["", "SOURCES", *paragraph("* common practice, no published source")]
    lines += [
        line for source in card.sources for line in paragraph(f"{source.key}: {source.title}", bullet="- ")
    ]
    return "\n".join([*lines, "", *paragraph(LAST_WORD, indent=0)]) + "\n"


def cited(source: str) -> str:
    """The mark of a source behind a step."""
    return {"": "", "practice": " *"}.get(source, f" [{source}]")


def _step(step: CardStep, q: Quantities) -> list[str]:
    lines = paragraph(f"{sentences.sentence(step.says, q)}{cited(step.source)}", bullet="[ ] ")
    if not step.blank:
        return lines
    blank = f"{step.blank}: {_BLANK}"
    if width(lines[-1]) + 2 + width(blank) <= WIDTH:
        return [*lines[:-1], f"{lines[-1]}  {blank}"]
    return [*lines, " " * 6 + blank]
