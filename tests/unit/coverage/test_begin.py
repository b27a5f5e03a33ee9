"""Where routes begin: at another segment of the outer edge where ways take much of the time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Point, Polygon

from fieldplan.coverage import begin
from fieldplan.coverage.cover import cover
from fieldplan.coverage.driven import Driven, driven_with
from fieldplan.coverage.layout import Layout, lay_out
from fieldplan.coverage.pieces import Way
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.job import Job, WorkingTerms

Points = Sequence[tuple[float, float]]
BENT: list[tuple[Points, tuple[float, float]]] = [
    ([(0, 0), (100, 0), (118, 15), (45, 15), (45, 70), (0, 70)], (100, 0)),
    ([(0, 0), (60, 0), (67, 10), (36, 10), (36, 70), (0, 70)], (60, 0)),
]
"""Fields with a narrow arm, and the gate at its end."""


@pytest.fixture
def working(job: Job) -> WorkingTerms:
    """The seed meets the drill wherever it stops."""
    return replace(job.working, seed_follows=True)


def _site(points: Points, gate: tuple[float, float], rig: Rig, working: WorkingTerms) -> Site:
    field = MultiPolygon([Polygon(points)])
    return Site(field_id="field", ground=field, rig=rig, working=working, gate=Point(gate))


def _plain(site: Site) -> tuple[Layout, Driven]:
    layout = lay_out(site)
    return layout, driven_with(layout, layout.inner(), Way())


@pytest.mark.parametrize(("points", "gate"), BENT)
def test_the_same_lines_are_sown_from_another_start(
    rig: Rig, working: WorkingTerms, points: Points, gate: tuple[float, float]
) -> None:
    """From and to the same gate, but begun at another segment."""
    layout, plain = _plain(_site(points, gate, rig, working))
    other = plain.begun_elsewhere(layout)
    assert other is not None
    assert other.gate == plain.gate == Point(gate)
    assert other.sown_m == pytest.approx(plain.sown_m)
    first, others_first = (next(leg.line for leg in one.legs if leg.sown) for one in (plain, other))
    assert shapely.get_point(first, 0).distance(shapely.get_point(others_first, 0)) > 1.0


def test_no_other_start_is_looked_for_where_ways_take_little(rig: Rig, working: WorkingTerms) -> None:
    """A square of 9 ha with the gate at a corner."""
    layout, plain = _plain(_site([(0, 0), (300, 0), (300, 300), (0, 300)], (0, 0), rig, working))
    assert plain.begun_elsewhere(layout) is None


@pytest.mark.parametrize(("points", "gate"), BENT)
def test_a_field_is_driven_from_the_start_that_is_quicker(
    rig: Rig,
    working: WorkingTerms,
    monkeypatch: pytest.MonkeyPatch,
    points: Points,
    gate: tuple[float, float],
) -> None:
    """By some percent here, with the same ground covered."""
    site = _site(points, gate, rig, working)
    found = cover(site)
    monkeypatch.setattr(begin, "MIN_WAYS_FRAC", np.inf)
    nearest = cover(site)
    assert route_s(found.legs, rig) < 0.97 * route_s(nearest.legs, rig)
    assert found.audit.missed_m2 == pytest.approx(nearest.audit.missed_m2, abs=0.002 * site.ground.area)
