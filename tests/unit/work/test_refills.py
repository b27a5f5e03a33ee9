"""Stops along a route of a few passes, checked on paper: a box of 300 kg, a metre wide, a kilogram a square
metre.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import LineString, Point

from fieldplan.model.budget import BoxBudget, SownComponent
from fieldplan.model.coverage import Leg, SeedTrips
from fieldplan.model.work import SeedSupply
from fieldplan.work.refills import supply

BOX = BoxBudget(
    box="b",
    bulk_kg_per_m2=1.0,
    volume_m3_per_m2=1.0,
    working_m3=300.0,
    min_m3=0.0,
    components=(
        SownComponent(
            species="s", lot="", bulk_kg_per_m2=1, pls_kg_per_m2=1, sown_bulk_kg=1, sown_pls_kg=1
        ),
    ),
)


SEED = Point(200, 30)


def _straight(start: tuple[float, ...], end: tuple[float, ...]) -> Leg:
    line = LineString([start, end])
    return Leg(kind="transfer", line=line, length_m=line.length)


STRAIGHT = SeedTrips(
    to_seed=lambda line: _straight(line.coords[-1], SEED.coords[0]),
    from_seed=lambda line: _straight(SEED.coords[0], line.coords[0]),
)
"""Straight to the seed from where a line ends, and to where one starts."""


def _supply(*lengths_m: float, box: BoxBudget = BOX, held_m3: float = 0.0) -> SeedSupply:
    legs = tuple(
        Leg(kind="pass", line=LineString([(0, y), (length, y)]), length_m=length, block=1)
        for y, length in enumerate(lengths_m)
    )
    return supply(
        "f",
        legs,
        [box],
        1.0,
        None,
        STRAIGHT,
        refill_s=600.0,
        speed_m_per_s=2.0,
        in_boxes_m3={"b": held_m3},
    )


def test_no_stop_where_one_fill_sows_all() -> None:
    """250 kg of the 300 that a box holds: tipped in at the start, and no note."""
    found = _supply(150, 100)
    assert (found.first_load_kg, found.refills, found.notes) == ({"b": 250}, (), ())


def test_a_box_is_filled_at_the_end_of_a_pass() -> None:
    """Passes of 200 m: after each of the first two, 200 kg each time."""
    found = _supply(200, 200, 200)
    assert [leg.kind for leg in found.legs] == ["pass", "refill", "pass", "refill", "pass"]
    assert [refill.load_kg["b"] for refill in found.refills] == [200, 200]


def test_what_is_in_a_box_is_not_tipped_in_again() -> None:
    """80 kg are left of the field before."""
    assert _supply(150, 100, held_m3=80.0).first_load_kg == {"b": pytest.approx(170)}


def test_a_pass_that_no_fill_sows_is_cut_in_equal_parts_and_told() -> None:
    """1,000 m take more than three fills of 300: four stretches of 250, and a note on the one pass."""
    found = _supply(1000)
    assert [leg.length_m for leg in found.legs if leg.sown] == [pytest.approx(250)] * 4
    (note,) = found.notes
    assert (
        note.text
        == "1 pass or headland segment takes more seed than a box holds: the drill must stop and fill in the middle of it."
    )


def test_the_drill_drives_to_the_seed_and_back_instead_of_turning() -> None:
    """The seed stands 30 m beside the end of the first pass, and √(200² + 29²) = 202.1 m from where the
    second begins.
    """
    first, second = (
        Leg(kind="pass", line=LineString([(0, y), (200, y)]), length_m=200.0, block=1) for y in (0, 1)
    )
    turn = Leg(kind="turn", line=LineString([(200, 0), (0, 1)]), length_m=201.0)
    found = supply(
        "f",
        (first, turn, second),
        [BOX],
        1.0,
        SEED,
        STRAIGHT,
        refill_s=600.0,
        speed_m_per_s=2.0,
        in_boxes_m3={},
    )
    assert [(leg.kind, round(leg.length_m, 1)) for leg in found.legs] == [
        ("pass", 200),
        ("transfer", 30),
        ("refill", 0),
        ("transfer", 202.1),
        ("pass", 200),
    ]


def test_a_min_level_stays_in_the_box() -> None:
    """50 of 350 kg must stay: the first load is 300 kg and those 50, and what is sown is no more than
    without them.
    """
    found = _supply(300, box=replace(BOX, min_m3=50.0))
    assert found.first_load_kg == {"b": 350}
    assert found.left_kg == {"b": pytest.approx(50)}


def test_no_boxes_no_stops() -> None:
    """Where nothing is sown the route stays as it is."""
    leg = Leg(kind="transfer", line=LineString([(0, 0), (1, 0)]), length_m=1.0)
    assert supply(
        "f",
        (leg,),
        [],
        1.0,
        None,
        STRAIGHT,
        refill_s=1.0,
        speed_m_per_s=1.0,
        in_boxes_m3={},
    ).legs == (leg,)
