"""Passes along curves: true parallels, no tighter than they may be, and nothing unsown."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from conftest import SAMPLES
from shapely import LineString, MultiPolygon, Point, Polygon, box

from fieldplan.coverage.cover import cover
from fieldplan.coverage.guide import Guide, continued, drawn_guide, sides_of
from fieldplan.coverage.guided import guided_passes, left_by, rest_of
from fieldplan.coverage.heading import best_swath_layout
from fieldplan.coverage.passes import block_of
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.jobfile.load import load_job
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import PatternWord
from fieldplan.plane.parallel import SmoothLine, rounding_m, smoothed

JOB = load_job(SAMPLES / "farm.toml")
RIG = Rig.of(JOB)
W = RIG.width_m


def _arc(radius: float) -> np.ndarray:
    turn = np.radians(np.linspace(0, 90, 91))
    return np.stack([radius * np.cos(turn), radius * np.sin(turn)], axis=1)


TERRACE = Polygon(np.concatenate([_arc(125), _arc(100)[::-1]]))
"""25 m wide, inner radius 100 m, a quarter of a circle."""


def _site(
    ground: Polygon, pattern: PatternWord = "best", rig: Rig = RIG, guides: tuple[LineString, ...] = ()
) -> Site:
    working = replace(JOB.working, pattern=pattern)
    return Site(field_id="f", ground=MultiPolygon([ground]), rig=rig, working=working, guides=guides)


def _ways(ground: Polygon) -> dict[PatternWord, Coverage]:
    return {pattern: cover(_site(ground, pattern)) for pattern in ("straight", "best")}


@pytest.fixture(scope="module")
def terrace() -> dict[PatternWord, Coverage]:
    """The terrace in straight passes on one round, and as is best."""
    one_round = replace(JOB.working, pattern="straight", headland_rounds=1)
    ways = _ways(TERRACE)
    return ways | {"straight": cover(replace(_site(TERRACE), working=one_round))}


def test_a_terrace_is_sown_along_its_curve(terrace: dict[PatternWord, Coverage]) -> None:
    """Seven passes and a round along both sides, where 25 m hold 8.2 widths; in three fifths of the time."""
    curved = terrace["best"]
    assert (curved.pattern, curved.n_passes, curved.headland_rounds) == ("along edge", 7, 1)
    assert all(block.guide is not None for block in curved.sowings[0].blocks)
    assert route_s(curved.legs, RIG) < 0.6 * route_s(terrace["straight"].legs, RIG)
    assert curved.audit.missed_m2 < 0.002 * TERRACE.area


def test_its_passes_are_concentric(terrace: dict[PatternWord, Coverage]) -> None:
    """Each keeps its distance from the center within the drawing of the guide, and lies a width from the next."""
    passes = [leg for leg in terrace["best"].legs if leg.kind == "pass"]
    from_center = [np.hypot(*shapely.get_coordinates(leg.line).T) for leg in passes]
    assert max(np.ptp(each) for each in from_center) < W / 4
    means = np.sort([each.mean() for each in from_center])
    assert np.diff(means) == pytest.approx(np.full(6, W), abs=0.02)


def test_a_note_says_how_tight_and_how_uneven(terrace: dict[PatternWord, Coverage]) -> None:
    """The ends of the drill sow off their rate by w/2R."""
    (block,) = terrace["best"].sowings[0].blocks
    assert 60 < block.least_radius_m < 125
    (note,) = [note for note in terrace["best"].notes if note.code == "passes-curved"]
    assert note.values["rate_frac"] == pytest.approx(W / 2 / block.least_radius_m)
    assert block.bent_rad == pytest.approx(block.n_passes * np.pi / 2, rel=0.1)


def test_parallels_of_a_straight_guide_are_straight_passes() -> None:
    """Along one edge of a trapezoid: the same strips, to a micrometer."""
    ground = Polygon([(0, 0), (180, 0), (150, 62), (20, 62)])
    site = _site(ground)
    room = InsideFence(site.ground, RIG)
    edge = np.array([[0.0, 0.0], [180.0, 0.0]])
    guide = Guide(line=smoothed(edge, rounding_m(edge, 1.0)), first_m=0.0)
    guided = guided_passes(1, ground, guide, site, room)
    straight = block_of(1, ground, best_swath_layout(ground, RIG, np.array([1.0, 0.0])), site, room)
    assert guided is not None
    curved = guided.block
    ends = np.sort(curved.ends.reshape(-1, 2), axis=0)
    assert np.abs(ends - np.sort(straight.ends.reshape(-1, 2), axis=0)).max() < 1e-6
    assert curved.strip.tolist() == straight.strip.tolist()


def test_what_curved_passes_leave_is_known_without_an_overlay() -> None:
    """They run over all of a piece between two arcs, and leave nothing of it but slivers."""
    ground = Polygon([*_arc(120), *_arc(90)[::-1]])
    arc = _arc(120)
    guide = Guide(line=smoothed(arc, rounding_m(arc, 1.0)), first_m=0.0)
    site = _site(ground, rig=replace(RIG, pass_radius_m=20.0))
    guided = guided_passes(1, ground, guide, site, InsideFence(MultiPolygon([ground.buffer(20)]), site.rig))
    assert guided is not None
    assert guided.over_all
    assert left_by(ground, guided.block).area < 2e-4 * ground.area
    assert rest_of(ground, left_by(ground, guided.block), W) == []


def test_passes_stop_where_they_would_bend_too_tight() -> None:
    """Inward from a curve of radius 60 to a least radius of 40 m go the passes with R − (k + ½)·w ≥ 40."""
    rig = replace(RIG, pass_radius_m=40.0)
    ground = Polygon([(0, 0), *_arc(60)])
    arc = _arc(60)
    guide = Guide(line=smoothed(arc, rounding_m(arc, 1.0)), first_m=0.0)
    room = InsideFence(MultiPolygon([ground]), rig)
    guided = guided_passes(1, ground, guide, _site(ground, rig=rig), room)
    assert guided is not None
    block = guided.block
    assert int(block.strip.max()) + 1 == int((60 - 40) / W + 0.5)
    assert block.least_radius_m >= 40.0 * (1 - 1e-9)


def test_a_round_field_is_driven_in_rounds() -> None:
    """Each a width nearer to the center, and quicker than straight passes; the middle in passes."""
    ways = _ways(Point(0, 0).buffer(90, quad_segs=32))
    rounds = ways["best"]
    assert rounds.pattern == "rounds"
    assert "rounds-alone" in [note.code for note in rounds.notes]
    assert route_s(rounds.legs, RIG) < route_s(ways["straight"].legs, RIG)
    radius = [leg.length_m / 2 / np.pi for leg in rounds.legs if leg.kind == "headland"]
    assert min(radius) >= RIG.sowing_radius_m * 0.95
    turns = [leg for leg in rounds.legs if leg.kind == "turn"]
    assert len(turns) <= rounds.n_passes  # none between rounds: the drill is led over with its openers down
    assert rounds.audit.missed_m2 < 1e-3 * rounds.audit.plantable_m2


@pytest.fixture(scope="module")
def along_wave() -> Coverage:
    """A field with a pond, sown along a wave that was drawn across it."""
    x = np.linspace(-10, 210, 60)
    wave = LineString(np.stack([x, 70 + 12 * np.sin(x / 40)], axis=1))
    pond = Point(120, 95).buffer(12)
    return cover(_site(box(0, 0, 200, 140).difference(pond), guides=(wave,)))


def test_passes_follow_a_line_that_was_drawn(along_wave: Coverage) -> None:
    """Nothing is missed but corners, no pass bends tighter than it may, and the audit closes."""
    audit = along_wave.audit
    assert along_wave.pattern == "guide"
    assert audit.missed_m2 < 0.005 * audit.plantable_m2
    total_m2 = audit.drilled_m2 - audit.overlap_m2 - audit.outside_m2 + audit.missed_m2
    assert total_m2 == pytest.approx(audit.plantable_m2, rel=1e-9)
    guided = [block for block in along_wave.sowings[0].blocks if block.guide is not None]
    assert sum(block.n_passes for block in guided) > 30
    assert min(block.least_radius_m for block in guided) >= RIG.pass_radius_m * (1 - 1e-3)


def test_no_pass_runs_over_an_obstacle(along_wave: Coverage) -> None:
    """The middle of the drill keeps off the pond with the openers down, and half a width off it when lifted."""
    pond = Point(120, 95).buffer(12)
    sown = [leg.line for leg in along_wave.legs if leg.sown]
    assert min(shapely.distance(sown, pond)) > W / 2 - 0.05
    lifted = [leg.line for leg in along_wave.legs if not leg.sown]
    assert min(shapely.distance(lifted, pond)) > W / 2 - 0.55


def test_a_guide_that_bends_too_tight_is_smoothed() -> None:
    """Its arcs are as tight as passes may be, and how far it lies from the drawing is known."""
    zigzag = LineString([(x, 8 * (i % 2)) for i, x in enumerate(range(0, 200, 20))])
    guide = drawn_guide(zigzag, RIG)
    assert guide.line.radius_m(0.0).min() >= RIG.pass_radius_m * (1 - 1e-9)
    assert 0 < guide.moved_m <= 8.0


def test_a_curve_is_not_continued_to_where_none_of_its_parallels_lead() -> None:
    """Beyond the middle of its circle, a parallel of a quarter of one lies somewhere else: ground there has none."""
    guide = drawn_guide(LineString(_arc(30.0)), RIG)
    assert continued(guide, box(-300, 0, -270, 20), RIG) is None
    assert continued(guide, box(40, 0, 60, 40), RIG) is not None


def test_straight_sides_are_no_curves() -> None:
    """A rectangle and an L have none to follow; a terrace has two."""
    ell = box(0, 0, 200, 100).difference(box(100, 50, 200, 100))
    assert [len(sides_of(ground, RIG)) for ground in (box(0, 0, 200, 100), ell, TERRACE)] == [0, 0, 2]


def test_no_guide_goes_on_where_no_parallel_comes_near(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where all of the parallel beside the ground is cut away, since it would cross itself there."""
    guide = drawn_guide(LineString([(0, 0), (100, 10), (200, 0)]), RIG)
    rest = box(90, -30, 110, -20)
    assert continued(guide, rest, RIG) is not None
    monkeypatch.setattr(SmoothLine, "parallel", lambda *_: np.array([(500.0, 500.0), (600.0, 500.0)]))
    assert continued(guide, rest, RIG) is None
