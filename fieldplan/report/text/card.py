"""The set-up card for the printer: hazards, then steps with a box to tick and blanks for readings."""

from __future__ import annotations

from fieldplan.model.card import Card, CardStep
from fieldplan.report.text.table import WIDTH, paragraph
from fieldplan.report.words import sentences
from fieldplan.report.words.plain import plain, width
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import meter_named

_BLANK = "_" * 12
LAST_WORD = "The maker's manual, the seed label and local rules come before this card. Where they differ, follow them."


def card_page(card: Card, q: Quantities) -> str:
    """The card as text."""
    lines = [plain(f'Set-up card: {card.drill}, mix "{card.mix}"')]
    lines += [plain(f"Tractor: {tractor}")] if (tractor := sentences.sentence(card.tractor, q)) else []
    lines += [] if card.stand is None else paragraph(sentences.sentence(card.stand, q), indent=0)
    lines += [f"Date ____________   Who ____________   {q.meter.capitalize()} out ____________"]
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
    """The mark of a source after a step: a star for common practice, else its key in brackets.

    Examples
    --------
    >>> cited("practice"), cited("h1-manual"), cited("")
    (' *', ' [h1-manual]', '')
    """
    return {"": "", "practice": " *"}.get(source, f" [{source}]")


def _step(step: CardStep, q: Quantities) -> list[str]:
    said = meter_named(sentences.sentence(step.says, q), q)
    lines = paragraph(f"{said}{cited(step.source)}", bullet="[ ] ")
    if not step.blank:
        return lines
    blank = f"{meter_named(step.blank, q)}: {_BLANK}"
    if width(lines[-1]) + 2 + width(blank) <= WIDTH:
        return [*lines[:-1], f"{lines[-1]}  {blank}"]
    return [*lines, " " * 6 + blank]
