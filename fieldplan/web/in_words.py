"""What stands in the way, in words: the problem as a sentence, and what to try."""

from __future__ import annotations

from fieldplan.errors import Problem
from fieldplan.report.words.both_units import BothUnits
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import hint_sentence, sentence


def in_words(one: Problem, q: Quantities | BothUnits) -> str:
    """A problem in words."""
    hint = hint_sentence(one, q)
    return sentence(one, q) + (f" Try: {hint}." if hint else "")
