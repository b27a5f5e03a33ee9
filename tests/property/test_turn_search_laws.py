"""The search for turns against all turns: nothing that stays inside is passed over, however few are looked at."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from fieldplan.coverage.handling import handling
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.turns import straights_tried
from fieldplan.kernels.driven import all_fit, timed
from fieldplan.kernels.region import Region
from fieldplan.kernels.turns import quickest_turns, with_shifts
from fieldplan.kernels.words import N_FORWARD

_FINE_M = 0.05
"""What is inside at points so near to each other is inside at all points that a search looks at, and between."""


def _bay(rng: np.random.Generator) -> Polygon:
    """Ground about a point with many bays, most too narrow to turn in."""
    n = int(rng.integers(5, 16))
    angle, radius_m = np.sort(rng.uniform(0, 2 * np.pi, n)), rng.uniform(12, 60, n)
    star = Polygon(np.column_stack([radius_m * np.cos(angle), radius_m * np.sin(angle)]))
    return max(shapely.get_parts(shapely.make_valid(star)), key=shapely.area)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000))
def test_no_turn_that_stays_inside_is_quicker_than_the_one_found(rig: Rig, seed: int) -> None:
    """Of all words between all straights, for pairs that are looked at together, and what is found fits."""
    rng = np.random.default_rng(seed)
    region, drives = Region.of(_bay(rng)), handling(rig)
    leave, enter = rng.uniform((-15, -15, -np.pi), (15, 15, np.pi), (2, 8, 3))
    straights, pairs = straights_tried(rig)
    shifts = np.concatenate([[[0.0, 0.0]], straights[pairs]])
    for i, found in enumerate(quickest_turns(leave, enter, straights, pairs, region, drives)):
        turn, part = found[None, 1:6], found[None, 6:]
        turns, parts, _, rank_s = with_shifts(leave[i], enter[i], shifts, drives)
        some = np.isfinite(rank_s)
        each = np.tile(leave[i], (int(some.sum()), 1)), turns[some], parts[some]
        inside = all_fit(region, *each, drives._replace(look_m=_FINE_M))
        best_s = rank_s[some][inside].min(initial=np.inf)
        if np.isinf(found[0]):
            assert best_s == np.inf
            continue
        assert all_fit(region, leave[i : i + 1], turn, part, drives)[0]
        one_arc = turn[0, 1] == 0.0 and turn[0, 3] == 0.0
        if one_arc or part[0, 0] == part[0, 4] == 0.0:  # others are not looked at where this is not slow
            best_s = max(best_s, rank_s[:N_FORWARD].min() + drives.slow_s)
        assert timed(part[0], drives)[1] <= best_s + 1e-9
