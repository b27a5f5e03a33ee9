"""What a plan still needs: all of it from the first, and never more because somebody filled something in."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from random import Random
from typing import Any

import pytest
from desks import SAMPLES, small_draft

from fieldplan.jobfile.load import read_toml
from fieldplan.web.draft import Draft
from fieldplan.web.needed import examined_whole, things
from fieldplan.web.tables import Place, with_row, with_value

PATH = Path("job.toml")
GRAIN = {"name": "grain", "kind": "grain"}
LACKS_BOX = {
    **{"species": "big bluestem", "rate": "6 lb/ac PLS", "purity": "95 %", "germination": "85 %"},
    **{"bulk_weight": "10 lb/bu"},
}
"""A lot whose seed goes into a native box, which this drill has not."""
FILLED: tuple[tuple[Place, str, str | int], ...] = (
    (("drill",), "name", "ten foot"),
    (("drill",), "rows", 16),
    (("drill",), "row_spacing", "7.5 in"),
    (("drill",), "turning_radius", "20 ft"),
    (("drill", "box", 0), "volume", "24 ft3"),
    (("mix", 0), "name", "meadow"),
    (("mix", 0, "component", 0), "species", "buffalograss"),
    (("mix", 0, "component", 0), "rate", "20 seeds/ft2"),
    (("mix", 0, "component", 0), "purity", "95 %"),
    (("mix", 0, "component", 0), "germination", "85 %"),
    (("mix", 0, "component", 0), "bulk_weight", "20 lb/bu"),
    (("booking",), "fieldwork_day_chance", "55 %"),
)
"""Everything that an empty job needs; this species, so counted, needs its form and its box besides."""


def count(tables: dict[str, Any], draft: Draft | None = None) -> int:
    """How many things a plan of some tables still needs."""
    draft = Draft(ground=draft.ground if draft else (), tables=tables)
    return len(things(draft, examined_whole(draft, PATH).problems))


def test_an_empty_job_needs_all_that_the_command_line_will_ask_for() -> None:
    """What is to be added counts with its boxes, so that to add it adds nothing."""
    assert count({}) == len(FILLED)
    with_box = with_row({}, ("drill", "box"), GRAIN)
    with_mix = with_row(with_box, ("mix",), {"component": [{}]})
    assert count(with_box) == count(with_mix) == len(FILLED)


@pytest.mark.parametrize("seed", range(12))
def test_the_count_never_rises_while_boxes_are_filled_in(seed: int) -> None:
    """In any order, with the drill last or first; what a species asks for besides is one thing, counted from the first."""
    tables: dict[str, Any] = {"drill": {"box": [GRAIN]}, "mix": [{"component": [{}, LACKS_BOX]}]}
    order = list(FILLED)
    Random(seed).shuffle(order)
    counts = [count(tables)]
    for place, key, value in order:
        tables = with_value(tables, place, key, value)
        counts.append(count(tables))
    assert all(later <= before for before, later in pairwise(counts)), counts
    assert (counts[0], counts[-1]) == (len(FILLED) + 1, 2)
    for lot, key, value in ((0, "box", "grain"), (0, "form", "burs"), (1, "box", "grain")):
        tables = with_value(tables, ("mix", 0, "component", lot), key, value)
    assert count(tables) == 0


def test_fields_whose_mix_is_open_are_counted_before_the_job_is_complete() -> None:
    """Two mixes on the page and nothing else: each field asks for its mix already."""
    draft = small_draft(3)
    one, two = ({"name": name, "component": [{}]} for name in ("meadow", "edge"))
    assert count({"mix": [one, two]}, draft) == count({"mix": [one, two]}) + 3
    named = {"field": {"p1": {"mix": "edge"}}, "mix": [one, two]}
    assert count(named, draft) == count({"mix": [one, two]}) + 2
    assert count({"mix": [one]}, draft) == count({"mix": [one]})


def test_a_job_that_can_be_planned_needs_nothing() -> None:
    """Every sample."""
    for name in ("farm.toml", "restoration.toml"):
        draft = Draft(tables=read_toml(SAMPLES / name))
        assert examined_whole(draft, SAMPLES / name).problems == ()
