"""The set-up card: what to do to the drill, in the order of the work."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.facts import Fact, TableSentence
from fieldplan.model.notes import Source


@dataclass(frozen=True, slots=True, kw_only=True)
class CardStep:
    """One step to do and tick off.

    Parameters
    ----------
    part
        Heading of the card under which it stands.
    says
        The step, as a fact or a sentence of a table.
    blank
        Name of a reading to write down; empty if there is none.
    source
        Key of its source, or "practice".
    """

    part: str
    says: Fact | TableSentence
    blank: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One hazard, as a sentence of a table, and the key of its source."""

    says: TableSentence
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """The set-up card of one mix on one drill."""

    drill: str
    mix: str
    tractor: Fact
    """What is known of the tractor."""
    stand: Fact | None
    """How many live seeds the mix sows in all; ``None`` if no seed size is known."""
    steps: tuple[CardStep, ...]
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]
    letterhead: tuple[str, ...] = ()
    """Lines at its head: who lends the drill."""
