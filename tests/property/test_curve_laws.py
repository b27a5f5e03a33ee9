"""Laws of passes that follow a curve."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
import shapely.affinity
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.cover import cover
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage
from fieldplan.model.job import WorkingTerms

SAME_FRAC = 0.005
"""What turns take is known to less than this where their poses differ by rounding."""
FIELD = Polygon([(0, 0), (160, -10), (185, 90), (120, 130), (30, 105)])
GUIDE = LineString([(x, 60 - (x - 83.0) ** 2 / 310) for x in range(-21, 211, 10)])


def _driven(field: BaseGeometry, guide: BaseGeometry, rig: Rig, working: WorkingTerms) -> Coverage:
    site = Site(
        field_id="f",
        ground=MultiPolygon([field]),
        rig=rig,
        working=working,
        guides=(LineString(guide),),
    )
    return cover(site)


@pytest.fixture(scope="module")
def upright() -> dict[str, Coverage]:
    """Filled by the first test that asks for it."""
    return {}


@pytest.mark.parametrize("degrees", [37.0, 90.0, 211.0])
def test_turned_and_moved_it_takes_the_same(
    degrees: float, rig: Rig, working: WorkingTerms, upright: dict[str, Coverage]
) -> None:
    """The same passes, ground and time."""
    first = upright.setdefault("first", _driven(FIELD, GUIDE, rig, working))
    moved = [
        shapely.affinity.translate(shapely.affinity.rotate(shape, degrees, origin=(0, 0)), 3000, -700)
        for shape in (FIELD, GUIDE)
    ]
    _alike(first, _driven(moved[0], moved[1], rig, working), rig)


def test_mirrored_it_takes_the_same(rig: Rig, working: WorkingTerms, upright: dict[str, Coverage]) -> None:
    """The same passes, ground and time."""
    first = upright.setdefault("first", _driven(FIELD, GUIDE, rig, working))
    mirrored = [shapely.affinity.scale(shape, xfact=-1, origin=(0, 0)) for shape in (FIELD, GUIDE)]
    _alike(first, _driven(mirrored[0], mirrored[1], rig, working), rig)


def _alike(one: Coverage, other: Coverage, rig: Rig) -> None:
    assert other.n_passes == one.n_passes
    assert other.audit.drilled_m2 == pytest.approx(one.audit.drilled_m2, rel=SAME_FRAC)
    assert route_s(other.legs, rig) == pytest.approx(route_s(one.legs, rig), rel=SAME_FRAC)


def test_a_straight_guide_is_driven_as_its_heading(rig: Rig, working: WorkingTerms) -> None:
    """A line drawn straight across takes what straight passes at its heading take, within half a pass."""
    guide = LineString([(-20, 40), (210, 52)])
    along = np.degrees(np.arctan2(230, 12))
    guided = _driven(FIELD, guide, rig, working)
    straight = cover(
        Site(
            field_id="f",
            ground=MultiPolygon([FIELD]),
            rig=rig,
            working=replace(working, heading_deg=float(along), pattern="straight"),
        )
    )
    assert abs(guided.n_passes - straight.n_passes) <= 1
    assert route_s(guided.legs, rig) == pytest.approx(route_s(straight.legs, rig), rel=0.03)


def test_more_ways_to_drive_never_cost_time(rig: Rig, working: WorkingTerms) -> None:
    """The best of all patterns takes no longer than straight passes, for what seed and missed ground are worth."""
    bowl = Polygon([(0, 0), *((x, 25 + (x - 100) ** 2 / 250) for x in range(0, 201, 10)), (200, 0)])
    ways = [
        cover(
            Site(
                field_id="f",
                ground=MultiPolygon([bowl]),
                rig=rig,
                working=replace(working, pattern=pattern),
            )
        )
        for pattern in ("best", "straight")
    ]
    best_s, straight_s = (route_s(way.legs, rig) for way in ways)
    assert best_s <= straight_s * (1 + 1e-9)


def test_ground_round_a_pond_takes_no_longer_than_rounds_alone(rig: Rig, working: WorkingTerms) -> None:
    """Its middle is far from both edges, but all of it is driven in ten rounds with next to no corners."""
    ring = Polygon(shapely.Point(0, 0).buffer(100, 48).difference(shapely.Point(5, 3).buffer(40, 32)))
    best_s, rounds_s, straight_s = (
        route_s(
            cover(
                Site(
                    field_id="f",
                    ground=MultiPolygon([ring]),
                    rig=rig,
                    working=replace(working, pattern=pattern),
                )
            ).legs,
            rig,
        )
        for pattern in ("best", "rounds", "straight")
    )
    assert rounds_s < 0.8 * straight_s
    assert best_s <= rounds_s * (1 + 1e-9)
