"""The cover of a job as data: each answer with its facts, their values in SI and their sentences in US units."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from fieldplan.facts import Fact
from fieldplan.model.cover import Cover
from fieldplan.report.words.notes import fact_as_data
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import short_sentence

_US = Quantities("us")


def cover_object(cover: Cover) -> dict[str, Any]:
    """The answers by what they answer: "book", "seed", "tractor", "fee", "ask".

    Parameters
    ----------
    cover
        The answers.

    Returns
    -------
    dict
        Of each answer ``says``, a list ``why`` of what it consists of or rests on, and a list ``lacks`` of what is
        not known with the keys that supply it.
    """
    return {
        answer.question: {
            "says": _said(answer.says),
            "why": _all(answer.why),
            "lacks": _all(answer.lacks),
        }
        for answer in cover
    }


def _all(facts: Iterable[Fact]) -> list[dict[str, Any]]:
    return [_said(one) for one in facts]


def _said(one: Fact) -> dict[str, Any]:
    return {**fact_as_data(one), "text": short_sentence(one, _US)}
