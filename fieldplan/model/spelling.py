"""Words that are spelled almost like known ones."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from functools import lru_cache

SLIP = 0.8
"""How like a known word a word must be to be taken for a slip of it where it could well be a word of its own."""


_ENDS = ("d", "r", "ed", "er")
"""Endings that make another word of a known one: "gated" is no slip of "gate"."""


def nearest(word: str, known: Iterable[str], cutoff: float = 0.6) -> str | None:
    """The known word that is most like a given one, whatever its capitals, blanks and hyphens; ``None`` if
    none is.
    """
    plain = {_plain(one): one for one in known}
    near = difflib.get_close_matches(_plain(word), plain, n=1, cutoff=cutoff)
    return plain[near[0]] if near else None


def slips(words: Iterable[str], known: Iterable[str]) -> list[tuple[str, str]]:
    """Words that are all but spelled like a known one that is not among them, each with that one."""
    return list(_slips(tuple(words), tuple(known)))


@lru_cache(maxsize=64)
def _slips(words: tuple[str, ...], known: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Kept, for the features of a layer have the same attributes."""
    there, meant = ({_plain(word) for word in words}, {_plain(one) for one in known})
    missing = [one for one in known if _plain(one) not in there]
    unknown = [word for word in words if _plain(word) not in meant]
    found = [(word, near) for word in unknown if (near := nearest(word, missing, SLIP)) is not None]
    return tuple(
        (word, near) for word, near in found if _plain(word) not in {_plain(near) + end for end in _ENDS}
    )


def _plain(word: str) -> str:
    return re.sub(r"[\s_-]+", "_", word.strip().casefold())
