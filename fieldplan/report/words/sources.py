"""The published sources of facts, with their titles."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fieldplan.facts import Fact, TableSentence, Value
from fieldplan.model.notes import Note
from fieldplan.tables import read as tables


def sources_named(keys: Iterable[str]) -> list[str]:
    """Key and title of each published source, such as "ep496: ASAE EP496.3, …".

    Parameters
    ----------
    keys
        Keys of ``tables/sources.csv``; "assumed" and "practice" are no sources and left out.

    Returns
    -------
    list of str
        In the order of the bibliography, each once.
    """
    named = set(keys)
    return [
        f"{row['key']}: {row['title']}"
        for row in tables.rows("sources")
        if row["key"] in named - {"assumed", "practice"}
    ]


def sources_of(values: Iterable[Value]) -> Iterator[str]:
    """Keys of the sources of facts, and of all facts within them.

    Parameters
    ----------
    values
        Facts, notes and other values. A note brings its own sources, any fact what its value ``sources``
        lists.
    """
    for value in values:
        if isinstance(value, Note):
            yield from value.sources
        if isinstance(value, Fact | TableSentence):
            keys = value.values.get("sources", ())
            yield from (key for key in (keys if isinstance(keys, tuple) else ()) if isinstance(key, str))
            yield from sources_of(value.values.values())
        elif isinstance(value, tuple):
            yield from sources_of(value)
