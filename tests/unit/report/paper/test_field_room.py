"""How much of a field sheet is left for the map, and when the order of passes has a page of its own."""

from __future__ import annotations

from typing import Any

import pytest

from fieldplan.report.paper.field_room import MAP_HIGH_MM, WANTED_MM, placed

STRETCH = (
    "Passes 1 to 79, block 3: begin on strip 1 from the north side, at its west end. Skip "
    + "3 south, 4 north, " * 20
)
FIGURES = [["Hours here", "10 h 12 min: sowing 5 h 58 min, turns 2 h 49 min"], ["Meter", "about 32.52 ac"]]


def _sheet(*, n_stretches: int = 1, n_notes: int = 1, n_loads: int = 4) -> dict[str, Any]:
    """A sheet with so many stretches of the order, notes, and lines of loads."""
    return {
        "front": [["Gate", "in the north-east, assumed, at 35.85266, -103.24274"]],
        "back": list(FIGURES),
        "movable": [FIGURES[1]],
        "rule": "Turn round at the end of each pass.",
        "sequence": [STRETCH] * n_stretches,
        "warnings": [],
        "treated": [],
        "changes": [],
        "notes": [
            "A note of the field that is a little longer than one line of the paper takes, so that it takes two."
        ]
        * n_notes,
        "boxes": {"rows": [["grain", "oats"]]},
        "loads": {"rows": [["start", "grain", "oats", "553.0 lb", "11 bags"]] * n_loads},
        "blanks": ["date"] * 9,
    }


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
def test_a_long_order_of_passes_leaves_the_map_its_page(paper: Any) -> None:
    """Nine long stretches would leave 75 mm: they have a page of their own, a line each, and the map is as high as wanted."""
    made = placed(_sheet(n_stretches=9), paper, n_stops=3, slender_frac=0.8)
    assert made["apart"]
    assert made["map-mm"][1] >= WANTED_MM
    assert [line.split(" ", 1)[0] for line in made["sequence"]] == [f"{n}." for n in range(1, 10)]


def test_a_short_order_of_passes_stands_below_the_map() -> None:
    """One stretch leaves the map what it wants."""
    made = placed(_sheet(), "us-letter", n_stops=3, slender_frac=0.8)
    assert not made["apart"]
    assert made["map-mm"][1] >= WANTED_MM


def test_a_field_without_stops_keeps_to_two_pages() -> None:
    """However long the order is: the map gives way, down to its least height."""
    made = placed(_sheet(n_stretches=9), "us-letter", n_stops=0, slender_frac=0.8)
    assert not made["apart"]
    assert made["map-mm"][1] == pytest.approx(MAP_HIGH_MM[0])


def test_the_map_of_a_slender_field_gives_way() -> None:
    """A corridor is as large on 75 mm as on more: the order of passes stays with it."""
    sheet = _sheet(n_stretches=6)
    assert placed(sheet, "us-letter", n_stops=1, slender_frac=0.8)["apart"]
    assert not placed(sheet, "us-letter", n_stops=1, slender_frac=0.05)["apart"]


def test_notes_go_to_the_map_before_the_loads_take_another_page() -> None:
    """Seven notes below the loads would run over; with the map they and all figures find room, each said once."""
    made = placed(_sheet(n_stretches=9, n_notes=7, n_loads=15), "us-letter", n_stops=6, slender_frac=0.8)
    assert made["apart"]
    assert made["notes-in-front"]
    assert sorted(made["front"] + made["back"]) == sorted([*_sheet()["front"], *FIGURES])


def test_no_more_pages_than_stops_allow() -> None:
    """Loads of two pages and an order of one come to four with the map: too many for six stops, not for seven."""
    sheet = _sheet(n_stretches=9, n_loads=28)
    assert not placed(sheet, "us-letter", n_stops=6, slender_frac=0.8)["apart"]
    assert placed(sheet, "us-letter", n_stops=7, slender_frac=0.8)["apart"]
