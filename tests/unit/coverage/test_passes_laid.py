"""Passes as they are laid out, and the tracks that are driven over them, against lines turned round one by one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon, box

from fieldplan.coverage.driven import driven_with
from fieldplan.coverage.layout import lay_out
from fieldplan.coverage.pieces import Way
from fieldplan.coverage.poses import BothWays, poses
from fieldplan.coverage.route import in_searched_order
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.tracks import tracks_of
from fieldplan.model.coverage import Lines
from fieldplan.model.job import WorkingTerms

SLANTING = Polygon([(0, 0), (260, 0), (330, 140), (200, 240), (140, 90), (20, 170)])
"""Passes of several columns, with ends at a slant."""
HOLED = box(0, 0, 300, 200).difference(box(120, 60, 160, 110))
"""Passes with gaps."""


def _lines() -> Lines:
    """Lines of two to six points, some of them along the axes."""
    rng = np.random.default_rng(7)
    bent = [LineString(rng.uniform(0, 100, (n, 2))) for n in (2, 3, 4, 6, 2, 5)]
    straight = [LineString([(0, 0), to]) for to in ((10, 0), (-10, 0), (0, 10), (0, -10))]
    return np.array([*bent, *straight], dtype=object)


def test_poses_either_way_are_those_of_lines_and_of_lines_turned_round() -> None:
    """To the last bit, along the axes, too: turns are known by them."""
    lines = _lines()
    both = BothWays.of(lines)
    for side, driven in enumerate((lines, shapely.reverse(lines))):
        enter, leave = poses(driven)
        assert both.enter[:, side].tobytes() == enter.tobytes()
        assert both.leave[:, 1 - side].tobytes() == leave.tobytes()


def test_a_row_of_lines_is_entered_at_one_end_and_left_at_the_other() -> None:
    """Three rows of ten lines."""
    lines, first, last = _lines(), np.array([0, 4, 5]), np.array([3, 4, 9])
    rows = BothWays.of(lines).of_rows(first, last)
    assert rows.enter[:, 0].tolist() == poses(lines[first])[0].tolist()
    assert rows.leave[:, 1].tolist() == poses(lines[last])[1].tolist()
    assert rows.enter[:, 1].tolist() == poses(shapely.reverse(lines[last]))[0].tolist()
    assert rows.leave[:, 0].tolist() == poses(shapely.reverse(lines[first]))[1].tolist()


@pytest.mark.parametrize("field", [SLANTING, HOLED])
@pytest.mark.parametrize("headland_first", [True, False])
def test_tracks_say_where_their_lines_begin_and_end(
    field: Polygon, headland_first: bool, rig: Rig, working: WorkingTerms
) -> None:
    """In plain order, in the order found and begun elsewhere: all runs and segments, each once."""
    working = replace(working, headland_first=headland_first)
    layout = lay_out(
        Site(field_id="f", ground=MultiPolygon([field]), rig=rig, working=working, gate=Point(0, 0))
    )
    driven = driven_with(layout, layout.inner(), Way())
    assert driven.route is not None
    found = (
        driven.route.tracks,
        in_searched_order(layout, driven.sowings, rig, driven.route).tracks,
        tracks_of(layout, driven.sowings, rig, np.array([250.0, 10.0])),
    )
    sown = sorted(line.normalize().wkt for line in driven.sowings[0].swaths().lines)
    for tracks in found:
        lines = tracks.lines
        assert tracks.backward.any()
        assert sorted(line.normalize().wkt for line in lines) == sown
        for found_poses, own in zip((tracks.enter, tracks.leave), poses(lines), strict=True):
            assert found_poses.tobytes() == own.tobytes()
        assert tracks.length_m == pytest.approx(shapely.length(lines), rel=1e-12)
