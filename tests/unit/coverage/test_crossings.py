"""Whether passes go on across such ground or rounds are laid along it, and what is said of it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from crossed_sites import site_across
from shapely import MultiPolygon, box

from fieldplan.coverage.crossing_notes import on_crossings
from fieldplan.coverage.crossings import Crossed, Crossing, covered_across, sown_of
from fieldplan.coverage.route import route_s
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import HeadlandWord
from fieldplan.model.job import WorkingTerms

WATERWAY_M = 20 * 0.3048


def _chosen(
    field: MultiPolygon,
    waterway: MultiPolygon,
    rig: Rig,
    working: WorkingTerms,
    headland: HeadlandWord | None = None,
) -> Crossed:
    site = site_across(field, waterway, rig, working, headland=True)
    crossing = Crossing(reason="grass", ground=waterway, headland=headland)
    return covered_across(site, field, [crossing])


def _cost_s(coverage: Coverage, ground: MultiPolygon, rig: Rig) -> float:
    return route_s(coverage.legs, rig) + sown_of(coverage, ground) / rig.width_m / rig.field_speed_m_per_s


def test_passes_go_on_across_a_waterway_that_lies_across_them(rig: Rig, working: WorkingTerms) -> None:
    """Said with the number of passes and the length: each of them and three rounds twice over 20 ft."""
    field = MultiPolygon([box(0, 0, 400, 300)])
    waterway = MultiPolygon([box(197, 0, 197 + WATERWAY_M, 300)])
    crossed = _chosen(field, waterway, rig, replace(working, headland_rounds=3))
    (note,) = on_crossings("f", crossed)
    n_passes = crossed.coverage.n_passes
    assert (crossed.around, note.code, note.case) == ((), "crossed-lifted", "")
    assert note.values == {
        "reason": "grass",
        "n_passes": n_passes,
        "lifted_m": pytest.approx((n_passes + 6) * WATERWAY_M),
        "sown_m2": "",
    }


def test_rounds_are_laid_along_a_lane_that_passes_would_run_along(rig: Rig, working: WorkingTerms) -> None:
    """The strip over the lane would sow it from end to end and save nothing; said, and how to have it
    otherwise.
    """
    field, lane = MultiPolygon([box(0, 0, 580, 360)]), MultiPolygon([box(0, 180, 580, 184)])
    crossed = _chosen(field, lane, rig, working)
    (note,) = on_crossings("f", crossed)
    assert [crossing.reason for crossing in crossed.around] == ["grass"]
    assert note.case in ("around", "around-sown")
    assert _cost_s(crossed.coverage, lane, rig) < _cost_s(crossed.through, lane, rig)
    assert sown_of(crossed.coverage, lane) < 1 < sown_of(crossed.through, lane)


def test_what_was_asked_for_is_done(rig: Rig, working: WorkingTerms) -> None:
    """With "no" passes go on across the lane along them, and a warning says what is sown; with "yes" rounds
    are laid along a waterway across them, and there is nothing to say.
    """
    field, lane = MultiPolygon([box(0, 0, 580, 360)]), MultiPolygon([box(0, 180, 580, 184)])
    across = MultiPolygon([box(290, 0, 290 + WATERWAY_M, 360)])
    (note,) = on_crossings("f", through := _chosen(field, lane, rig, working, "no"))
    assert (note.case, note.warning) == ("much-sown", True)
    assert note.values["sown_m2"] == pytest.approx(through.coverage.audit.outside_m2, abs=1)
    (outside,) = [one for one in through.coverage.notes if one.code == "sown-outside"]
    assert outside.case == "crossed"
    around = _chosen(field, across, rig, working, "yes")
    assert on_crossings("f", around) == ()
    assert len(around.coverage.ground.geoms) == 2


def test_of_two_kinds_of_ground_each_is_said(rig: Rig, working: WorkingTerms) -> None:
    """A waterway and a lane across the passes, with their own lengths."""
    field = MultiPolygon([box(0, 0, 400, 300)])
    strips = {"grass": box(100, 0, 106, 300), "lane": box(250, 0, 254, 300)}
    site = site_across(field, strips["grass"].union(strips["lane"]), rig, working, headland=True)
    crossings = [Crossing(reason=name, ground=MultiPolygon([strip])) for name, strip in strips.items()]
    one, two = on_crossings("f", covered_across(site, field, crossings))
    assert (one.values["reason"], two.values["reason"]) == ("grass", "lane")
    assert one.values["lifted_m"] / 6 == pytest.approx(two.values["lifted_m"] / 4)
