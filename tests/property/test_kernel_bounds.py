"""Kernels against general-purpose geometry and against what they leave out: strips, stations, words, level turns."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from fieldplan.coverage.handling import handling
from fieldplan.coverage.level_turns import NO_TURN_S, _fan, _pairs
from fieldplan.coverage.terms import Rig
from fieldplan.kernels.driven import depths_beyond
from fieldplan.kernels.turns import with_shifts
from fieldplan.kernels.words import (
    TURNS,
    WORDS,
    angles_of,
    aside_m,
    bend_of,
    bends_of,
    faced,
    least_angle,
    least_turned,
    straight_m,
    words_of,
)
from fieldplan.plane.strips import SHORT_M, SLIVER_M, edges_of, lay_strips
from fieldplan.plane.travel import stations_m

W = 3.0
seeds = st.integers(0, 10_000)


def _star(rng: np.random.Generator) -> Polygon:
    """A polygon without holes that may have deep bays."""
    n = int(rng.integers(4, 25))
    angle, radius_m = np.sort(rng.uniform(0, 2 * np.pi, n)), rng.uniform(15, 120, n)
    star = shapely.make_valid(
        Polygon(np.column_stack([radius_m * np.cos(angle), radius_m * np.sin(angle)]))
    )
    return max(
        (part for part in shapely.get_parts(star) if isinstance(part, Polygon)), key=lambda part: part.area
    )


@settings(max_examples=40, deadline=None)
@given(seeds)
def test_runs_are_where_a_band_meets_ground(seed: int) -> None:
    """On every strip, as long as what overlays find there, from the first to the last place."""
    rng = np.random.default_rng(seed)
    ground, along = _star(rng), np.array([[1.0, 0.0]])
    runs = lay_strips(edges_of(ground), along, W, np.array([bool(seed % 2)])).only(0)
    _, low, _, high = ground.bounds
    for strip in range(math.ceil((high - low - SLIVER_M) / W)):
        bottom = runs.base_m + strip * W
        met = shapely.intersection(ground, shapely.box(-200, bottom, 200, bottom + W))
        spans = sorted(part.bounds[::2] for part in shapely.get_parts(met) if part.area > 0)
        joined: list[list[float]] = []
        for start, end in spans:
            if joined and start <= joined[-1][1] + 2e-3:
                joined[-1][1] = max(joined[-1][1], end)
            else:
                joined.append([start, end])
        want = [span for span in joined if span[1] - span[0] > SHORT_M + 1e-2]
        own = runs.strip == strip
        got = [
            [start, end]
            for start, end in zip(runs.start_m[own], runs.end_m[own], strict=True)
            if end - start > SHORT_M + 1e-2
        ]
        assert len(got) == len(want)
        assert np.abs(np.array(got) - np.array(want)).max(initial=0.0) < 2e-2


@settings(max_examples=60, deadline=None)
@given(seeds)
def test_stations_are_those_of_the_nearest_points(seed: int) -> None:
    """As far from the place as the line itself is, on lines that cross themselves, too."""
    rng = np.random.default_rng(seed)
    lines = np.array(
        [shapely.LineString(rng.uniform(0, 50, (int(rng.integers(2, 30)), 2))) for _ in range(3)]
    )
    places, line_of = rng.uniform(-10, 60, (40, 2)), rng.integers(0, 3, 40)
    found = shapely.line_interpolate_point(lines[line_of], stations_m(lines, line_of, places))
    at = shapely.points(places)
    assert shapely.distance(found, at) == pytest.approx(shapely.distance(lines[line_of], at), abs=1e-9)


@settings(max_examples=200, deadline=None)
@given(seeds, st.floats(0.5, 40.0), st.floats(0.5, 40.0))
def test_no_word_is_passed_over_that_is_short_enough(seed: int, first_m: float, last_m: float) -> None:
    """Neither for how far its straight leads aside, nor for what its arcs turn at least."""
    rng = np.random.default_rng(seed)
    start, end = rng.uniform(-20, 20, 3), rng.uniform(-20, 20, 3)
    parts, radius_m, angles = np.empty((8, 3)), 6.0, angles_of(start[2], end[2])
    words_of(start, end, radius_m, parts)
    for word in range(len(TURNS)):
        x, y = aside_m(word, angles, radius_m) + (end - start)[:2]
        middle_m = straight_m(word, float(np.hypot(x, y)), radius_m)
        arcs_m = parts[word, 0] + parts[word, 2]
        if not np.isfinite(parts[word]).all():
            continue
        assert arcs_m >= radius_m * least_turned(word, angles) - 1e-6
        if WORDS[word] in ("RLR", "LRL"):
            continue
        ahead = faced(word, x, y, float(np.hypot(x, y)), middle_m, angles, radius_m)
        first, last = bends_of(word, *ahead, angles)
        assert arcs_m >= radius_m * least_angle(first + last, 2) - 1e-6
        assert first == pytest.approx(bend_of(parts[word, 0] / radius_m), abs=1e-6)
        assert last == pytest.approx(bend_of(parts[word, 2] / radius_m), abs=1e-6)
        assert (bend_of(first_m / radius_m) > first) == (parts[word, 0] < first_m)
        assert (bend_of(last_m / radius_m) > last) == (parts[word, 2] < last_m)


@pytest.mark.parametrize("slant_deg", [0.0, 26.25])
def test_the_quickest_level_turn_is_that_of_all(rig: Rig, slant_deg: float) -> None:
    """With any room the one that ranks first of all that need no more of it."""
    rig = replace(rig, headland_m=math.inf, beyond_edge_m=0.0)
    slant, across_m = math.radians(slant_deg), 2 * rig.width_m
    leave = np.array([0.0, 0.0, np.pi / 2])
    enter = np.array([across_m, across_m * math.tan(slant), -np.pi / 2])
    turns, parts, turn_s, rank_s = with_shifts(leave, enter, rig.radius_m * _pairs(rig), handling(rig))
    some = np.flatnonzero((turn_s <= NO_TURN_S) & np.isfinite(rank_s))
    beyond = -math.sin(slant), math.cos(slant)
    depth_m = np.array(
        [float(depths_beyond(leave, turns[[k]], parts[[k]], *beyond, handling(rig))[0]) for k in some]
    )
    fan = _fan(rig, slant_deg, across_m)
    for room_m in np.linspace(0.0, 25.0, 60):
        fits = depth_m <= room_m
        want_s = turn_s[some][fits][rank_s[some][fits].argmin()] if fits.any() else math.inf
        assert fan.quickest_s(float(room_m)) == want_s
