"""A set-up card as JSON."""

from __future__ import annotations

from fieldplan.model.card import Card
from fieldplan.report.text.card import LAST_WORD
from fieldplan.report.words import sentences
from fieldplan.report.words.notes import values_as_data
from fieldplan.report.words.quantities import Quantities


def card_object(card: Card) -> dict[str, object]:
    """The card as nested dicts: sentences in US units, and their quantities in SI by name."""
    us = Quantities("us")
    return {
        "schema": "fieldplan/setup/1",
        "drill": card.drill,
        "mix": card.mix,
        "stand": None if card.stand is None else values_as_data(card.stand.values),
        "steps": [
            {
                "part": step.part,
                "text": sentences.sentence(step.says, us),
                "blank": step.blank,
                "source": step.source,
                "values": values_as_data(step.says.values),
            }
            for step in card.steps
        ],
        "cautions": [
            {
                "text": sentences.sentence(caution.says, us),
                "source": caution.source,
                "values": values_as_data(caution.says.values),
            }
            for caution in card.cautions
        ],
        "sources": [{"key": source.key, "title": source.title} for source in card.sources],
        "last_word": LAST_WORD,
    }
