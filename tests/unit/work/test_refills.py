"""Stops along a route of a few passes, checked on paper: a box of 300 kg, a metre wide, a kilogram a square
metre.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from shapely import LineString, Point
from stands import stand_reached_straight, straight_transfer

from fieldplan.model.budget import BoxBudget, SownComponent
from fieldplan.model.coverage import Leg, SeedStand, TurnShape
from fieldplan.model.work import SeedSupply
from fieldplan.work.refills import supply
from fieldplan.work.stops import Pace

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


STAND = stand_reached_straight(SEED)
"""Straight to the seed from where a line ends, and to where one starts."""
PACE = Pace(speed_m_per_s=2.0, turn_extra_s=0.0, refill_s=600.0)


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
        [],
        pace=PACE,
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
        [STAND],
        pace=PACE,
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


def test_a_box_that_holds_all_that_is_still_to_be_sown_gets_nothing() -> None:
    """A swept box of small seed keeps all of its 79 kg from the start on: nothing at the stops, and never less."""
    small = replace(
        BOX,
        box="small",
        bulk_kg_per_m2=0.1,
        volume_m3_per_m2=0.1,
        working_m3=900.0,
        min_m3=100.0,
        swept=True,
    )
    legs = tuple(
        Leg(kind="pass", line=LineString([(0, y), (263.3, y)]), length_m=263.3, block=1) for y in range(3)
    )
    found = supply("f", legs, [BOX, small], 1.0, [], pace=PACE, in_boxes_m3={})
    assert found.first_load_kg["small"] == pytest.approx(78.99)
    assert [refill.load_kg["small"] for refill in found.refills] == [0.0, 0.0]


def test_no_boxes_no_stops() -> None:
    """Where nothing is sown the route stays as it is."""
    leg = Leg(kind="transfer", line=LineString([(0, 0), (1, 0)]), length_m=1.0)
    assert supply(
        "f",
        (leg,),
        [],
        1.0,
        [],
        pace=PACE,
        in_boxes_m3={},
    ).legs == (leg,)


def _stand(seed: Point, longer: float = 1.0) -> SeedStand:
    """A stand with trips so many times as long as straight where they lead to the far ends of passes."""

    def leg(start: tuple[float, ...], end: tuple[float, ...]) -> Leg:
        straight = straight_transfer(start, end)
        return replace(
            straight, length_m=straight.length_m * (longer if min(start[0], end[0]) > 50 else 1.0)
        )

    return SeedStand(
        seed,
        to_seed=lambda lines: [leg(line.coords[-1], seed.coords[0]) for line in lines],
        from_seed=lambda lines: [leg(seed.coords[0], line.coords[0]) for line in lines],
    )


def _passes(n: int, apart_m: float) -> tuple[Leg, ...]:
    """Passes of 100 m, every second one the other way."""
    return tuple(
        Leg(
            kind="pass",
            line=LineString([(0, k * apart_m), (100, k * apart_m)][:: 1 - k % 2 * 2]),
            length_m=100.0,
        )
        for k in range(n)
    )


@pytest.mark.parametrize("longer", [1.0, 9.0])
@pytest.mark.parametrize("n_passes", [4, 7, 9])
def test_no_choice_of_stops_has_quicker_trips(n_passes: int, longer: float) -> None:
    """Every choice of stops that no box runs dry with is driven: trips count as they are, not as straight."""
    route, seed = _passes(n_passes, 40.0), Point(120, 0)
    stand = _stand(seed, longer)
    found = supply("f", route, [BOX], 1.0, [stand], pace=PACE, in_boxes_m3={})

    def spent_s(after: tuple[int, ...]) -> float:
        ways = [
            *stand.to_seed([route[k].line for k in after]),
            *stand.from_seed([route[k + 1].line for k in after]),
        ]
        return 600.0 * len(after) + sum(way.length_m for way in ways) / 2.0

    choices = [after for n in range(n_passes) for after in combinations(range(n_passes - 1), n)]
    best_s = min(
        spent_s(after)
        for after in choices
        if all(b - a <= 3 for a, b in pairwise([0, *(stop + 1 for stop in after), n_passes]))
    )
    lifted_s = sum(PACE.lifted_s(leg) for leg in found.legs if leg.kind == "transfer")
    assert 600.0 * len(found.refills) + lifted_s == pytest.approx(best_s, abs=1e-6)


def test_a_second_stand_saves_what_a_plan_with_both_takes_less() -> None:
    """Passes 400 m apart with seed beside the first: of two places the far one saves most, by what each trip
    there is shorter.
    """
    route, seed = _passes(9, 400.0), Point(-20, 0)
    places = [_stand(at) for at in (Point(-20, 400), Point(-20, 2800))]
    home = _stand(seed)
    alone = supply("f", route, [BOX], 1.0, [home], pace=PACE, in_boxes_m3={}, places=lambda: places)
    both = supply("f", route, [BOX], 1.0, [home, places[1]], pace=PACE, in_boxes_m3={})

    def spent_s(found: SeedSupply) -> float:
        return sum(PACE.lifted_s(leg) for leg in found.legs if not leg.sown) + 600.0 * len(found.refills)

    assert alone.second is not None
    assert alone.second.at == places[1].at
    assert alone.second.saved_s == pytest.approx(spent_s(alone) - spent_s(both))
    assert alone.second.n_stops == sum(
        leg.kind == "refill" and leg.line.coords[0] == (-20, 2800) for leg in both.legs
    )


def test_a_second_stand_that_saves_little_is_not_spoken_of() -> None:
    """Passes 4 m apart: all stops are within minutes of the seed."""
    seed = Point(-20, 0)
    places = [_stand(Point(-20, 30))]
    home = _stand(seed)
    route = _passes(9, 4.0)
    assert (
        supply("f", route, [BOX], 1.0, [home], pace=PACE, in_boxes_m3={}, places=lambda: places).second
        is None
    )


def test_places_for_a_second_stand_are_looked_for_where_one_may_save_enough() -> None:
    """Not where the seed is so near that a stand at every stop would save less."""
    asked: list[float] = []
    home = _stand(Point(-20, 0))
    for apart_m in (4.0, 400.0):
        supply(
            "f",
            _passes(9, apart_m),
            [BOX],
            1.0,
            [home],
            pace=PACE,
            in_boxes_m3={},
            places=lambda apart_m=apart_m: asked.append(apart_m) or [_stand(Point(-20, 30))],
        )
    assert asked == [400.0]


def _stand_in(part: int, seed: Point) -> SeedStand:
    """A stand beside one of two parts that meet at x = 1000; trips to the other part lead outside."""

    def leg(start: tuple[float, ...], end: tuple[float, ...], place: tuple[float, ...]) -> Leg:
        return replace(straight_transfer(start, end), shape="outside" if (place[0] > 1000) != part else "")

    return SeedStand(
        seed,
        to_seed=lambda lines: [leg(line.coords[-1], seed.coords[0], line.coords[-1]) for line in lines],
        from_seed=lambda lines: [leg(seed.coords[0], line.coords[0], line.coords[0]) for line in lines],
    )


def test_seed_is_brought_to_the_part_that_the_drill_would_leave_the_field_to_reach() -> None:
    """Four passes in one part and four in another: a stand of its own serves the other part, and no trip leads
    outside.
    """
    here = _passes(4, 4.0)
    there = tuple(
        replace(leg, line=LineString([(x + 2000, y) for x, y in leg.line.coords])) for leg in here
    )
    found = supply(
        "f",
        here + there,
        [BOX],
        1.0,
        [_stand_in(0, Point(-20, 0))],
        pace=PACE,
        beside=lambda near: [_stand_in(int(near.x > 1000), Point(near.x, at)) for at in (-500, -20)],
        in_boxes_m3={},
    )
    assert [stand.y for stand in found.stands] == [0, -20]
    assert found.stands[1].x > 1000
    assert not any(leg.shape == "outside" for leg in found.legs)
    assert not found.notes


def test_where_seed_has_a_given_place_no_other_stand_is_set_up() -> None:
    """The same passes with no places beside parts: the trips that lead outside are warned of."""
    here = _passes(4, 4.0)
    far = tuple(replace(leg, line=LineString([(x + 2000, y) for x, y in leg.line.coords])) for leg in here)
    stand = _stand_in(0, Point(-20, 0))
    found = supply("f", here + far, [BOX], 1.0, [stand], pace=PACE, in_boxes_m3={})
    assert len(found.stands) == 1
    assert [note.code for note in found.notes] == ["route-outside"]


def test_seed_is_not_fetched_from_another_part_to_save_way() -> None:
    """A stand is near, but no way inside the field leads there; another one is 900 m away in the same part."""

    def stand(x: float, shape: TurnShape) -> SeedStand:
        def trips(lines: Sequence[LineString]) -> list[Leg]:
            return [replace(straight_transfer(line.coords[0], (x, 0.0)), shape=shape) for line in lines]

        return SeedStand(Point(x, 0), to_seed=trips, from_seed=trips)

    stands = [stand(-20.0, "outside"), stand(-900.0, "")]
    found = supply("f", _passes(4, 4.0), [BOX], 1.0, stands, pace=PACE, in_boxes_m3={})
    assert found.refills
    assert not any(leg.shape == "outside" for leg in found.legs)
