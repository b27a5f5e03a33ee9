"""The time to drive the passes of many swath layouts, against the same sums done pass by pass."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, box

from fieldplan.coverage.columns import column_of
from fieldplan.coverage.drive_time import Passes, Surroundings
from fieldplan.coverage.level_turns import slants_of
from fieldplan.coverage.sequence import passes_in_turn
from fieldplan.coverage.terms import Rig
from fieldplan.jobfile.load import load_job
from fieldplan.kernels.level import slanting_turn_s
from fieldplan.model.coverage import Array
from fieldplan.plane.offsets import polygons_of
from fieldplan.plane.paths import shortest_paths
from fieldplan.plane.strips import Runs, edges_of, lay_strips, passes_of

RIG = replace(Rig.of(load_job(Path("sample_fields/farm.toml"))), headland_m=14.0, lift_over_m=20.0)
AROUND = Surroundings(
    comes_from=np.array([-40.0, 15.0, 0.7]),
    sowing_starts=np.array([250.0, -30.0]),
    gates=np.array([[0.0, 0.0], [260.0, 10.0], [130.0, 200.0]]),
)


def _grounds() -> list[Polygon]:
    """A box, bays and holes that split passes, and too little for a strip."""
    rng = np.random.default_rng(5)
    found = [box(0, 0, 200, 150), box(0, 0, 3, 0.005)]
    while len(found) < 12:
        angle, radius_m = np.sort(rng.uniform(0, 2 * np.pi, 14)), rng.uniform(30, 160, 14)
        star = shapely.make_valid(
            Polygon(np.column_stack([radius_m * np.cos(angle), radius_m * np.sin(angle)]))
        )
        with_pond = shapely.difference(star, shapely.Point(rng.uniform(-40, 40, 2)).buffer(18, quad_segs=4))
        found += [max(polygons_of(with_pond).geoms, key=lambda part: part.area)]
    return found


def _driven_s(runs: Runs, along: Array, around: Surroundings | None) -> float:
    """`Passes.driven_s` of one layout, step by step."""
    first = np.flatnonzero(
        np.diff(passes_of(runs.strip, runs.start_m, runs.end_m, RIG.lift_over_m), prepend=-1)
    )
    if not len(first):
        return 0.0
    strip, start_m, end_m = (
        runs.strip[first],
        runs.start_m[first],
        runs.end_m[np.append(first[1:], len(runs.strip)) - 1],
    )
    axes = np.array([along, [-along[1], along[0]]])
    y_m = runs.base_m + (strip + 0.5) * RIG.width_m
    ends = np.stack([np.stack([start_m, y_m], axis=1), np.stack([end_m, y_m], axis=1)], axis=1)
    comes_from = None
    if around is not None and around.comes_from is not None:
        turn = around.comes_from[2] - np.arctan2(along[1], along[0])
        comes_from = np.append(axes @ around.comes_from[:2], turn)
    here = None if comes_from is None else comes_from[:2]
    driven = passes_in_turn(ends, column_of(strip, start_m, end_m), here, RIG)
    enter, leave = driven.poses(ends)
    spent_s, before, column = 0.0, comes_from, -1
    for i in range(len(enter)):
        if before is not None:
            ahead_m, across_m = np.abs(enter[i, :2] - before[:2])
            if driven.column[i] == column:
                spent_s += slanting_turn_s(slants_of(RIG), across_m, ahead_m)
            elif np.hypot(ahead_m, across_m) <= RIG.turn_reach_m:
                path_m = float(shortest_paths(before[None], enter[i : i + 1], RIG.radius_m).length_m[0])
                spent_s += path_m / RIG.turn_speed_m_per_s + RIG.turn_extra_s
            else:
                spent_s += np.hypot(ahead_m, across_m) / RIG.turn_speed_m_per_s
        before, column = leave[i], driven.column[i]
    gaps_m = (end_m - start_m).sum() - runs.length_m
    spent_s += gaps_m / RIG.turn_speed_m_per_s + runs.length_m / RIG.field_speed_m_per_s
    if around is None:
        return spent_s
    last = axes.T @ leave[-1, :2]
    home_m = np.hypot(*(around.gates - last).T) + np.hypot(*(around.gates - around.sowing_starts).T)
    return float(spent_s + home_m.min() / RIG.turn_speed_m_per_s)


@pytest.mark.parametrize(
    "around", [None, AROUND, replace(AROUND, comes_from=None)], ids=["alone", "between", "on"]
)
@pytest.mark.parametrize("nth", range(12))
def test_layouts_are_driven_column_by_column(nth: int, around: Surroundings | None) -> None:
    """Of all layouts, those asked for, from where the drill comes to the gate."""
    ground, angle = _grounds()[nth], np.radians(np.arange(0.0, 180.0, 25.0))
    along = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    laid = lay_strips(edges_of(ground), along, RIG.width_m, np.arange(len(along)) % 2 == 1)
    passes, which = Passes.of(laid, RIG), np.array([0, 1, 3, 4, 7])
    found_s = passes.driven_s(which, along[which], around)
    want_s = [_driven_s(laid.only(i), along[i], around) for i in which.tolist()]
    assert found_s == pytest.approx(want_s, rel=1e-12)


def test_layouts_of_one_column_lie_side_by_side() -> None:
    """A box does at any heading; two arms of a ring do not where strips meet both."""
    along = np.array([[1.0, 0.0], [0.0, 1.0]])
    ring = MultiPolygon([box(0, 0, 200, 40), box(0, 100, 200, 140)])
    for ground, want in ((box(0, 0, 200, 150), [True, True]), (ring, [False, False])):
        passes = Passes.of(lay_strips(edges_of(ground), along, RIG.width_m, np.zeros(2, dtype=bool)), RIG)
        assert passes.side_by_side.tolist() == want


def test_an_estimate_counts_sowing_and_a_turn_a_pass() -> None:
    """Four level passes: three U turns; and what is lifted over is driven, but not sown."""
    ground = box(0, 0, 100, 4 * RIG.width_m) - box(40, -1, 50, 100)
    laid = lay_strips(edges_of(ground), np.array([[1.0, 0.0]]), RIG.width_m, np.zeros(1, dtype=bool))
    passes = Passes.of(laid, RIG)
    turn_s = RIG.u_turn_m / RIG.turn_speed_m_per_s + RIG.turn_extra_s
    assert passes.count.tolist() == [4]
    assert passes.sown_m.tolist() == pytest.approx([360.0])
    assert passes.about_s.tolist() == pytest.approx([400.0 / RIG.field_speed_m_per_s + 3 * turn_s])
