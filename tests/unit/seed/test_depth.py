"""How deep to sow, from the published ranges of each species."""

from __future__ import annotations

from dataclasses import replace

import pytest
from strategies import LB_PER_AC

from fieldplan.model.seed import Component, Mix, Rate
from fieldplan.seed.depth import depths_of, notches

INCH_M = 0.0254
LOT = Component(
    species="",
    box="grain",
    rate=Rate(value=LB_PER_AC, basis="bulk"),
    purity_frac=1.0,
    germination_frac=0.9,
    hard_frac=0.0,
    dormant_frac=0.0,
    bulk_kg_per_m3=400,
    bag_kg=25,
)


def _mix(*species: str) -> Mix:
    return Mix(
        name="m",
        components=tuple(replace(LOT, species=one, lot=f"{n}") for n, one in enumerate(species)),
        overage_frac=0.0,
    )


def test_depths_stand_from_the_shallowest() -> None:
    """By extension leaflets: white clover 1/8 to 1/4 in, red clover 1/4 to 1/2 in, wheat 1 to 1 1/2 in;
    each species once.
    """
    known, lacking = depths_of(_mix("wheat", "red clover", "white clover", "wheat"))
    assert [(one.species, one.min_m / INCH_M, one.max_m / INCH_M) for one in known] == [
        ("white clover", pytest.approx(0.125), pytest.approx(0.25)),
        ("red clover", pytest.approx(0.25), pytest.approx(0.5)),
        ("wheat", pytest.approx(1.0), pytest.approx(1.5)),
    ]
    assert [one.source for one in known] == [
        "trade-chart, trade-guide",
        "trade-chart",
        "uky-wheat",
    ]
    assert lacking == ()


def test_of_two_that_go_as_deep_the_one_that_may_lie_shallower_is_first() -> None:
    """White clover from 1/8 in, alsike clover at 1/4 in alone."""
    known, _ = depths_of(_mix("alsike clover", "white clover"))
    assert [one.species for one in known] == ["white clover", "alsike clover"]


def test_what_no_table_knows_is_named() -> None:
    """It has no depth, and the others keep theirs."""
    known, lacking = depths_of(_mix("moon grass", "wheat"))
    assert ([one.species for one in known], lacking) == (["wheat"], ("moon grass",))


@pytest.mark.parametrize(
    ("depth_in", "n"), [(0.0, 0), (0.24, 0), (0.25, 1), (0.49, 1), (0.5, 2), (0.75, 3), (1.5, 6)]
)
def test_notches_never_go_deeper_than_asked(depth_in: float, n: int) -> None:
    """Of a quarter inch each; a depth of whole notches is all of them, whatever its last digit."""
    assert notches(depth_in * INCH_M, 0.25 * INCH_M) == n
    assert notches(0.1 + 0.2, 0.1) == 3
