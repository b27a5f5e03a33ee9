"""Which sources facts rest on, and how they are told."""

from __future__ import annotations

from fieldplan.facts import fact
from fieldplan.model.notes import Note
from fieldplan.report.words.sources import sources_named, sources_of


def test_sources_are_found_wherever_a_fact_stands() -> None:
    """Those of a note, of a fact within it, and of facts in a list."""
    inner, listed = fact("inner", sources=("osu-road", "practice")), fact("listed", sources=("p3112",))
    note = Note(code="outer", values={"part": inner, "parts": (listed, "text")}, sources=("tow20",))
    assert list(sources_of([note])) == ["tow20", "osu-road", "practice", "p3112"]
    assert list(sources_of(["text", 3.0, fact("bare"), (note,)])) == [
        "tow20",
        "osu-road",
        "practice",
        "p3112",
    ]


def test_published_ones_are_told_with_their_titles_in_the_order_of_the_bibliography() -> None:
    """What is assumed or common practice has none; each is told once."""
    told = sources_named(["tow20", "assumed", "osu-road", "practice", "tow20", "p3112"])
    keys = [one.partition(": ")[0] for one in told]
    assert sorted(keys) == ["osu-road", "p3112", "tow20"]
    assert all(one.partition(": ")[2] for one in told)
    assert sources_named(reversed(keys)) == told
