"""Assumptions, defaults used, repairs made and warnings: data that travels with the result."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fieldplan.facts import Fact, in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Note(Fact):
    """One thing a reader should know about a number: a default, an assumption, a repair, a warning.

    Parameters
    ----------
    case
        Selects the sentence, if the code has several.
    about
        The subject, if that is not a field, such as a drill of a season; it stands before the sentence.
    values
        What the sentence names: quantities in SI, texts as a person wrote them, days, facts. Notes that
        differ only in their quantities are merged into one, with their range.
    places
        Longitude and latitude of places that the sentence names as ``{name}``. Notes that differ only in
        these are merged into one, with the place of each field.
    sources
        Keys of the published sources it rests on, "assumed" or "practice".
    warning
        Whether the reader must see it before the numbers: it comes first on every output.
    """

    case: str = ""
    about: str = ""
    field_id: str | None = None
    places: Mapping[str, tuple[float, float]] = field(default_factory=dict, hash=False)
    sources: tuple[str, ...] = ()
    warning: bool = False

    @property
    def text(self) -> str:
        """The note as a sentence, with quantities in both US and metric units."""
        return in_words(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A published document that a number in the plan comes from."""

    key: str
    title: str
