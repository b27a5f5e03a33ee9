"""What is found, as data: a code and typed values, no words. ``report/words`` makes the sentence, in the
reader's units.

A value is a number in SI whose name ends in its unit (``width_m``) or begins with ``n_`` if it is a count;
text as somebody wrote it; a day (``opens_typed_day`` if it is to be shown as typed); a place
(``gate_lonlat``); money; or another fact. A tuple is a list of values.
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
    """A quantity in SI under a name that does not tell its unit.

    Parameters
    ----------
    value
        In SI.
    ending
        The unit as the end of a name would give it, such as ``_kg_per_m2``.
    """

    value: float
    ending: str


@dataclass(frozen=True, slots=True)
class Money:
    """An amount of money.

    Parameters
    ----------
    amount
        In whole units of the currency.
    currency
        Its sign or code, as it was written.
    exact
        Whether to show the amount in its own digits, as for a rate, instead of rounded.
    """

    amount: Decimal | float
    currency: str
    exact: bool = False


@dataclass(frozen=True, slots=True)
class Fact:
    """A sentence or part of one, as data. Notes and problems are facts too.

    Parameters
    ----------
    code
        Which sentence, such as ``"looks-like-degrees"``, or ``"code/case"``.
    values
        What stands in it, by name.
    """

    code: str
    values: Mapping[str, Value] = field(default_factory=dict, hash=False)

    def __str__(self) -> str:
        """Return the fact in words, with US and metric units."""
        return in_words(self)


@dataclass(frozen=True, slots=True)
class TableSentence:
    """A sentence of a table, as data.

    Parameters
    ----------
    text
        The sentence, with ``{names}`` in the places of its quantities.
    values
        The quantities by those names.
    """

    text: str
    values: Mapping[str, Value] = field(default_factory=dict, hash=False)

    def __str__(self) -> str:
        """Return the sentence, with US and metric units."""
        return in_words(self)


Value = Union[str, float, int, date, Decimal, Measure, Money, Fact, TableSentence, tuple["Value", ...]]  # noqa: UP007  # it names itself


def fact(code: str, /, **values: Value) -> Fact:
    """Return the fact of a code, or ``"code/case"``, with those values.

    Examples
    --------
    >>> fact("kind/length").code
    'kind/length'
    """
    return Fact(code, values)


def case_of(code: str, case: str, /, **values: Value) -> Fact:
    """Return the fact of a code in a case that is known only when running, such as a key of a table."""
    return Fact(f"{code}/{case}", values)


def parted(key: str) -> tuple[str, str]:
    """Return code and case of ``"code/case"``; the case is empty if there is none.

    Examples
    --------
    >>> parted("not-a-date/month"), parted("not-a-date")
    (('not-a-date', 'month'), ('not-a-date', ''))
    """
    code, _, case = key.partition("/")
    return code, case


def _without_words(thing: object, part: Part) -> str:
    return repr(thing) if part == "text" else ""


_speaker: Callable[[object, Part], str] = _without_words


def spoken_by(speaker: Callable[[object, Part], str]) -> None:
    """Set the function that puts facts, notes and problems into words; done once when the package is loaded.

    Parameters
    ----------
    speaker
        Takes the fact and ``"text"`` for its sentence or ``"hint"`` for what to try; returns the words.
    """
    global _speaker
    _speaker = speaker


def in_words(thing: object, part: Part = "text") -> str:
    """Return a fact, note or problem as a sentence, with US and metric units.

    Parameters
    ----------
    thing
        The fact, note or problem.
    part
        ``"text"`` for the sentence, ``"hint"`` for what to try.
    """
    return _speaker(thing, part)
