"""The cover at the start of the page: warnings, then what to book, buy, bring, pay and ask."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.report.text.plan.short import ground_text
from fieldplan.report.text.table import NARROW, paragraph
from fieldplan.report.words.cover import told
from fieldplan.report.words.notes import short_sentences, warning_sentences
from fieldplan.report.words.quantities import Quantities

_NAME = 9
"""Columns of the names of answers."""


def cover_lines(plan: Plan, q: Quantities, *, in_full: bool = False) -> list[str]:
    """Warnings, the answers of the cover, and the ground.

    Parameters
    ----------
    plan
        The plan to print.
    q
        The reader's units.
    in_full
        Give warnings in full, not in short.
    """
    warned = [note for note in plan.notes if note.warning]
    warnings = warning_sentences(warned, q) if in_full else short_sentences(warned, q, len(plan.fields))
    answers = [*((one.name, one.text) for one in told(plan, q)), ("Ground", ground_text(plan, q))]
    return [
        *(line for text in warnings for line in paragraph(f"Warning: {text}", maximum=NARROW)),
        *(
            line
            for name, text in answers
            for line in paragraph(text, bullet=f"{name.upper():<{_NAME}}", maximum=NARROW)
        ),
    ]
