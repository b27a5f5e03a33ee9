"""Assumptions, defaults used, repairs made and warnings: data that travels with the result."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """One thing a reader should know about a number: a default, an assumption, a repair, a limit, a warning.

    Parameters
    ----------
    text
        A sentence that names no quantity of its own but has places for them, such as ``"… swing {swing_m} past the edge"``;
        ``{width_m:1}`` asks for that many decimals, and ``{low_m..high_m}`` is a range.
    values
        What stands in those places, in SI; each name ends in its unit, as everywhere in fieldplan, or begins with ``n_`` if it
        counts. They are shown in the reader's units, and notes that differ in them alone are shown as one, with their range.
    places
        Longitude and latitude of what the text names by ``{name}``; notes that differ in them alone are shown as one, which says
        whose place is which.
    warning
        Something that the reader must see before the numbers: it is said first on every output.
    """

    code: str
    text: str
    field_id: str | None = None
    values: Mapping[str, float] = field(default_factory=dict)
    places: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    warning: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A published document that a number in the plan comes from."""

    key: str
    title: str
