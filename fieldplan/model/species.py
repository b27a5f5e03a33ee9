"""What is published of a species, figure by figure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """One figure or word as one source prints it.

    Parameters
    ----------
    quantity
        What it is of, as ``species.csv`` names it, or ``"test weight"``, ``"soil temperature"``, ``"rate alone"``.
    low, high
        Its range in SI, by ``ending``; ``None`` for a word.
    ending
        The unit, as the end of a name gives it, such as ``"_seeds_per_kg"``; empty for a word.
    word
        The word, where it is no number.
    form, variety
        The form of seed and the variety or type that it is of, where the source says so.
    place, note
        Where in the source it stands, and what the source says besides.
    unfit
        Why it may not be used; empty if it may.
    """

    quantity: str
    low: float | None = None
    high: float | None = None
    ending: str = ""
    word: str = ""
    form: str = ""
    variety: str = ""
    source: str
    place: str = ""
    note: str = ""
    unfit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Days of the year, in one state, between which a species is sown; they may run over the new year.

    ``first`` and ``last`` stand in a year that means nothing.
    """

    state: str
    purpose: str
    first: date
    last: date
    source: str
    place: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """Seeds per kilogram of seed of a tag: the figure used, the range over all sources, and how many differ.

    Parameters
    ----------
    witnesses
        Sources that do not repeat one another.
    unfit
        Why no single figure may be used.
    forms
        Forms of seed whose counts differ so much that the tag's must be known: name, lowest and highest count;
        empty where there are none or the form is known.
    """

    per_kg: float
    low_per_kg: float
    high_per_kg: float
    witnesses: int
    sources: tuple[str, ...]
    unfit: str = ""
    forms: tuple[tuple[str, float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeciesFacts:
    """All that the tables hold of a species.

    Parameters
    ----------
    named
        The name that was asked for.
    kind
        Its common name; empty if the tables do not know it.
    taken
        Whether the name was taken for that of a known kind as it is spelled almost like it.
    asked
        What no source was found for: it has to be asked for.
    """

    named: str
    kind: str
    taken: bool = False
    scientific_name: str = ""
    symbol: str = ""
    other_names: tuple[str, ...] = ()
    count: Count | None = None
    printed: tuple[Printed, ...] = ()
    windows: tuple[Window, ...] = ()
    asked: tuple[str, ...] = ()

    def printed_of(self, quantity: str) -> tuple[Printed, ...]:
        """What is printed of one quantity, the source that counts first."""
        return tuple(one for one in self.printed if one.quantity == quantity)
