"""Species found by name while it is typed, and what is published of the one that was found."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import lru_cache
from html import escape
from typing import Any

from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.species import species_lines, species_title
from fieldplan.seed.known import species_facts
from fieldplan.tables.names import species_kind, species_names
from fieldplan.tables.read import rows

MOST_FOUND = 8
"""Species that are shown while a name is typed."""
_LEAST_TYPED = 2


def found(typed: str) -> tuple[tuple[str, str], ...]:
    """Species whose common, scientific or other name or plant symbol has what was typed.

    Parameters
    ----------
    typed
        Part of a name.

    Returns
    -------
    tuple of (str, str)
        The common name and what else it is called; those first that begin with what was typed.
    """
    part = " ".join(typed.split()).casefold()
    if len(part) < _LEAST_TYPED:
        return ()
    ranked = [
        (rank, row["species"], row)
        for row in rows("species_names")
        if (rank := _rank(part, row)) is not None
    ]
    return tuple(
        (name, ", ".join(text for text in (row["scientific_name"], row["symbol"]) if text))
        for _, name, row in sorted(ranked, key=lambda one: one[:2])[:MOST_FOUND]
    )


def _rank(part: str, row: Mapping[str, str]) -> int | None:
    """How well a species fits a part of its name, best first; ``None`` if not at all."""
    main = [name.casefold() for name in (row["species"], row["scientific_name"], row["symbol"])]
    names = [*main, *(name.casefold() for name in row["other_names"].split(";"))]
    fits = (
        main[0].startswith(part),
        any(name.startswith(part) for name in main),
        any(f" {part}" in name for name in main),
        any(name.startswith(part) or f" {part}" in name for name in names),
        len(part) > _LEAST_TYPED and any(part in name for name in names),
    )
    return fits.index(True) if any(fits) else None


def is_known(typed: str) -> bool:
    """Whether a name is that of a species of the tables, as it stands or before a variety."""
    return species_kind(typed).casefold() in species_names()


def told(typed: str, tag: Mapping[str, Any], q: Quantities) -> str:
    """What is known of a species by what was typed, as HTML; else buttons for those that it may become."""
    if not typed.strip():
        return ""
    if is_known(typed):
        return _known(typed, str(tag.get("variety", "")), str(tag.get("form", "")), q)
    buttons = "".join(
        f'<button type="button" data-do="species" data-value="{escape(json.dumps(name))}">{escape(name)} <i>{escape(also)}</i></button>'
        for name, also in found(typed)
    )
    return f'<p>Did you mean one of these?</p><div class="found">{buttons}</div>' if buttons else ""


@lru_cache(maxsize=500)
def _known(typed: str, variety: str, form: str, q: Quantities) -> str:
    facts = species_facts(typed, variety=variety, form=form)
    lines = "".join(f"<li>{escape(line)}</li>" for line in species_lines(facts, q))
    return f"<details><summary>{escape(species_title(facts))}</summary><ul>{lines}</ul></details>"
