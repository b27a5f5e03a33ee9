"""Whole coverage of fields that one can check on paper."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import MultiPolygon, Point, box

from fieldplan.coverage.cover import cover
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage
from fieldplan.model.job import WorkingTerms


def _covered(field: MultiPolygon, rig: Rig, working: WorkingTerms, **site: object) -> Coverage:
    return cover(Site(field_id="f", ground=field, rig=rig, working=working, **site))  # type: ignore[arg-type]


def test_a_strip_as_wide_as_the_drill_is_one_pass(rig: Rig, working: WorkingTerms) -> None:
    """100 m by 5 m: drilled once, no overlap, nothing missed or outside."""
    got = _covered(
        MultiPolygon([box(0, 0, 100, 5)]), replace(rig, width_m=5.0), replace(working, headland_rounds=0)
    )
    assert (got.n_passes, got.length_m("pass")) == (1, pytest.approx(100))
    audit = got.audit
    assert (audit.drilled_m2, audit.overlap_m2, audit.missed_m2, audit.outside_m2) == pytest.approx(
        (500, 0, 0, 0), abs=0.01
    )
    assert got.sowings[0].blocks[0].heading_deg == pytest.approx(90)


def test_passes_go_along_a_wanted_heading(rig: Rig, working: WorkingTerms) -> None:
    """North on a field of 100 m by 20 m: 20 passes of 20 m at 5 m."""
    terms = replace(working, headland_rounds=0, heading_deg=0.0)
    got = _covered(MultiPolygon([box(0, 0, 100, 20)]), replace(rig, width_m=5.0), terms)
    assert (got.n_passes, got.length_m("pass")) == (20, pytest.approx(400))


def test_the_route_begins_and_ends_at_the_gate(rig: Rig, working: WorkingTerms) -> None:
    """Given, it is where it was given and no note is made; else a corner, with a note."""
    field = MultiPolygon([box(0, 0, 100, 60)])
    given = _covered(field, rig, working, gate=Point(40, 0))
    assert (given.legs[0].line.coords[0], given.legs[-1].line.coords[-1]) == ((40, 0), (40, 0))
    assert "gate-assumed" not in {note.code for note in given.notes}
    taken = _covered(field, rig, working)
    assert (taken.gate.x, taken.gate.y) in {(0, 0), (100, 0), (100, 60), (0, 60)}
    assert "gate-assumed" in {note.code for note in taken.notes}


def test_every_second_sowing_is_audited_by_itself(rig: Rig, working: WorkingTerms) -> None:
    """A square with two sowings: twice the drilled area, and no overlap within either sowing."""
    field, wide = MultiPolygon([box(0, 0, 50, 50)]), replace(rig, width_m=5.0)
    once = _covered(field, wide, replace(working, headland_rounds=0)).audit
    twice = _covered(field, wide, replace(working, headland_rounds=0, sowings=2)).audit
    assert (once.drilled_m2, twice.drilled_m2) == pytest.approx((2500, 5000))
    assert twice.overlap_m2 == pytest.approx(0, abs=0.01)


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
    """An arm of 120 m by 2 m beside 200 m by 100 m: its 240 m², but for what passes reach into it, 1.2 % of
    the ground.
    """
    arm = MultiPolygon([box(0, 0, 200, 100).union(box(200, 40, 320, 42))])
    got = _covered(arm, replace(rig, width_m=5.0), replace(working, max_blocks=1))
    assert got.audit.missed_m2 == pytest.approx(240, rel=0.05)
    (note,) = [note for note in got.notes if note.code == "ground-missed"]
    assert note.values["missed_frac"] == pytest.approx(got.audit.missed_m2 / 20_240)
