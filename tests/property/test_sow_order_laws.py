"""The order of parcels against all orders there are, of up to seven parcels."""

from __future__ import annotations

from itertools import pairwise, permutations

from hypothesis import given, settings
from hypothesis import strategies as st

from fieldplan.model.budget import BoxBudget, SeedBudget, SownComponent
from fieldplan.seed.sow_order import change_count, sow_order

BOXES = ("grain", "native", "small")


def _box(name: str, seed: str, rate_kg_per_m2: float) -> BoxBudget:
    sown = SownComponent(
        species=seed,
        lot="",
        bulk_kg_per_m2=rate_kg_per_m2,
        pls_kg_per_m2=0.9 * rate_kg_per_m2,
        sown_bulk_kg=10.0,
        sown_pls_kg=9.0,
    )
    return BoxBudget(
        box=name,
        bulk_kg_per_m2=rate_kg_per_m2,
        volume_m3_per_m2=1e-5,
        working_m3=0.4,
        min_m3=0.1,
        components=(sown,),
    )


@st.composite
def parcels(draw: st.DrawFn) -> list[SeedBudget]:
    """Four to seven parcels of up to five mixes: each in some of the boxes, with one of three seeds at one of two rates."""
    mixes = draw(
        st.lists(
            st.dictionaries(
                st.sampled_from(BOXES),
                st.tuples(st.sampled_from("abc"), st.sampled_from([0.001, 0.002])),
                min_size=1,
            ),
            min_size=1,
            max_size=5,
        )
    )
    chosen = draw(st.lists(st.integers(0, len(mixes) - 1), min_size=4, max_size=7))
    return [
        SeedBudget(
            mix=str(m),
            boxes=tuple(_box(name, *mixes[m][name]) for name in BOXES if name in mixes[m]),
        )
        for m in chosen
    ]


def _changes(order: list[SeedBudget]) -> tuple[int, int]:
    """Counted anew: a box that held something else, or the same at another rate, is emptied or set again."""
    n_emptied = n_reset = 0
    last: dict[str, tuple[str, float]] = {}
    for seed in order:
        for box in seed.boxes:
            now = (box.components[0].species, box.bulk_kg_per_m2)
            before = last.get(box.box, now)
            n_emptied += before[0] != now[0]
            n_reset += before != now
            last[box.box] = now
    return n_emptied, n_reset


@settings(max_examples=60, deadline=None, derandomize=True)
@given(given_order=parcels(), data=st.data())
def test_no_order_at_all_has_fewer_changes(given_order: list[SeedBudget], data: st.DataObject) -> None:
    """Of all orders that keep the priorities; and the order of the file stays unless another has fewer."""
    n = len(given_order)
    levels = st.sampled_from([None, None, 1, 2])
    priorities = data.draw(st.lists(levels, min_size=n, max_size=n))
    places = data.draw(st.lists(st.integers(0, 50), min_size=n, max_size=n))

    def rank(i: int) -> int:
        return 9 if priorities[i] is None else priorities[i]

    found = sow_order(given_order, priorities, lambda a, b: 1000.0 * abs(places[a] - places[b]))
    allowed = [
        order for order in permutations(range(n)) if all(rank(a) <= rank(b) for a, b in pairwise(order))
    ]
    fewest = min(_changes([given_order[i] for i in order]) for order in allowed)
    assert found in allowed
    assert _changes([given_order[i] for i in found]) == fewest
    count = change_count([given_order[i] for i in found])
    assert (count.n_emptied, count.n_reset) == fewest
    as_given = tuple(sorted(range(n), key=rank))
    if _changes([given_order[i] for i in as_given]) == fewest:
        assert found == as_given


def test_the_way_decides_between_orders_with_as_few_changes() -> None:
    """Oats at 0 and 10 km, rye at 9 and 1 km: oats from 10 to 0, then rye from 1 to 9 km; 19 km, not 27."""
    oats, rye = (SeedBudget(mix=seed, boxes=(_box("grain", seed, 0.001),)) for seed in ("oats", "rye"))
    at_km = [0, 9, 10, 1]
    found = sow_order([oats, rye, oats, rye], [None] * 4, lambda a, b: 1000.0 * abs(at_km[a] - at_km[b]))
    assert found in ((2, 0, 3, 1), (0, 2, 1, 3))
    way_km = sum(abs(at_km[a] - at_km[b]) for a, b in pairwise(found))
    assert way_km == 19


def test_many_parcels_of_many_mixes_take_no_long_time() -> None:
    """Fourteen parcels of seven mixes, two by two: six changes of the one box, where the file has thirteen."""
    kinds = [SeedBudget(mix=seed, boxes=(_box("grain", seed, 0.001),)) for seed in "abcdefg"]
    order = [*kinds, *kinds]
    assert change_count(order).n_emptied == 13
    found = sow_order(order, [None] * 14, lambda _a, _b: 1.0)
    assert change_count([order[i] for i in found]).n_emptied == 6


@given(parcels(), st.lists(st.floats(0, 5_000), min_size=7, max_size=7), st.integers(-4, 4))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_of_two_ways_round_the_one_from_the_beginning_of_the_file(
    ordered: list[SeedBudget], along_m: list[float], hair: int
) -> None:
    """Where the same way can be driven from either end, a hair's breadth at a gate does not turn the order round."""

    def away_m(here: int, there: int) -> float:
        toward = 0.01 * hair if here < there else 0.0
        return abs(along_m[here] - along_m[there]) + toward

    order = sow_order(ordered, [None] * len(ordered), away_m)
    backward = [ordered[i] for i in order[::-1]]
    moved = order != tuple(range(len(ordered)))
    if moved and _changes(backward) <= _changes([ordered[i] for i in order]):
        assert order <= order[::-1]
