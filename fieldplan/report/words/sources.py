"""The published sources that sentences name, such as "(source: tow20)" or "[tow20]", with their titles."""

from __future__ import annotations

import re
from collections.abc import Iterable

from fieldplan.tables import read as tables

_NAMED = re.compile(r"\b[a-z][a-z0-9-]+\b")
_PLACES = re.compile(r"\bsource: ([a-z0-9, -]+)|\[([a-z0-9-]+)\]")


def sources_named(texts: Iterable[str]) -> list[str]:
    """Key and title of each source that the sentences name, in the order of the bibliography."""
    named = {key for text in texts for found in _PLACES.finditer(text) for key in _NAMED.findall(found[1] or found[2])}
    return [f"{row['key']}: {row['title']}" for row in tables.rows("sources") if row["key"] in named - {"assumed", "practice"}]
