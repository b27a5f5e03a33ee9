"""A site: what is asked for and what is known of the ground."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import MultiPolygon, Point, box

from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.job import WorkingTerms


@pytest.fixture
def site(rig: Rig, working: WorkingTerms) -> Site:
    """A square of a hectare."""
    return Site(field_id="f", ground=MultiPolygon([box(0, 0, 100, 100)]), rig=rig, working=working)


@pytest.mark.parametrize(
    ("heading_deg", "along"),
    [(0, (0, 1)), (90, (1, 0)), (45, (0.5**0.5, 0.5**0.5)), (135, (0.5**0.5, -(0.5**0.5)))],
)
def test_headings_are_clockwise_from_north(
    site: Site, heading_deg: float, along: tuple[float, float]
) -> None:
    """North is +y and east is +x, there and back."""
    assert site.along(heading_deg) == pytest.approx(np.array(along), abs=1e-12)
    assert site.heading_deg(np.array(along)) == pytest.approx(heading_deg)


def test_grid_north_may_lie_beside_true_north(site: Site) -> None:
    """Where grid north lies 2° east of true north, a true heading of 92° runs along the grid's east; either
    way is the same heading.
    """
    east = replace(site, convergence_deg=2.0)
    assert east.along(92) == pytest.approx(np.array([1.0, 0.0]), abs=1e-12)
    assert east.heading_deg(np.array([-1.0, 0.0])) == pytest.approx(92)


def test_what_is_not_asked_for_is_left_open(site: Site) -> None:
    """No heading and no gate."""
    assert site.along_wanted is None
    assert site.gate_xy is None
    asked = replace(site, working=replace(site.working, heading_deg=90.0), gate=Point(3, 4))
    assert asked.along_wanted == pytest.approx(np.array([1.0, 0.0]), abs=1e-12)
    assert asked.gate_xy is not None
    assert asked.gate_xy.tolist() == [3, 4]
