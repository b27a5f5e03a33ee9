"""The gate that is assumed where none is given, against every corner given as the gate."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import MultiPolygon, Point, Polygon, box

from fieldplan.coverage.cover import cover
from fieldplan.coverage.gate import SownLines, corners_of, seed_s
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage
from fieldplan.model.job import WorkingTerms

FIELDS = {
    "rectangle": Polygon(box(0, 0, 400, 250)),
    "long": Polygon(box(0, 0, 700, 120)),
    "slanted": Polygon([(0, 0), (420, 60), (380, 300), (40, 220)]),
    "corner cut": Polygon([(0, 0), (400, 0), (400, 300), (200, 300), (200, 150), (0, 150)]),
}


def _total_s(site: Site, coverage: Coverage) -> float:
    gate = np.array([[coverage.gate.x, coverage.gate.y]])
    return route_s(coverage.legs, site.rig) + float(seed_s(site, SownLines.of(coverage.legs), gate)[0])


@pytest.mark.parametrize("shape", FIELDS)
def test_the_assumed_gate_is_as_good_as_the_best_corner_given(
    shape: str, rig: Rig, working: WorkingTerms
) -> None:
    """Each corner is given as the gate and the field planned anew, with stops for seed: none is over 2 % quicker."""
    field, terms = FIELDS[shape], replace(working, max_blocks=1)
    site = Site(field_id="f", ground=MultiPolygon([field]), rig=rig, working=terms, fill_m2=8_000)
    given = [replace(site, gate=Point(corner)) for corner in field.exterior.coords[:-1]]
    best_s = min(_total_s(one, cover(one)) for one in given)
    assert _total_s(site, cover(site)) <= 1.02 * best_s


def test_a_hull_with_many_corners_is_thinned_to_those_that_stand_out() -> None:
    """A circle of 256 vertices has no more than asked for, all of them its own; a square keeps its four."""
    circle = Point(0, 0).buffer(100, quad_segs=64)
    corners = corners_of(MultiPolygon([circle]), 12)
    assert 4 <= len(corners) <= 12
    assert np.hypot(*corners.T) == pytest.approx(100)
    assert len(corners_of(MultiPolygon([box(0, 0, 9, 9)]), 12)) == 4
