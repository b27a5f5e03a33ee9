"""What is driven next, and which runs are one column, against what the words say in plain loops over all of them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString
from strategies import slowly

from fieldplan.coverage.columns import column_of
from fieldplan.coverage.level_turns import level_turns_s, slants_of
from fieldplan.coverage.sequence import level_order, passes_in_turn, segments_in_order
from fieldplan.coverage.terms import Rig
from fieldplan.kernels.level import slanting_turn_s, turns_about
from fieldplan.model.coverage import Array, HeadlandRound, Swaths

SEEDS = st.integers(0, 10_000)
PASSES = st.lists(st.lists(st.floats(0.5, 40), min_size=0, max_size=3), min_size=1, max_size=12)
"""Lengths of runs and of gaps on each strip."""


def _runs(strips: list[list[float]], seed: int) -> tuple[Array, Array, Array]:
    """Strip, start and end of runs with gaps between them."""
    rng = np.random.default_rng(seed)
    found = []
    for strip, lengths in enumerate(strips):
        at = float(rng.integers(0, 30))
        for length in lengths:
            found.append((strip, at, at + length))
            at += length + float(rng.integers(1, 20))
    strip, start, end = np.array(found or np.zeros((0, 3))).T
    return strip.astype(np.int64), start, end


@given(strips=PASSES, seed=SEEDS)
@slowly(200)
def test_two_runs_are_of_one_column_if_each_is_alone_beside_the_other(
    strips: list[list[float]], seed: int
) -> None:
    """Pairs on strips side by side, found as boxes that share a side; columns are what such pairs connect."""
    strip, start, end = _runs(strips, seed)
    boxes = shapely.box(start, strip, end, strip + 1)
    beside = [
        [k for k, other in enumerate(boxes) if i != k and one.intersection(other).length > 0]
        for i, one in enumerate(boxes)
    ]
    column = column_of(strip, start, end).tolist()
    expected: list[int] = []
    for i, near in enumerate(beside):
        below = [k for k in near if strip[k] < strip[i]]
        alone = len(below) == 1 and sum(strip[k] > strip[below[0]] for k in beside[below[0]]) == 1
        expected.append(expected[below[0]] if alone else max(expected, default=-1) + 1)
    assert column == expected


@given(strips=PASSES, seed=SEEDS, given_here=st.booleans())
@slowly(100)
def test_the_nearest_column_is_driven_next_from_its_nearest_corner(
    rig: Rig, strips: list[list[float]], seed: int, given_here: bool
) -> None:
    """Column by column; each in the order for level ends, every second pass the other way."""
    strip, start, end = _runs(strips, seed)
    column = column_of(strip, start, end)
    ends = np.stack([np.column_stack([start, strip]), np.column_stack([end, strip])], axis=1)
    here = np.array([30.0, 5.0]) if given_here else None
    found = passes_in_turn(ends, column, here, rig)
    ahead, order, backward = set(column.tolist()), list[int](), list[bool]()
    while ahead:
        corners = []
        for one in sorted(ahead):
            members = (column == one).nonzero()[0]
            for k, (nth, side) in enumerate(((0, 0), (0, 1), (-1, 0), (-1, 1))):
                away_m = 0.0 if here is None else math.dist(ends[members[nth], side], here)
                corners.append((away_m, one, k))
        _, one, corner = min(corners)
        ahead.remove(one)
        members = (column == one).nonzero()[0]
        members = members[::-1] if corner >= 2 else members
        order += members[level_order(len(members), rig)].tolist()
        backward += [(nth + corner) % 2 == 1 for nth in range(len(members))]
        here = ends[order[-1], 0 if backward[-1] else 1]
    assert (found.order.tolist(), found.backward.tolist()) == (order, backward)


@given(counts=st.lists(st.integers(1, 4), min_size=1, max_size=5), seed=SEEDS, given_here=st.booleans())
@slowly(100)
def test_the_nearest_round_is_driven_next_from_its_nearest_segment(
    counts: list[int], seed: int, given_here: bool
) -> None:
    """On a grid, so that many lie equally near: the lowest number is then next."""
    rng = np.random.default_rng(seed)
    points = rng.integers(0, 4, (sum(counts), 2, 2)).astype(float)
    points[:, 1, 0] += 5.0
    rounds, since = [], 0
    for i, (count, number) in enumerate(zip(counts, rng.integers(1, 3, len(counts)).tolist(), strict=True)):
        lines = shapely.linestrings(points[since : since + count])
        rounds.append(
            HeadlandRound(round=number, obstacle=i > 0, segments=Swaths(lines=lines, grounds=lines))
        )
        since += count
    here = np.array([2.0, 2.0]) if given_here else None
    found = segments_in_order(tuple(rounds), here)
    ahead, expected = list(range(len(rounds))), list[LineString]()
    while ahead:
        away = {
            i: [
                0.0 if here is None else round(math.dist(line.coords[0], here), 3)
                for line in rounds[i].segments.lines
            ]
            for i in ahead
        }
        i = min(ahead, key=lambda i: (min(away[i]), rounds[i].round, i))
        ahead.remove(i)
        first = away[i].index(min(away[i]))
        lines = rounds[i].segments.lines.tolist()
        expected += lines[first:] + lines[:first]
        here = np.array(expected[-1].coords[-1])
    assert [line.wkt for line in found.lines] == [line.wkt for line in expected]
    assert found.leave[:, :2].tolist() == [list(line.coords[-1]) for line in expected]
    assert found.length_m.tolist() == [line.length for line in expected]


def _slanting_turns_s(rig: Rig, across_m: Array, ahead_m: Array) -> list[float]:
    table = slants_of(rig)
    return [slanting_turn_s(table, *one) for one in zip(across_m, ahead_m, strict=True)]


@pytest.mark.parametrize("slant_deg", [0.0, 7.5, 30.0, 75.0])
def test_turns_beside_a_slanting_headland_are_those_of_its_slant(rig: Rig, slant_deg: float) -> None:
    """At the slants of the table, and halfway between two of them; one strip on and as many as it has."""
    level_s, more_s = (np.array(level_turns_s(rig, slant)) for slant in (slant_deg, slant_deg + 7.5))
    across_m = rig.width_m * np.arange(1, len(level_s) + 1)
    own, between = (across_m * np.tan(np.radians(slant)) for slant in (slant_deg, slant_deg + 3.75))
    assert _slanting_turns_s(rig, across_m, own) == pytest.approx(level_s, rel=1e-9)
    if slant_deg + 7.5 <= 75:
        mean_s = (level_s + more_s) / 2
        assert _slanting_turns_s(rig, across_m, between) == pytest.approx(mean_s, rel=1e-9)
    straight_s = rig.width_m / rig.turn_speed_m_per_s
    far_s = slanting_turn_s(slants_of(rig), across_m[-1] + rig.width_m, 0.0)
    assert far_s == pytest.approx(level_turns_s(rig)[-1] + straight_s, rel=1e-9)


@given(seed=SEEDS, side=st.integers(0, 1))
@slowly(30)
def test_turns_of_a_column_are_about_those_of_a_slanting_headland(rig: Rig, seed: int, side: int) -> None:
    """Between each two passes at the ends that the first one leads to, then at the others; farther ones are straight
    and a half circle.
    """
    rig = replace(rig, turn_extra_s=4.0)
    rng, n = np.random.default_rng(seed), 14
    ends = np.empty((n, 2, 3))
    ends[..., 0], ends[..., 2] = np.array([0.0, 200.0]) + rng.uniform(0, 15, (n, 2)), 0.0
    ends[..., 1] = rig.width_m * np.arange(n)[:, None]
    far_m = np.pi * rig.radius_m
    found = turns_about(ends, side, slants_of(rig), far_m, rig.turn_extra_s)
    assert found.shape == (2, n + 1, n + 1)
    assert not found[:, n].any()
    assert not found[:, :, n].any()
    for nth in range(2):
        at = ends[:, 1 - side if nth == 0 else side, :2]
        for i in range(n):
            for k in range(i):
                apart_m, across_m = math.dist(at[i], at[k]), (i - k) * rig.width_m
                about_s = (apart_m + far_m) / rig.turn_speed_m_per_s + rig.turn_extra_s
                if i - k <= len(level_turns_s(rig)):
                    ahead_m = math.sqrt(max(0.0, apart_m**2 - across_m**2))
                    about_s = slanting_turn_s(slants_of(rig), across_m, ahead_m)
                assert found[nth, i, k] == found[nth, k, i] == pytest.approx(about_s, rel=1e-9)
