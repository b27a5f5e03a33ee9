"""Whole coverage of fields that one can check on paper."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from shapely import MultiPolygon, Point, box

from fieldplan.coverage.cover import cover
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage
from fieldplan.model.job import WorkingTerms


def _short_of_fence_m(rig: Rig) -> float:
    """Passes end half a width less half a meter from a fence, and what arcs bulge between points 0.6 m apart."""
    return rig.width_m / 2 - 0.5 + rig.radius_m * (1 - math.cos(0.3 / rig.radius_m))


def _covered(field: MultiPolygon, rig: Rig, working: WorkingTerms, **site: object) -> Coverage:
    return cover(Site(field_id="f", ground=field, rig=rig, working=working, **site))  # type: ignore[arg-type]


def test_a_strip_as_wide_as_the_drill_is_one_pass(rig: Rig, working: WorkingTerms) -> None:
    """100 m by 5 m: drilled once from fence to fence, no overlap, nothing outside, missed what the drill cannot
    reach at both ends.
    """
    wide = replace(rig, width_m=5.0)
    got = _covered(MultiPolygon([box(0, 0, 100, 5)]), wide, replace(working, headland_rounds=0))
    sown_m = 100 - 2 * _short_of_fence_m(wide)
    assert (got.n_passes, got.length_m("pass")) == (1, pytest.approx(sown_m))
    audit = got.audit
    assert (audit.drilled_m2, audit.overlap_m2, audit.missed_m2, audit.outside_m2) == pytest.approx(
        (5 * sown_m, 0, 5 * (100 - sown_m), 0), abs=0.01
    )
    assert got.sowings[0].blocks[0].heading_deg == pytest.approx(90)


def test_passes_go_along_a_wanted_heading(rig: Rig, working: WorkingTerms) -> None:
    """North on a field of 100 m by 60 m: inside one round 18 passes of 50 m at 5 m."""
    terms = replace(working, headland_rounds=1, heading_deg=0.0)
    got = _covered(MultiPolygon([box(0, 0, 100, 60)]), replace(rig, width_m=5.0), terms)
    assert (got.n_passes, got.length_m("pass")) == (18, pytest.approx(900))


def test_ends_that_no_headland_goes_round_are_sown_along_the_fence(rig: Rig, working: WorkingTerms) -> None:
    """North on 100 m by 20 m without a headland: 20 passes that end short of both fences, and one along each of
    these. Missed are the corners.
    """
    wide = replace(rig, width_m=5.0)
    terms = replace(working, headland_rounds=0, heading_deg=0.0)
    got = _covered(MultiPolygon([box(0, 0, 100, 20)]), wide, terms)
    main, *along = got.sowings[0].blocks
    short_m = _short_of_fence_m(wide)
    assert (main.n_passes, main.runs.length_m) == (20, pytest.approx(20 * (20 - 2 * short_m)))
    assert [(block.n_passes, block.heading_deg) for block in along] == [(1, pytest.approx(90))] * 2
    assert got.audit.missed_m2 == pytest.approx(4 * short_m**2, abs=0.01)


def test_the_route_begins_and_ends_at_the_gate(rig: Rig, working: WorkingTerms) -> None:
    """Given, it is where it was given and no note is made; else a corner, with a note."""
    field = MultiPolygon([box(0, 0, 100, 60)])
    given = _covered(field, rig, working, gate=Point(40, 0))
    assert given.legs[0].line.coords[0] == pytest.approx((40, 0), abs=1e-9)
    assert given.legs[-1].line.coords[-1] == pytest.approx((40, 0), abs=1e-9)
    assert "gate-assumed" not in {note.code for note in given.notes}
    taken = _covered(field, rig, working)
    assert (taken.gate.x, taken.gate.y) in {(0, 0), (100, 0), (100, 60), (0, 60)}
    assert "gate-assumed" in {note.code for note in taken.notes}


def test_every_second_sowing_is_audited_by_itself(rig: Rig, working: WorkingTerms) -> None:
    """A square with two sowings: twice the area drilled, missed and lapped; none of one counts in the other."""
    field, wide = MultiPolygon([box(0, 0, 50, 50)]), replace(rig, width_m=5.0)
    once = _covered(field, wide, replace(working, headland_rounds=0)).audit
    twice = _covered(field, wide, replace(working, headland_rounds=0, sowings=2)).audit
    assert twice.plantable_m2 == once.plantable_m2 == pytest.approx(2500)
    for name in ("drilled_m2", "missed_m2", "overlap_m2"):
        assert getattr(twice, name) == pytest.approx(2 * getattr(once, name), rel=1e-6)
    assert once.drilled_m2 - once.overlap_m2 + once.missed_m2 == pytest.approx(2500)


def test_the_plain_order_says_what_it_costs(rig: Rig, working: WorkingTerms) -> None:
    """The note's extra time is the difference between the two routes."""
    field, plain = MultiPolygon([box(0, 0, 300, 200)]), replace(rig, plain_order=True)
    terms = replace(working, max_blocks=1, heading_deg=90.0)
    got, minimum = _covered(field, plain, terms), _covered(field, rig, terms)
    (note,) = [note for note in got.notes if note.code == "order-plain"]
    extra_s = route_s(got.legs, rig) - route_s(minimum.legs, rig)
    assert note.values.get("extra_s", 0.0) == (pytest.approx(extra_s) if note.case == "" else 0.0)
    assert (note.case == "") == (extra_s > 30)


def test_ground_narrower_than_the_drill_is_missed_and_noted(rig: Rig, working: WorkingTerms) -> None:
    """An arm of 120 m by 2 m beside 200 m by 100 m: its 240 m² are the largest piece that is missed; the others
    are at corners of the headland.
    """
    arm = MultiPolygon([box(0, 0, 200, 100).union(box(200, 40, 320, 42))])
    got = _covered(arm, replace(rig, width_m=5.0), replace(working, max_blocks=1))
    largest, *corners = sorted(got.audit.missed_ground.geoms, key=lambda piece: -piece.area)
    assert largest.area == pytest.approx(240, rel=0.05)
    assert all(piece.within(box(0, 0, 200, 100)) for piece in corners)
    (note,) = [note for note in got.notes if note.code == "ground-missed"]
    assert note.values["missed_frac"] == pytest.approx(got.audit.missed_m2 / 20_240)
