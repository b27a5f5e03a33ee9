"""What is the case, as data: a code, typed quantities, no words. Words are put to it in ``report/words``,
in the reader's units.

A value is a number in SI whose name ends in its unit (``width_m``) or begins with ``n_`` if it counts, a
text as somebody wrote it, a day (``opens_typed_day`` if it is said as it is typed), a place
(``gate_lonlat``), money, or again a fact; a tuple lists several.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Literal, Union

Part = Literal["text", "hint"]


@dataclass(frozen=True, slots=True)
class Measure:
    """A quantity in SI under a name that does not tell its unit: ``ending`` does, as the end of a name
    would, such as ``_kg_per_m2``.
    """

    value: float
    ending: str


@dataclass(frozen=True, slots=True)
class Money:
    """An amount in a currency as it was written: a sign or a code; one that is ``exact``, such as a rate,
    in its own digits.
    """

    amount: Decimal | float
    currency: str
    exact: bool = False


@dataclass(frozen=True, slots=True)
class Fact:
    """A part of what is said: which sentence, such as ``"looks-like-degrees"``, and what stands in it.
    Notes and problems are facts too.
    """

    code: str
    values: Mapping[str, Value] = field(default_factory=dict, hash=False)

    def __str__(self) -> str:
        """The fact in words, in either units."""
        return in_words(self)


@dataclass(frozen=True, slots=True)
class TableSentence:
    """A sentence of a table, with places for its quantities."""

    text: str
    values: Mapping[str, Value] = field(default_factory=dict, hash=False)

    def __str__(self) -> str:
        """The sentence, in either units."""
        return in_words(self)


Value = Union[str, float, int, date, Decimal, Measure, Money, Fact, TableSentence, tuple["Value", ...]]  # noqa: UP007  # it names itself


def fact(code: str, /, **values: Value) -> Fact:
    """The fact of that code with those values."""
    return Fact(code, values)


def case_of(code: str, case: str, /, **values: Value) -> Fact:
    """The fact of a code in the case that a key of a table or of a result names."""
    return Fact(f"{code}/{case}", values)


def parted(key: str) -> tuple[str, str]:
    """Code and case of ``"code/case"``; many need no case."""
    code, _, case = key.partition("/")
    return code, case


def _unspoken(thing: object, part: Part) -> str:
    return repr(thing) if part == "text" else ""


_speaker: Callable[[object, Part], str] = _unspoken


def spoken_by(speaker: Callable[[object, Part], str]) -> None:
    """Have facts, notes and problems put into words by a function; the package names it when it is
    loaded.
    """
    global _speaker
    _speaker = speaker


def in_words(thing: object, part: Part = "text") -> str:
    """A fact, note or problem as a sentence, or what to try about it, for whoever has no units of their
    own.
    """
    return _speaker(thing, part)
