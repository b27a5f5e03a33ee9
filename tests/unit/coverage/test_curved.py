"""Bends and corners that are sown around, beside tangents and arcs worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import LineString

from fieldplan.coverage.curved import joined, with_bends
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import HeadlandRound, Lines, Swaths

R_M = 12.0
DRAWN_M = 0.05
"""Arcs are drawn in steps of ten degrees: their middles lie so far inside them."""


def _bent(line: LineString, rig: Rig) -> LineString:
    lines: Lines = np.array([line], dtype=object)
    one = HeadlandRound(round=1, obstacle=False, segments=Swaths(lines=lines, grounds=lines))
    return with_bends([one], replace(rig, sowing_radius_m=R_M))[0].segments.lines[0]


def _with_bend(turn_deg: float, before_m: float = 30.0) -> LineString:
    """30 m, a bend, and 30 m."""
    angle = math.radians(turn_deg)
    return LineString([(0, 0), (before_m, 0), (before_m + 30 * math.cos(angle), 30 * math.sin(angle))])


@pytest.mark.parametrize("turn_deg", [16.0, 25.0, 30.0, -25.0])
def test_a_bend_becomes_an_arc_that_touches_both_sides(rig: Rig, turn_deg: float) -> None:
    """Shorter by 2R·tan(θ/2) − Rθ, and R·(1/cos(θ/2) − 1) off the bend."""
    sharp, turn = _with_bend(turn_deg), math.radians(abs(turn_deg))
    bent = _bent(sharp, rig)
    assert sharp.length - bent.length == pytest.approx(R_M * (2 * math.tan(turn / 2) - turn), abs=DRAWN_M)
    off_m = R_M * (1 / math.cos(turn / 2) - 1)
    assert bent.distance(shapely.Point(30, 0)) == pytest.approx(off_m, abs=DRAWN_M)
    assert (bent.coords[0], bent.coords[-1]) == (sharp.coords[0], sharp.coords[-1])


@pytest.mark.parametrize(
    ("what", "line"),
    [
        ("sharper than openers follow", _with_bend(40.0)),
        ("hardly a bend", _with_bend(14.0)),
        ("too near to the start for an arc", _with_bend(25.0, before_m=2.0)),
    ],
)
def test_other_bends_stay_as_they_are(rig: Rig, what: str, line: LineString) -> None:
    """An arc of 25° begins 2.66 m before the bend."""
    assert _bent(line, rig).equals(line), what


def test_arcs_cut_toward_the_edge_no_farther_than_a_drill_may_reach_over_it(rig: Rig) -> None:
    """Half a meter: R·(1/cos 15° − 1) is 0.42 m at R = 12 m and 1.06 m at 30 m; to the other side it does not matter."""
    wide = replace(rig, sowing_radius_m=30.0)
    for turn_deg, is_bent in ((-30.0, False), (30.0, True)):
        lines: Lines = np.array([_with_bend(turn_deg)], dtype=object)
        one = HeadlandRound(round=1, obstacle=False, segments=Swaths(lines=lines, grounds=lines))
        bent = with_bends([one], wide)[0].segments.lines[0]
        assert bent.equals(lines[0]) is not is_bent


def test_lines_are_joined_in_chains_and_in_rings() -> None:
    """Of four sides: all with arcs between them are one closed line, two of them are one line."""
    sides: Lines = shapely.linestrings(
        [[(1, 0), (9, 0)], [(10, 1), (10, 9)], [(9, 10), (1, 10)], [(0, 9), (0, 1)]]
    )
    arcs = {
        k: LineString([sides[k].coords[-1], middle, sides[(k + 1) % 4].coords[0]])
        for k, middle in enumerate([(9.7, 0.3), (9.7, 9.7), (0.3, 9.7), (0.3, 0.3)])
    }
    following = np.array([1, 2, 3, 0])
    ring = joined(sides, following, arcs)
    assert [line.is_empty for line in ring] == [False, True, True, True]
    assert ring[0].is_closed
    assert ring[0].length == pytest.approx(4 * 8 + sum(arc.length for arc in arcs.values()))
    chain = joined(sides, following, {3: arcs[3]})
    assert [line.is_empty for line in chain] == [True, False, False, False]
    assert chain[3].coords[0] == (0, 9)
    assert chain[3].coords[-1] == (9, 0)
