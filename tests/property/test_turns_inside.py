"""Laws of turns and transfers: the drill stays inside fences, and no more time is taken than must be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, affinity
from strategies import notched_fields, slowly, star_fields

from fieldplan.coverage.cover import cover
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage, Leg
from fieldplan.model.job import WorkingTerms

CENTIMETER = 0.01
MAY_BE_NEARER_M = 0.5
"""So near to its end the drill may come to a fence."""
SLOWLY = slowly(8)
FIELDS = st.one_of(star_fields(), notched_fields())


def _covered(field: MultiPolygon, rig: Rig, working: WorkingTerms) -> Coverage:
    return cover(Site(field_id="f", ground=field, rig=rig, working=working))


def _time_s(field: MultiPolygon, rig: Rig, working: WorkingTerms) -> float:
    return route_s(_covered(field, rig, working).legs, rig)


def _inside(got: Coverage) -> list[Leg]:
    """Turns and transfers that the plan does not call outside."""
    return [leg for leg in got.legs if leg.kind in ("turn", "transfer") and leg.shape != "outside"]


@SLOWLY
@given(field=FIELDS)
def test_the_drill_keeps_its_half_width_from_every_fence(
    field: MultiPolygon, rig: Rig, working: WorkingTerms
) -> None:
    """In turns and transfers, to half a meter, but near the gate."""
    got = _covered(field, rig, working)
    lines = [leg.line for leg in _inside(got)]
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(lines, 0.25)))
    points = points[shapely.distance(points, got.gate) > 2 * rig.width_m]
    assert shapely.contains(field, points).all()
    nearest_m = shapely.distance(points, field.boundary).min()
    assert nearest_m >= rig.width_m / 2 - MAY_BE_NEARER_M - CENTIMETER


@SLOWLY
@given(field=FIELDS, turn=st.floats(1, 179), move=st.floats(-500, 500), mirrored=st.booleans())
def test_a_field_takes_the_same_time_wherever_it_lies(
    field: MultiPolygon, turn: float, move: float, mirrored: bool, rig: Rig, working: WorkingTerms
) -> None:
    """Moved, turned and mirrored, within half a percent."""
    there = affinity.translate(affinity.rotate(field, turn, origin=(0, 0)), move, -move)
    if mirrored:
        there = shapely.orient_polygons(affinity.scale(there, -1, 1, origin=(0, 0)))
    assert _time_s(there, rig, working) == pytest.approx(_time_s(field, rig, working), rel=0.005)


@SLOWLY
@given(field=FIELDS, n_rounds=st.integers(2, 5))
def test_leave_to_back_up_costs_no_time(
    field: MultiPolygon, n_rounds: int, rig: Rig, working: WorkingTerms
) -> None:
    """Never in reverse takes at least as long as where it is needed, and that at least as long as freely."""
    terms = replace(working, headland_rounds=n_rounds, max_blocks=1)
    never, needed, free = (
        _time_s(field, replace(rig, reverse=reverse), terms)
        for reverse in ("never", "where needed", "free")
    )
    assert never >= 0.995 * needed
    assert needed >= 0.995 * free


@SLOWLY
@given(field=FIELDS, radius_m=st.floats(3.0, 12.0))
def test_turns_are_drawn_to_a_centimeter(
    field: MultiPolygon, radius_m: float, rig: Rig, working: WorkingTerms
) -> None:
    """No step longer than a meter, and as long as the line to a thousandth; no drawn bend is tighter than the
    turning radius allows.
    """
    got = _covered(field, replace(rig, radius_m=radius_m), working)
    turns = [leg for leg in _inside(got) if leg.kind == "turn" and leg.shape != "headland run"]
    for leg in turns:
        steps_m = np.hypot(*np.diff(shapely.get_coordinates(leg.line), axis=0).T)
        assert steps_m.max() <= 1.0
        assert steps_m.max() ** 2 / (8 * radius_m) <= CENTIMETER or leg.length_m > steps_m.max()
        assert leg.line.length == pytest.approx(leg.length_m, rel=1e-3)
