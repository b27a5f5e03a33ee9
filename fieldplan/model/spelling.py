"""Misspelled words, found by their likeness to known ones."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from functools import lru_cache

SLIP = 0.8
"""Likeness from which an unknown word, which may be a right one, counts as a misspelled known one."""
_ENDS = ("d", "r", "ed", "er")
"""Endings that make a different word of a known one: "gated" is not a misspelled "gate"."""


def nearest(word: str, known: Iterable[str], cutoff: float = 0.6) -> str | None:
    """The known word most like a given one, ignoring capitals, blanks, hyphens and underscores.

    Parameters
    ----------
    cutoff
        Smallest likeness, 0 to 1, as `difflib.SequenceMatcher.ratio` has it.

    Returns
    -------
    str or None
        ``None`` if no known word is that like it.

    Examples
    --------
    >>> nearest("Headland-Round", ["headland_rounds", "heading"])
    'headland_rounds'
    """
    plain = {_plain(name): name for name in known}
    near = difflib.get_close_matches(_plain(word), plain, n=1, cutoff=cutoff)
    return plain[near[0]] if near else None


def same_word(first: str, second: str) -> bool:
    """Whether two names are one but for capitals, blanks, hyphens and underscores.

    Examples
    --------
    >>> same_word("Set-back", "set_back"), same_word("setback", "set_back")
    (True, False)
    """
    return first == second or _plain(first) == _plain(second)


def slips(words: Iterable[str], known: Iterable[str]) -> list[tuple[str, str]]:
    """Words that look like misspelled known ones, each with the known word.

    Only known words that are missing among the words are considered.

    Examples
    --------
    >>> slips(["priorty", "name"], ["priority", "name", "gate"])
    [('priorty', 'priority')]
    """
    return list(_slips(tuple(words), tuple(known)))


@lru_cache(maxsize=64)
def _slips(words: tuple[str, ...], known: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """`slips`, cached: all features of a layer have the same attributes."""
    plain_words, plain_known = {_plain(word) for word in words}, {_plain(name) for name in known}
    missing = [name for name in known if _plain(name) not in plain_words]
    unknown = [word for word in words if _plain(word) not in plain_known]
    found = [(word, name) for word in unknown if (name := nearest(word, missing, SLIP)) is not None]
    return tuple(
        (word, name) for word, name in found if _plain(word) not in {_plain(name) + end for end in _ENDS}
    )


@lru_cache(maxsize=1024)
def _plain(word: str) -> str:
    return re.sub(r"[\s_-]+", "_", word.strip().casefold())
