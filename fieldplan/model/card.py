"""The set-up card: what to do to the drill, in the order of the work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fieldplan.model.notes import Source


@dataclass(frozen=True, slots=True, kw_only=True)
class CardStep:
    """One thing to do and tick; ``blank`` names a reading to write down, ``source`` is the key of where it comes from.

    ``text`` has places for quantities, which stand in ``values`` in SI, as in a note; ``{catch}`` is the way of a catch.
    """

    part: str
    text: str
    blank: str = ""
    source: str = ""
    values: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One thing that can hurt, and its source; quantities as in a step."""

    text: str
    source: str
    values: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """The set-up card of one mix on one drill."""

    drill: str
    mix: str
    tractor: str
    """What it must know of the tractor, with places for `tractor_values`."""
    tractor_values: Mapping[str, float]
    steps: tuple[CardStep, ...]
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]
