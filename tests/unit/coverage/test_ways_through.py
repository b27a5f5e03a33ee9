"""Lifted drives that no single path or lane allows: off a lane by a turn that backs up, and through a neck."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
import shapely.affinity
from conftest import SAMPLES
from shapely import MultiPolygon, box

from fieldplan.boundary.load import load_fields
from fieldplan.coverage.cover import cover
from fieldplan.coverage.room import InsideFence, clearance_m
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.transfers import Transfers, transfers_at
from fieldplan.model.job import WorkingTerms
from fieldplan.plane.frame import frame_near
from fieldplan.plane.paths import shortest_paths

HALVES = MultiPolygon(
    [shapely.union_all([box(0, 0, 100, 200), box(100, 95, 140, 105), box(140, 0, 240, 200)])]
)
"""Two halves of a field and a neck of 10 m between them, in which a drill of 3 m cannot turn around."""


def _drill(rig: Rig, **changes: object) -> Rig:
    return replace(rig, width_m=3.0, radius_m=6.0, **changes)  # type: ignore[arg-type]


def _bends_m(line: shapely.LineString) -> np.ndarray:
    """Radii of the circles through every three points that follow each other."""
    points = shapely.get_coordinates(line)
    a, b, c = points[:-2], points[1:-1], points[2:]
    sides = [np.hypot(*(p - q).T) for p, q in ((a, b), (b, c), (c, a))]
    twice_m2 = np.abs((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])
    return np.asarray(np.prod(sides, axis=0) / np.maximum(2 * twice_m2, 1e-9))


def test_a_way_leads_through_a_neck_with_arcs(rig: Rig) -> None:
    """From the middle of one half to the middle of the other, each facing away from the neck."""
    room = InsideFence(HALVES, _drill(rig, reverse="never"))
    leave, enter = np.array([[50.0, 150.0, np.pi]]), np.array([[190.0, 50.0, 0.0]])
    (way,) = Transfers(room, np.array([0.0, 0.0])).between(leave, enter)
    assert way.with_arcs
    assert way.inside
    assert shapely.distance(shapely.points(shapely.get_coordinates(way.line)), HALVES.boundary).min() > (
        clearance_m(room.rig) - 0.05
    )
    assert _bends_m(way.line).min() > 0.98 * room.rig.radius_m
    assert way.length_m >= shortest_paths(leave, enter, room.rig.radius_m).length_m[0]


def test_where_the_drill_faces_a_fence_it_backs_off_before_a_transfer(rig: Rig) -> None:
    """Two meters from the eastern fence and facing it; the other end is far away."""
    field = MultiPolygon([box(0, 0, 400, 200)])
    pose, there = np.array([[398.0, 100.0, 0.0]]), np.array([[20.0, 30.0, np.pi / 2]])
    backing, never = (
        Transfers(InsideFence(field, _drill(rig, reverse=reverse)), np.array([0.0, 0.0])).between(
            pose, there
        )[0]
        for reverse in ("where needed", "never")
    )
    assert backing.with_arcs
    assert backing.reverse_m > 0
    assert not never.with_arcs


def test_a_field_has_one_set_of_transfers_for_each_gate(rig: Rig) -> None:
    """What was found for one route is known to the next one."""
    room = InsideFence(HALVES, _drill(rig))
    here, other = np.array([0.0, 0.0]), np.array([240.0, 0.0])
    assert transfers_at(room, here) is transfers_at(room, here.copy())
    assert transfers_at(room, here) is not transfers_at(room, other)


def test_what_is_known_from_other_gates_changes_no_way(rig: Rig) -> None:
    """Between poses near a gate that face its fence and others, asked of a room that knows ways without a gate and
    from another one, and of one that knows none.
    """
    field, random = MultiPolygon([box(0, 0, 300, 200)]), np.random.default_rng(7)
    gates = np.array([[np.nan, np.nan], [300.0, 40.0], [150.0, 0.0]])
    here = np.column_stack([random.uniform((147, 0.3), (153, 4), (12, 2)), random.uniform(-2.5, -0.6, 12)])
    there = np.column_stack([random.uniform((20, 20), (280, 180), (12, 2)), random.uniform(-3, 3, 12)])
    leave, enter = np.concatenate([here, there]), np.concatenate([there, here])
    room, as_turns = InsideFence(field, _drill(rig)), np.ones(len(leave), dtype=bool)
    known, fresh = (
        [
            [way.drive_s for way in transfers_at(one, gate).between(leave, enter, as_turns)]
            for one, gate in asked
        ]
        for asked in (
            [(room, gate) for gate in gates],
            [(InsideFence(field, _drill(rig)), gate) for gate in gates],
        )
    )
    assert known == fresh
    assert known[0] != known[2]


def test_ways_that_are_kept_are_the_shortest_ones(rig: Rig) -> None:
    """Straight ones, those round corners, and those from places off the room; each is kept."""
    room, random = InsideFence(HALVES, _drill(rig)), np.random.default_rng(3)
    starts, ends = random.uniform((0, 0), (240, 200), (2, 60, 2))
    for start, end in zip(starts, ends, strict=True):
        way = room.ways.between(start, end)
        assert way.equals_exact(room.travel.between(tuple(start), tuple(end)), 0.0)
        assert room.ways.between(np.append(start, 1.0), np.append(end, 2.0)) is way


def test_rounding_does_not_decide_how_a_neck_is_passed(rig: Rig, working: WorkingTerms) -> None:
    """A field with necks beside a creek, larger or smaller by less than an atom: the same drive, to half a percent."""
    (creek,) = (
        field for field in load_fields(SAMPLES / "farm.geojson").fields if field.field_id == "creek"
    )
    ground, rig = frame_near(creek.ground).to_plane(creek.ground), replace(rig, plain_order=True)
    working = replace(working, heading_deg=45.0, max_blocks=1, plain_order=True)
    took_s = []
    for share in (0.0, 4e-14, -4e-14, 1e-13, -1e-13):
        grown = shapely.affinity.scale(ground, 1 + share, 1 + share, origin=(0, 0))
        driven = cover(Site(field_id="creek", ground=grown, rig=rig, working=working))
        took_s.append(route_s(driven.legs, rig))
    assert max(took_s) < 1.005 * min(took_s), took_s
