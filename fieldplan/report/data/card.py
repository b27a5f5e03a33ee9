"""A set-up card for programs."""

from __future__ import annotations

from fieldplan.model.card import Card
from fieldplan.report.text.card import LAST_WORD
from fieldplan.report.words import sentences
from fieldplan.report.words.notes import values_as_data
from fieldplan.report.words.quantities import Quantities


def card_object(card: Card) -> dict[str, object]:
    """The card as nested dicts and lists, ready for JSON: sentences in US units, their quantities in SI by
    name.
    """
    us = Quantities("us")
    return {
        "schema": "fieldplan/setup/1",
        "drill": card.drill,
        "mix": card.mix,
        "steps": [
            {
                "part": one.part,
                "text": sentences.sentence(one.says, us),
                "blank": one.blank,
                "source": one.source,
                "values": values_as_data(one.says.values),
            }
            for one in card.steps
        ],
        "cautions": [
            {
                "text": sentences.sentence(one.says, us),
                "source": one.source,
                "values": values_as_data(one.says.values),
            }
            for one in card.cautions
        ],
        "sources": [{"key": one.key, "title": one.title} for one in card.sources],
        "last_word": LAST_WORD,
    }
