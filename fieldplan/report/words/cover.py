"""The cover of a job in words: a name and a text for each of its answers."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from fieldplan.facts import Fact
from fieldplan.model.cover import Answer, Question, cover_of
from fieldplan.model.plan import Plan
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence, short_sentence

NAMES: dict[Question, str] = {
    "book": "Book",
    "seed": "Seed",
    "tractor": "Tractor",
    "fee": "Fee",
    "ask": "Ask",
}
_BAGS = re.compile(r"(\d) × (\S+) ")
_SAYS_SO = ("fee", "ask")
"""Answers that say by themselves that something is not known."""


class Told(NamedTuple):
    """An answer in words: its name, the answer itself, what it consists of or rests on; what is not known, with the
    keys of the job file to give it by and, for paper, without.
    """

    name: str
    says: str
    why: tuple[str, ...]
    give: str
    unknown: str

    @property
    def text(self) -> str:
        """All of it as sentences."""
        listed = f": {'; '.join(self.why)}" if self.why else ""
        return " ".join(part for part in (f"{self.says}{listed}.", self.give) if part)


def told(plan: Plan, q: Quantities) -> list[Told]:
    """The answers of the cover, in their order.

    Parameters
    ----------
    plan
        The plan of the job.
    q
        The reader's units.
    """
    return [_told(answer, q) for answer in cover_of(plan)]


def unbroken(text: str) -> str:
    """The text with the bags of a lot and their weight on one line: "8 × 25 lb"."""
    return _BAGS.sub("\\1\u00a0×\u00a0\\2\u00a0", text)


def _told(answer: Answer, q: Quantities) -> Told:
    lacks = [sentence(one, q) for one in answer.lacks]
    unknown = () if answer.question in _SAYS_SO else _all(answer.lacks, q)
    return Told(
        name=NAMES[answer.question],
        says=short_sentence(answer.says, q),
        why=_all(answer.why, q),
        give=f"Give {', '.join(lacks)}." if lacks else "",
        unknown=f"Not known: {', '.join(unknown)}." if unknown else "",
    )


def _all(facts: Iterable[Fact], q: Quantities) -> tuple[str, ...]:
    return tuple(short_sentence(one, q) for one in facts)
