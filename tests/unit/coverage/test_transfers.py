"""Ways along a lane onto which the rig turns, and routes by numbers: each against the same found the long way."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Point, box

from fieldplan.coverage.cover import cover
from fieldplan.coverage.driven import driven_with
from fieldplan.coverage.handling import handling
from fieldplan.coverage.layout import lay_out
from fieldplan.coverage.pieces import Way
from fieldplan.coverage.poses import poses
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.transfers import transfers_at
from fieldplan.coverage.turns import straights_tried, turns_between
from fieldplan.kernels.by_turns import Known, Opening, Tried, quickest_by_turns
from fieldplan.kernels.lanes import Lanes
from fieldplan.model.job import WorkingTerms

FIELD = MultiPolygon([box(0, 0, 260, 180).difference(box(100, 70, 160, 110))])


def _along(lanes_points: np.ndarray, at_m: np.ndarray, sign: float) -> np.ndarray:
    """Poses on a closed line at stations, facing along it or against it, (n, 3), by GEOS."""
    line = shapely.linestrings(lanes_points)
    place, on = (
        shapely.get_coordinates(shapely.line_interpolate_point(line, (at_m + ahead_m) % line.length))
        for ahead_m in (0.0, 1e-5)
    )
    return np.column_stack([place, np.arctan2(*(sign * (on - place)).T[::-1])])


def _lane_beside(leave: np.ndarray, enter: np.ndarray, lanes: Lanes) -> int:
    """The lane nearest to two poses, by GEOS."""
    lane = np.arange(len(lanes.first) - 1).repeat(np.diff(lanes.first))
    lines = shapely.linestrings(lanes.points, indices=lane)
    away_m = shapely.distance(lines[:, None], shapely.points(np.stack([leave, enter])[:, :2]))
    return int(away_m.sum(axis=1).argmin())


@pytest.mark.parametrize("reverse", ["where needed", "never"])
@pytest.mark.parametrize("seed", range(6))
def test_a_way_by_turns_is_the_quickest_of_all(rig: Rig, reverse: str, seed: int) -> None:
    """Every turn onto the lane with every turn off it, in the direction that may be the shorter one; nothing is looked
    for that is known, and the same way is found again.
    """
    rig = replace(rig, width_m=3.0, radius_m=6.0, reverse=reverse)  # type: ignore[arg-type]
    room, random = InsideFence(FIELD, rig), np.random.default_rng(seed)
    angle = random.uniform(-np.pi, np.pi, 2)
    places = random.uniform((4, 4), (95, 175), (2, 2))
    places[1, 0] += 160.0
    leave, enter = np.column_stack([places, angle])
    tried = Tried(rig.radius_m * np.array([-2.0, 0.0, 0.5, 1.5, 3.0, 5.0]), *straights_tried(rig))
    lanes, lane = room.lanes, _lane_beside(leave, enter, room.lanes)
    known, elsewhere = (Known(np.full((2, 6, 11), np.nan), np.full((2, 6, 11), np.nan)) for _ in range(2))
    no_gate, region = Opening(np.nan, np.nan, room.opening_m), room.region
    found = quickest_by_turns(
        leave, enter, lane, lanes, known, elsewhere, no_gate, tried, region, handling(rig)
    )
    own = slice(lanes.first[lane], lanes.first[lane + 1])
    points, length_m = lanes.points[own], lanes.station_m[own][-1]
    here_m, there_m = shapely.line_locate_point(
        shapely.linestrings(points), shapely.points(np.stack([leave, enter])[:, :2])
    )
    best_s = []
    for sign in (1.0, -1.0):
        onto, off = (
            _along(points, at_m, sign)
            for at_m in (here_m + sign * tried.ahead_m, there_m - sign * tried.ahead_m)
        )
        onto_s = turns_between(np.tile(leave, (6, 1)), onto, rig, room).turn_s
        off_s = turns_between(off, np.tile(enter, (6, 1)), rig, room).turn_s
        run_m = (sign * (there_m - here_m) - np.add.outer(tried.ahead_m, tried.ahead_m)) % length_m
        each_s = onto_s[:, None] + off_s + run_m / rig.turn_speed_m_per_s
        best_s.append((run_m.min(), each_s.min()))
    expected_s = next((each_s for _, each_s in sorted(best_s) if np.isfinite(each_s)), np.inf)
    assert found.drive_s == pytest.approx(expected_s, abs=1e-3)
    looked = [np.isfinite(turns[..., 0]).sum() for turns in known]
    again = quickest_by_turns(
        leave, enter, lane, lanes, known, elsewhere, no_gate, tried, region, handling(rig)
    )
    assert (again.at, again.until, again.drive_s) == (found.at, found.until, found.drive_s)
    assert [np.isfinite(turns[..., 0]).sum() for turns in known] == looked


def test_a_route_by_numbers_is_as_its_legs(rig: Rig, working: WorkingTerms) -> None:
    """Its time, its turns and what it sows, before any line is drawn, are those of the legs; and these join."""
    layout = lay_out(Site(field_id="f", ground=FIELD, rig=rig, working=working))
    driven = driven_with(layout, layout.inner(), Way())
    route = driven.route
    assert route is not None
    drive_s, n_turns, sown_m, sown = route.drive_s, driven.n_turns, driven.sown_m, route.sown
    assert "legs" not in vars(route)
    legs = route.legs
    assert drive_s == pytest.approx(route_s(legs, rig), rel=1e-12)
    assert n_turns == sum(leg.kind == "turn" for leg in legs)
    assert sown_m == pytest.approx(sum(leg.line.length for leg in legs if leg.sown), rel=1e-12)
    enter, leave = poses(np.array([leg.line for leg in legs if leg.sown], dtype=object))
    assert np.array_equal(enter, sown.enter)
    assert np.array_equal(leave, sown.leave)
    ends = shapely.get_coordinates([[shapely.get_point(leg.line, nth) for nth in (0, -1)] for leg in legs])
    assert np.hypot(*(ends[2::2] - ends[1:-1:2]).T).max() < 1e-6
    gate = np.array(route.gate.coords[0])
    assert np.hypot(*(ends[[0, -1]] - gate).T).max() < 1e-6


@pytest.mark.parametrize("width_m", [3.0, 9.0])
def test_lanes_stay_where_the_drill_may_be_before_sharp_corners(rig: Rig, width_m: float) -> None:
    """Around a wedge of 30° the inset ends in a point (width / 2 / sin 15° from the corner): lanes go round that."""
    rig = replace(rig, width_m=width_m, radius_m=3.0)
    wedge = shapely.Polygon(
        [(120, 90), (180, 90 + 60 * np.tan(np.pi / 12)), (180, 90 - 60 * np.tan(np.pi / 12))]
    )
    room = InsideFence(MultiPolygon([box(0, 0, 300, 180).difference(wedge)]), rig)
    lanes = shapely.linestrings(
        room.lanes.points, indices=np.repeat(np.arange(2), np.diff(room.lanes.first))
    )
    point = shapely.Point(120 - (width_m / 2 - 0.5) / np.sin(np.pi / 12) + 0.1, 90)
    assert not room.clear.contains(point)
    assert shapely.within(lanes, room.clear).all()


@pytest.mark.parametrize("reverse", ["where needed", "never"])
def test_going_back_and_forth_takes_longer_than_a_turn_without_fences(rig: Rig, reverse: str) -> None:
    """From strip to strip between two fences: the quickest turn on ground without an edge, and two changes of
    direction.
    """
    rig = replace(rig, width_m=3.0, radius_m=6.0, reverse=reverse)  # type: ignore[arg-type]
    alley, plain = (
        InsideFence(MultiPolygon([one]), rig) for one in (box(0, 0, 90, 6), box(-200, -200, 290, 206))
    )
    leave, enter = np.array([[85.0, 1.5, 0.0]]), np.array([[85.0, 4.5, np.pi]])
    (found,) = transfers_at(alley, np.full(2, np.nan)).between(leave, enter, np.array([True]))
    assert not found.with_arcs
    free_s = turns_between(leave, enter, rig, plain).turn_s[0]
    assert free_s > 5 * found.length_m / rig.turn_speed_m_per_s
    assert found.drive_s == pytest.approx(free_s + 2 * rig.change_s)


def test_a_strip_between_fences_takes_no_less_time_than_one_without(
    rig: Rig, working: WorkingTerms
) -> None:
    """Two drill widths wide."""
    rig = replace(rig, width_m=3.0, radius_m=6.0)
    site = Site(field_id="f", ground=MultiPolygon([box(0, 0, 300, 6)]), rig=rig, working=working)
    opened = replace(site, fenced=MultiPolygon([box(-100, -100, 400, 106)]))
    assert route_s(cover(opened).legs, rig) <= route_s(cover(site).legs, rig)


def test_a_line_back_over_the_last_one_is_turned_for(rig: Rig, working: WorkingTerms) -> None:
    """The second sowing of a narrow strip begins where the first ends, against its direction."""
    twice = replace(working, headland_rounds=0, sowings=2)
    strip = MultiPolygon([box(0, 0, 100, 3.2)])
    legs = cover(Site(field_id="f", ground=strip, rig=replace(rig, width_m=3.0), working=twice)).legs
    sown = [leg.sown for leg in legs]
    assert sown.count(True) > 1
    for before, after in pairwise(legs):
        if before.sown and after.sown:
            steps = (np.subtract(leg.line.coords[-1], leg.line.coords[0]) for leg in (before, after))
            assert np.dot(*steps) > 0
    assert all(leg.line.length > 0 for leg in legs)


@pytest.mark.parametrize("apart_m", [18.5, 20.0, 21.5, 22.4])
def test_ways_along_lanes_have_no_corners(rig: Rig, apart_m: float) -> None:
    """Between a tree and a fence that are hardly farther apart than the rig needs to turn off a lane."""
    rig = replace(rig, width_m=9.0, radius_m=3.0, reverse="never")
    ground = box(0, 0, 240, 140).difference(Point(120, 140 - apart_m).buffer(2.5))
    transfers = transfers_at(InsideFence(MultiPolygon([ground]), rig), np.full(2, np.nan))
    turn = np.radians(np.arange(0, 360, 15))
    about = np.column_stack([120 + 30 * np.cos(turn), 110 + 15 * np.sin(turn), turn])
    one, other = np.triu_indices(len(turn), 1)
    found = transfers.between(about[one], about[other])
    assert sum(way.with_arcs for way in found) > len(found) / 2
    for way in found:
        if way.with_arcs:
            step = np.diff(shapely.get_coordinates(way.line.simplify(0.01)), axis=0)
            heading = np.arctan2(step[:, 1], step[:, 0])
            assert np.abs(np.angle(np.exp(1j * np.diff(heading)))).max(initial=0.0) < np.radians(25)
