"""Assumptions, defaults used, repairs made and warnings: data that travels with the result."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fieldplan.facts import Fact, in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Note(Fact):
    """One thing a reader should know about a number: a default, an assumption, a repair, a limit, a
    warning.

    Parameters
    ----------
    case
        Which of the sentences of the code, where it has several.
    about
        What it is about where that is no field, such as a drill of a season: it is said before the
        sentence.
    values
        What is said: quantities in SI by name, texts as somebody wrote them, days, facts. Notes that differ
        in their quantities alone are shown as one, with their range.
    places
        Longitude and latitude of what the sentence names by ``{name}``; notes that differ in them alone are
        shown as one, which says whose place is which.
    sources
        Keys of the published sources that it rests on, "assumed" or "practice".
    warning
        Something that the reader must see before the numbers: it is said first on every output.
    """

    case: str = ""
    about: str = ""
    field_id: str | None = None
    places: Mapping[str, tuple[float, float]] = field(default_factory=dict, hash=False)
    sources: tuple[str, ...] = ()
    warning: bool = False

    @property
    def text(self) -> str:
        """The note as a sentence, in either units."""
        return in_words(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A published document that a number in the plan comes from."""

    key: str
    title: str
