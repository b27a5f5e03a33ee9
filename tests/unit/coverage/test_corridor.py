"""Corridors: passes side by side bend with one side."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import LineString, MultiPolygon, Polygon, box

from fieldplan.coverage.corridor import is_corridor, passes_beside
from fieldplan.coverage.cover import cover
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.job import WorkingTerms

ANGLES = np.radians(np.arange(0, 91, 3))
ARC = LineString(np.stack([300 * np.cos(ANGLES), 300 * np.sin(ANGLES)], axis=1))
"""A quarter of a circle with a radius of 300 m, in steps that bend by 3°."""


def _corridor(wide_m: float) -> Polygon:
    return Polygon(shapely.buffer(ARC, wide_m / 2, cap_style="flat", join_style="mitre"))


def _anywhere(rig: Rig) -> InsideFence:
    return InsideFence(MultiPolygon([box(-1000, -1000, 1000, 1000)]), rig)


@pytest.mark.parametrize(
    ("ground", "corridor"),
    [
        (_corridor(9.0), True),
        (_corridor(30.0), False),  # ten drills wide
        (box(0, 0, 100, 20), False),  # five times as long as wide
        (_corridor(9.0) - shapely.Point(ARC.coords[15]).buffer(1), False),
    ],
)
def test_corridors_are_long_and_a_few_drills_wide(ground: Polygon, corridor: bool, rig: Rig) -> None:
    """A drill of 3 m; ground all round something is none."""
    assert is_corridor(ground, replace(rig, width_m=3.0)) == corridor


@pytest.mark.parametrize("wide_m", [6.0, 9.0, 15.0])
def test_passes_from_either_side_follow_an_arc(wide_m: float, rig: Rig) -> None:
    """Just as many as drills lie side by side; they sow the ground once, from end to end."""
    ground, drill = _corridor(wide_m), replace(rig, width_m=3.0)
    for runs in passes_beside(ground, drill, _anywhere(drill)):
        assert len(runs) == wide_m / 3
        assert runs.length_m == pytest.approx(ground.area / 3, rel=0.01)
        assert shapely.difference(ground, shapely.union_all(runs.grounds)).area < 0.002 * ground.area


@pytest.mark.parametrize(("gap_m", "n_passes"), [(6.0, 2), (12.0, 6)])
def test_a_string_of_slivers_is_one_pass(gap_m: float, n_passes: int, rig: Rig) -> None:
    """Beside a strip as wide as the drill, five slivers 20 m long: with gaps that the drill is lifted over on the
    way, which is 9 m here, they are one pass, and with longer ones five.
    """
    drill = replace(rig, width_m=3.0, lift_over_m=9.0, field_speed_m_per_s=2.0, turn_speed_m_per_s=1.3)
    starts = [50 + nth * (20 + gap_m) for nth in range(5)]
    ground = shapely.union_all([box(0, 0, 300, 3), *(box(start, 3, start + 20, 4) for start in starts)])
    fewest = min(passes_beside(ground, drill, _anywhere(drill)), key=len)
    assert len(fewest) == n_passes
    slivers_m = 5 * 20 + (4 * gap_m if n_passes == 2 else 0)
    assert fewest.length_m == pytest.approx(300 + slivers_m, abs=0.5)
    assert shapely.difference(ground, shapely.union_all(fewest.grounds)).area < 0.1


def test_ground_hardly_wider_than_the_passes_before_gets_no_further_one(rig: Rig) -> None:
    """A corridor 6.1 m wide is two passes of 3 m: seed and time for a third are worth more than 10 cm of ground."""
    drill = replace(rig, width_m=3.0)
    for runs in passes_beside(_corridor(6.1), drill, _anywhere(drill)):
        assert len(runs) == 2


def test_a_winding_corridor_is_sown_along_its_bends(rig: Rig, working: WorkingTerms) -> None:
    """Inside one round of an arc 21 m wide lie five passes of 3 m: the ground is sown once but for the ends of
    passes and rounds, and not the tenth of it twice that straight passes sow.
    """
    drill, terms = replace(rig, width_m=3.0), replace(working, headland_rounds=1, max_blocks=1)
    field = MultiPolygon([_corridor(21.0)])
    got = cover(Site(field_id="f", ground=field, rig=drill, working=terms))
    (block,) = got.sowings[0].blocks
    assert (block.bent, block.n_passes) == (True, 5)
    assert got.audit.overlap_m2 < 0.02 * got.audit.plantable_m2
    audit = got.audit
    closed = audit.drilled_m2 - audit.overlap_m2 - audit.outside_m2 + audit.missed_m2
    assert closed == pytest.approx(audit.plantable_m2, rel=1e-6)
