"""Names of species, in any form in which people write them, and the kind each stands for."""

from __future__ import annotations

import re
from collections.abc import Mapping
from difflib import SequenceMatcher
from functools import cache

from fieldplan.model.spelling import nearest
from fieldplan.tables import read

_LIKE, _ALIKE, _AS_A_WHOLE = 0.72, 0.85, 0.9
"""How similar, 0 to 1, an unknown name must be to a known one: word by word to be asked about and to be taken
for it, and as a whole.
"""


@cache
def species_names() -> Mapping[str, str]:
    """Return the common name of every species by each of its names, in lower case.

    Those are its common and scientific name, its plant symbol and its other names.
    """
    main_names, other_names = [], []
    for row in read.rows("species_names"):
        species = row["species"]
        main_names += [(species, species), (row["scientific_name"], species)]
        other_names += [(name, species) for name in (row["symbol"], *row["other_names"].split(";"))]
    # reversed: where two species share a name, the later entry of the dict, a main name, wins
    return {name.casefold(): species for name, species in reversed((*main_names, *other_names)) if name}


def species_name(species: str) -> str:
    """Return the common name of a species as the tables spell it; the text unchanged if they do not have it.

    Examples
    --------
    >>> species_name("panicum  virgatum"), species_name("orchard grass")
    ('switchgrass', 'orchardgrass')
    """
    plain = " ".join(species.split()).casefold()
    if plain in species_names():
        return species_names()[plain]
    together = _together(plain)
    return _names_together().get(together) or _names_together().get(together.removesuffix("s")) or species


def species_kind(species: str) -> str:
    """Return the species of a name as it stands on a seed tag, where a variety may follow it.

    If no species is found in it, the result is that of `species_name`.

    Examples
    --------
    >>> species_kind("switchgrass, Alamo"), species_kind("Panicum virgatum 'Alamo'")
    ('switchgrass', 'switchgrass')
    """
    name = species_name(species)
    if name.casefold() in species_names() or len(parts := _VARIETY.split(species, maxsplit=1)) < 2:
        return name
    head, rest = parts
    for words in (head, f"{rest} {head}"):  # "clover, red" as well
        named = species_name(words)
        if named.casefold() in species_names() and "(" not in named:
            return named
    return name


_VARIETY = re.compile(r"\s*(?:[,;(]|\s['\"‘“]|\s(?=VNS\b))\s*")
"""What separates the species from the variety on a tag."""


@cache
def _names_together() -> Mapping[str, str]:
    """Return names of species without spaces, hyphens and periods: "orchard grass" is orchardgrass."""
    return {_together(name): common for name, common in species_names().items() if len(name) > 6}


def _together(name: str) -> str:
    return re.sub(r"[^a-z0-9()]", "", name.casefold())


def misspelled(species: str) -> tuple[str, bool]:
    """Return the common name of the species whose name is most similar, and whether it can hardly be another.

    The name is empty if none is similar: word by word, or as a whole.

    Examples
    --------
    >>> misspelled("swichgrass"), misspelled("moon grass")
    (('switchgrass', True), ('', False))
    """
    names = species_names()
    # a plant symbol is compared only with words in capitals, as symbols are written
    symbols = (
        set() if species.isupper() else {row["symbol"].casefold() for row in read.rows("species_names")}
    )
    words = species.casefold().split()
    alike = [
        (sum(ratios), min(ratios), name)
        for name in names
        if name not in symbols and (ratios := _ratios(words, name.split())) and min(ratios) >= _LIKE
    ]
    if alike:
        _, least, name = max(alike)
        return names[name], least >= _ALIKE
    together = nearest("".join(words), {name.replace(" ", "") for name in names}, _AS_A_WHOLE)
    found = next((names[name] for name in names if name.replace(" ", "") == together), "")
    return found, bool(found)


def _ratios(words: list[str], others: list[str]) -> list[float]:
    """Return how similar each word is to the one in its place; empty if their numbers differ."""
    if len(words) != len(others):
        return []
    return [SequenceMatcher(None, word, other).ratio() for word, other in zip(words, others, strict=True)]
