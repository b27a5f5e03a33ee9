"""Lots one after the other at one rate of live seed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from mix_targets import offer

from fieldplan.model.seed import Rate
from fieldplan.seed.substitution import Tag, bulk_over_planned, in_sequence

PLANNED = replace(offer("big bluestem", 150_000, pls=0.75).component, rate=Rate(value=0.001, basis="pls"))


def test_a_worse_tag_takes_more() -> None:
    """75 % PLS planned, 60 % found: a quarter more."""
    assert bulk_over_planned(PLANNED, Tag(pls_frac=0.6)) == pytest.approx(1.25)


def test_rates_in_seeds_count_seeds() -> None:
    """Where the rate is in live seeds a lot of larger seed takes more of it by weight."""
    by_seeds = replace(PLANNED, rate=Rate(value=200.0, basis="live seeds"))
    assert PLANNED.seeds_per_kg is not None
    larger = Tag(pls_frac=0.75, seeds_per_kg=PLANNED.seeds_per_kg / 1.2)
    assert bulk_over_planned(by_seeds, larger) == pytest.approx(1.2)
    assert bulk_over_planned(PLANNED, larger) == pytest.approx(1.0)


@given(
    need=st.floats(0.1, 1e4),
    shelf=st.lists(st.tuples(st.floats(0, 5e3), st.floats(0.05, 1.0)), max_size=5),
)
def test_turns_add_up_to_the_need_in_live_seed_and_ground(
    need: float, shelf: list[tuple[float, float]]
) -> None:
    """Live seed and ground of all turns are those of the plan; no lot gives more than it has; what is bought is last."""
    lots = [(f"LB-{i}", kg, Tag(pls_frac=pls)) for i, (kg, pls) in enumerate(shelf)]
    found = in_sequence(PLANNED, need, 1000.0, lots)
    live = sum(turn.bulk_kg / (1 + turn.change_frac) for turn in found.turns)
    assert live == pytest.approx(need)
    assert sum(turn.ground_m2 for turn in found.turns) == pytest.approx(1000.0)
    has = dict(zip((name for name, _, _ in lots), (kg for _, kg, _ in lots), strict=True))
    for turn in found.turns:
        assert not turn.on_shelf or turn.bulk_kg <= has[turn.lot] * (1 + 1e-12)
    assert [turn.on_shelf for turn in found.turns] == sorted(
        (turn.on_shelf for turn in found.turns), reverse=True
    )
    assert found.buy_kg <= need * (1 + 1e-9)
