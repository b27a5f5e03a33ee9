"""Sentences of several notes in one: each place under a name of its own, so that each keeps its quantity."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

_PLACE = re.compile(r"\{(?P<name>[a-z0-9_]+)(?:\.\.(?P<to>[a-z0-9_]+))?(?P<digits>:\d)?\}")
Said = tuple[str, Mapping[str, float]]
"""A sentence with places, and what stands in them, as in a note."""


def joined(parts: Iterable[Said], by: str) -> tuple[str, dict[str, float]]:
    """The sentences one after the other, with ``by`` between them."""
    texts: list[str] = []
    values: dict[str, float] = {}
    for k, (text, own) in enumerate(parts):
        one, named = ranged(text, [own], tag=f"p{k}")
        texts.append(one)
        values |= named
    return by.join(texts), values


def ranged(text: str, each: Sequence[Mapping[str, float]], tag: str = "") -> tuple[str, dict[str, float]]:
    """One sentence for all that share it, each quantity from its least to its most.

    Parameters
    ----------
    tag
        Begins the names of the places, to tell them from those of other sentences.
    """
    values: dict[str, float] = {}

    def named(place: re.Match[str]) -> str:
        first, last = place["name"], place["to"] or place["name"]
        if any(name not in own for name in (first, last) for own in each):
            return place[0]
        low, high = _name(f"{tag}least", first), _name(f"{tag}most", last)
        values[low], values[high] = min(own[first] for own in each), max(own[last] for own in each)
        return f"{{{low}..{high}{place['digits'] or ''}}}"

    return _PLACE.sub(named, text), values


def _name(tag: str, name: str) -> str:
    """Another name for the same kind of quantity; counts are told by how they begin, all others by how they end."""
    return f"n_{tag}_{name}" if name.startswith("n_") else f"{tag}_{name}"
