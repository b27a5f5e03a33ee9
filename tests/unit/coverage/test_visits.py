"""Visits to blocks: what they take, and small blocks that are left out."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import LineString, MultiPolygon, Point, box
from shapely.affinity import translate

from fieldplan.coverage.cover import cover
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.visits import visits_s
from fieldplan.model.coverage import Coverage, Leg, LegKind
from fieldplan.model.job import WorkingTerms


def _leg(kind: LegKind, *points: tuple[float, float], block: int = 0) -> Leg:
    line = LineString(points)
    return Leg(kind=kind, line=line, length_m=line.length, block=block)


def test_a_visit_is_what_a_block_takes_beyond_the_way_past_it(rig: Rig) -> None:
    """60 m aside, a pass of 20 m, and 60 m back to 20 m farther on; then a block 50 m farther, from which the way
    leads back to the gate.
    """
    drill = replace(rig, field_speed_m_per_s=2.0, turn_speed_m_per_s=1.0, turn_extra_s=5.0)
    legs = [
        _leg("headland", (-100, 0), (0, 0)),
        _leg("transfer", (0, 0), (0, 60)),
        _leg("pass", (0, 60), (20, 60), block=1),
        _leg("transfer", (20, 60), (20, 0)),
        _leg("headland", (20, 0), (50, 0)),
        _leg("turn", (50, 0), (100, 0)),
        _leg("pass", (100, 0), (120, 0), block=2),
        _leg("transfer", (120, 0), (50, 0)),
    ]
    taken = visits_s(legs, drill)
    assert taken == {
        (1, 1): pytest.approx(60 + 20 / 2 + 60 - 20),
        (1, 2): pytest.approx(50 + 5 + 20 / 2 + 70),
    }


def _weighed_s(got: Coverage, rig: Rig) -> float:
    missed_s = 30 * got.audit.missed_m2 / rig.width_m / rig.field_speed_m_per_s
    seed_s = 0.5 * got.audit.drilled_m2 / rig.width_m / rig.field_speed_m_per_s
    return route_s(got.legs, rig) + missed_s + seed_s


@pytest.mark.parametrize(("away_m", "sown"), [(20.0, True), (600.0, False)])
def test_a_small_part_is_left_out_if_it_lies_far_away(
    away_m: float, sown: bool, rig: Rig, working: WorkingTerms
) -> None:
    """41 m² apart from a field of 4 ha: sown 20 m away, and named as missed 600 m away: sowing it is worth 200 s."""
    drill, terms = replace(rig, width_m=3.0), replace(working, headland_rounds=1, max_blocks=1)
    small = translate(box(0, 0, 14, 2.96), 200 + away_m, 0)
    field = MultiPolygon([box(0, 0, 200, 200), small])
    got = cover(Site(field_id="f", ground=field, rig=drill, working=terms, gate=Point(200, 0)))
    blocks = got.sowings[0].blocks
    assert any(block.ground.intersects(small) for block in blocks) == sown
    assert [block.block for block in blocks] == list(range(1, len(blocks) + 1))
    assert got.audit.missed_ground.contains(small) == (not sown)


@pytest.mark.parametrize("away_m", [100.0, 300.0, 600.0])
def test_leaving_out_is_better_than_sowing(
    away_m: float, rig: Rig, working: WorkingTerms, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Never worse by time, seed and missed ground together, and never more than half a percent missed for it."""
    drill, terms = replace(rig, width_m=3.0), replace(working, headland_rounds=1, max_blocks=1)
    field = MultiPolygon([box(0, 0, 200, 200), translate(box(0, 0, 14, 2.96), 200 + away_m, 0)])
    site = Site(field_id="f", ground=field, rig=drill, working=terms, gate=Point(200, 0))
    got = cover(site)
    monkeypatch.setattr("fieldplan.coverage.visits._poor_visits", lambda *_: [])
    assert _weighed_s(got, drill) <= _weighed_s(cover(site), drill) + 1e-6
    assert got.audit.missed_m2 <= 0.005 * field.area
