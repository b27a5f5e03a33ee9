"""The set-up card: what to do to the drill, in the order of the work."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.facts import Fact, TableSentence
from fieldplan.model.notes import Source


@dataclass(frozen=True, slots=True, kw_only=True)
class CardStep:
    """One thing to do and tick; ``blank`` names a reading to write down, ``source`` is the key of where it
    comes from.

    ``says`` is a fact, or a sentence of a table.
    """

    part: str
    says: Fact | TableSentence
    blank: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One thing that can hurt, a sentence of a table, and its source."""

    says: TableSentence
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """The set-up card of one mix on one drill."""

    drill: str
    mix: str
    tractor: Fact
    """What it must know of the tractor."""
    steps: tuple[CardStep, ...]
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]
