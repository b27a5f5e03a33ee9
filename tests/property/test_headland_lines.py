"""Lines, bands and corners of the headland, as kernels find them, against a geometry library and plain sums."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, MultiPolygon
from shapely.ops import substring
from strategies import notched_fields, slowly, star_fields

from fieldplan.coverage import corners
from fieldplan.coverage.handling import PARALLEL, handling
from fieldplan.coverage.headland import lay_rounds
from fieldplan.coverage.poses import poses
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.terms import Rig
from fieldplan.kernels.corners import Bounds, at_corners, reached
from fieldplan.kernels.mitred import mitred
from fieldplan.kernels.outlines import Outlines, arcs_s, ends_s
from fieldplan.kernels.segments import poses_of
from fieldplan.kernels.words import tangent_arcs
from fieldplan.model.coverage import Array, BoolArray, IntArray, Lines
from fieldplan.plane.chains import chains_of, lines_of
from fieldplan.plane.offsets import band_about, offset
from fieldplan.plane.paths import Paths
from fieldplan.plane.travel import stretches

FIELDS = st.one_of(star_fields(), notched_fields())
STEP_M, HAIR_M, LEAST_M = 0.1, 1e-5, 1.0


@slowly(40)
@given(seed=st.integers(0, 999_999), most_deg=st.sampled_from([0.05, 2.0, 20.0, 60.0, 170.0]))
def test_bands_are_those_of_the_library(seed: int, most_deg: float) -> None:
    """GEOS (`shapely.buffer`), point by point: lines with slight and sharp bends, and with short steps."""
    lines = _lines(seed, most_deg)
    for line, band, of_library in zip(lines, band_about(lines, 3.05), offset(lines, 3.05 / 2), strict=True):
        if len(line.coords) == 2:  # begun at another corner
            assert band.normalize().equals_exact(of_library.normalize(), 1e-6)
        else:
            assert band.equals_exact(of_library, 1e-6)


def test_bands_of_lines_that_bend_little_are_drawn_without_it() -> None:
    """But not of one that turns back, or whose steps are too short for their bends."""
    lines: Lines = shapely.linestrings(
        [
            [(0, 0), (50, 0), (90, 20)],
            [(0, 0), (50, 0), (52, 40)],
            [(0, 0), (50, 0), (0, 40)],
            [(0, 0), (50, 0), (50.3, 0.3)],
        ]
    )
    assert mitred(chains_of(lines), 1.5)[0].tolist() == [True, True, False, False]


@slowly(40)
@given(seed=st.integers(0, 999_999))
def test_stretches_of_lines_are_those_of_the_library(seed: int) -> None:
    """GEOS (`shapely.ops.substring`), also where a stretch would begin before its line or end beyond it."""
    lines, random = _lines(seed, 90.0), np.random.default_rng(seed)
    start_m = random.uniform(-0.2, 0.6, len(lines)) * shapely.length(lines)
    end_m = (
        start_m + random.uniform(0.1, 0.6, len(lines)) * shapely.length(lines) + 0.2 * shapely.length(lines)
    )
    own = zip(lines, np.maximum(start_m, 0.0).tolist(), end_m.tolist(), strict=True)
    expected = [substring(line, start, min(end, line.length)) for line, start, end in own]
    found = stretches(lines, start_m, end_m)
    assert shapely.hausdorff_distance(found, np.array(expected, dtype=object)).max() < 1e-6
    assert shapely.length(found) == pytest.approx(shapely.length(expected))


@slowly(20)
@given(seed=st.integers(0, 999_999))
def test_lines_are_entered_and_left_along_their_end_steps(seed: int) -> None:
    """By the points of each line."""
    lines = _lines(seed, 170.0)
    for line, enter, leave in zip(lines, *poses_of(chains_of(lines)), strict=True):
        points = shapely.get_coordinates(line)
        for pose, at, step in (
            (enter, points[0], points[1] - points[0]),
            (leave, points[-1], points[-1] - points[-2]),
        ):
            assert pose.tolist() == [*at.tolist(), math.atan2(step[1], step[0])]


@slowly(20)
@given(field=FIELDS)
def test_segments_reach_from_the_first_to_the_last_place_where_the_drill_may_stand(
    rig: Rig, field: MultiPolygon
) -> None:
    """GEOS (`shapely.intersection`) with that ground, to the step in which it is looked."""
    room = InsideFence(field, rig)
    laid = _laid(field, rig)
    chains, of, short_m = reached(room.region, chains_of(laid), STEP_M, HAIR_M, LEAST_M)
    left, inside = (
        dict(zip(of.tolist(), lines_of(chains), strict=True)),
        shapely.intersection(laid, room.clear),
    )
    for k, line in enumerate(laid):
        whole_m = shapely.line_locate_point(line, shapely.points(shapely.get_coordinates(inside[k])))
        if k not in left:
            assert len(whole_m) == 0 or inside[k].length < LEAST_M + 20 * STEP_M
            continue
        end = shapely.get_point(left[k], -1)
        assert short_m[of.tolist().index(k)] == pytest.approx(
            shapely.distance(shapely.get_point(line, -1), end)
        )
        if not line.is_closed:
            ends_m = shapely.line_locate_point(line, [shapely.get_point(left[k], 0), end])
            assert ends_m == pytest.approx([whole_m.min(), whole_m.max()], abs=2 * STEP_M)


@slowly(20)
@given(field=FIELDS)
def test_an_arc_fits_at_a_corner_where_the_room_holds_it(rig: Rig, field: MultiPolygon) -> None:
    """By `InsideFence.holds`, path by path; segments keep some of their length between two arcs."""
    room, rig = InsideFence(field, rig), replace(rig, follows_bend_deg=100.0)
    lines = _laid(field, rig)
    lines = lines[shapely.length(lines) > LEAST_M]
    if not len(lines):
        return
    following = np.roll(np.arange(len(lines)), -1)
    enter, leave = poses(lines)
    enter = enter[following]
    bounds = Bounds(rig.sowing_radius_m, math.radians(100.0), LEAST_M, 0.25, 2 * rig.width_m)
    found = at_corners(
        chains_of(lines), leave, enter, following, room.region, room.region, bounds, handling(rig)
    )
    turns, parts = tangent_arcs(leave, enter, rig.radius_m, PARALLEL)
    long_enough = _long_enough(np.maximum(-parts[:, [0, 4]], 0.0), following, shapely.length(lines))
    held = [room.holds(_arc(*one, rig.radius_m))[0] for one in zip(leave, turns, parts, strict=True)]
    assert found.fits.tolist() == (np.isfinite(parts).all(axis=1) & long_enough & held).tolist()
    turns, parts = tangent_arcs(leave, enter, rig.sowing_radius_m, PARALLEL)
    long_enough = _long_enough(-parts[:, [0, 4]], following, shapely.length(lines))
    for k in found.followed.nonzero()[0].tolist():
        assert long_enough[k]
        assert room.holds(_arc(leave[k], turns[k], parts[k], rig.sowing_radius_m))[0]
        assert [found.curve_end_m[k], found.curve_begin_m[k]] == (-parts[k, [0, 4]]).tolist()


@slowly(20)
@given(field=FIELDS, straight=st.booleans())
def test_times_of_outlines_are_sums_over_their_edges(field: MultiPolygon, *, straight: bool) -> None:
    """Edge by edge: along one heading, or along the best of the four longest edges; and arc by arc."""
    points = shapely.get_coordinates(shapely.get_rings(shapely.get_parts(field))[:1])
    outlines = Outlines(points, np.array([0, len(points)]), np.zeros(1, dtype=np.int64))
    step, turns_s = np.diff(points, axis=0), np.arange(20.0, 30.0)[None]
    along = np.array([[0.6, 0.8]]) if straight else np.zeros((0, 2))
    longest = np.hypot(*step.T).argsort()[::-1][:4]
    headings = along if straight else step[longest] / np.hypot(*step[longest].T)[:, None]
    expected_s = min(_ends_s(step, heading, turns_s[0]) for heading in headings)
    assert ends_s(outlines, turns_s, 3.0, along, 4, 7.5)[0] == pytest.approx(expected_s)
    turn = np.abs(np.angle(np.roll(step, -1, axis=0) @ [1, 1j] / (step @ [1, 1j])))
    arcs = [6.0 * bend / 2.0 + 5.0 for bend in turn.tolist() if bend > math.radians(30.0)]
    assert arcs_s(outlines, 1, math.radians(30.0), 6.0, 2.0, 5.0)[0] == pytest.approx(sum(arcs))


def test_a_round_without_a_corner_is_driven_as_it_is_laid(rig: Rig) -> None:
    """Of a round field all is sown, in one closed line."""
    field = MultiPolygon([shapely.Point(0, 0).buffer(150.0, quad_segs=32)])
    laid = lay_rounds([field], rig.width_m, 30.0, rig.sowing_radius_m)
    assert laid[0].segments.lines[0].is_closed
    driven = corners.round_corners(laid, rig, InsideFence(field, rig))
    assert [len(one.segments) for one in driven] == [1]
    assert driven[0].segments.lines[0].equals_exact(laid[0].segments.lines[0], 1e-9)


def _lines(seed: int, most_deg: float) -> Lines:
    """Ten lines of up to eight steps, of which some are short, that bend by no more than an angle."""
    random = np.random.default_rng(seed)
    found = []
    for _ in range(10):
        n = int(random.integers(1, 9))
        step_m = random.choice([0.005, 0.5, 4.0, 30.0], n, p=[0.02, 0.1, 0.28, 0.6]) * random.uniform(
            0.8, 1.2, n
        )
        angle = np.radians(random.uniform(0, 360) + random.uniform(-most_deg, most_deg, n).cumsum())
        step = step_m[:, None] * np.stack([np.cos(angle), np.sin(angle)], axis=1)
        found.append(LineString(np.concatenate([[[200.0, 300.0]], step]).cumsum(axis=0)))
    return np.array(found, dtype=object)


def _laid(field: MultiPolygon, rig: Rig) -> Lines:
    """The segments of two rounds."""
    rounds = lay_rounds([field] * 2, rig.width_m, 30.0, rig.sowing_radius_m)
    return np.concatenate([np.zeros(0, dtype=object), *(one.segments.lines for one in rounds)])


def _long_enough(taken_m: Array, following: IntArray, length_m: Array) -> BoolArray:
    """Whether segments before and after each corner keep some of their length between two arcs that take so much of the
    ends of the one and the starts of the other, (n, 2).
    """
    before_m = np.empty(len(following))
    before_m[following] = taken_m[:, 1]
    enough = (
        np.nan_to_num(before_m, nan=0.0) + np.nan_to_num(taken_m[:, 0], nan=np.inf) + LEAST_M <= length_m
    )
    return np.asarray(enough & enough[following])


def _arc(leave: Array, turns: Array, parts: Array, radius_m: float) -> Paths:
    """The arc from where a segment is left to where the next one is entered."""
    start, ahead = leave.copy(), parts.copy()
    start[:2] += min(parts[0], 0.0) * np.array([np.cos(leave[2]), np.sin(leave[2])])
    ahead[[0, 4]] = np.maximum(parts[[0, 4]], 0.0)
    return Paths(start[None], radius_m, turns[None], ahead[None])


def _ends_s(step: Array, heading: Array, turns_s: Array) -> float:
    """The turns of passes of three meters that end on edges, by how far from square to them those are."""
    spent_s = 0.0
    for x, y in step.tolist():
        across_m = abs(float(heading[0] * y - heading[1] * x))
        from_square_deg = math.degrees(math.acos(min(across_m / math.hypot(x, y), 1.0)))
        spent_s += across_m / 3.0 / 2 * float(turns_s[int(min(from_square_deg, 67.5) // 7.5)])
    return spent_s
