"""Places beside a field where seed may stand, and trips to them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, MultiPolygon, Point, box

from fieldplan.coverage.cover import cover
from fieldplan.coverage.site import Site
from fieldplan.coverage.stands import Stands
from fieldplan.coverage.terms import Rig
from fieldplan.model.job import WorkingTerms

LARGE, SMALL = box(0, 0, 90, 90), box(200, 0, 230, 30)


@pytest.fixture
def stands(rig: Rig) -> Stands:
    """Those of two squares of 90 m and 30 m."""
    ground = MultiPolygon([LARGE, SMALL])
    return Stands(ground, ground, rig)


def test_places_along_the_edge_lie_evenly_on_every_part(stands: Stands) -> None:
    """Three places in four lie on the larger square, whose edge is three times as long."""
    places = [stand.at for stand in stands.along_edge()]
    on_large = [place for place in places if LARGE.exterior.distance(place) < 1e-9]
    assert (len(places), len(on_large)) == (32, 24)
    assert all(SMALL.exterior.distance(place) < 1e-9 for place in places if place not in on_large)


def test_places_beside_a_part_lie_on_its_own_edge(stands: Stands) -> None:
    """Seed for the smaller square stands at its edge."""
    places = [stand.at for stand in stands.beside(Point(210, 10))]
    assert max(SMALL.exterior.distance(place) for place in places) < 1e-9


def test_trips_lead_from_the_end_of_a_line_to_the_seed_and_from_there_to_the_start_of_another(
    stands: Stands,
) -> None:
    """From and to a line in the middle of the larger square; nothing leads outside."""
    stand, line = stands.at(Point(0, 0)), LineString([(45, 30), (45, 60)])
    (there,), (back,) = stand.to_seed([line]), stand.from_seed([line])
    ends = [leg.line.coords[nth] for leg in (there, back) for nth in (0, -1)]
    assert np.array(ends) == pytest.approx(np.array([(45, 60), (0, 0), (0, 0), (45, 30)]), abs=1e-6)
    assert "outside" not in (there.shape, back.shape)
    assert stand.to_seed([]) == []


def test_trips_keep_clear_of_a_ditch_that_is_sown_across(rig: Rig, working: WorkingTerms) -> None:
    """A slit of 4 m² is too small to go round while sowing; a lifted drill drives round it as round any fence."""
    slit = box(100, 4, 100.2, 14)
    field = MultiPolygon([box(0, 0, 240, 160).difference(slit)])
    drill = replace(rig, width_m=3.048)
    terms = replace(working, smallest_obstacle_m2=10.0, max_blocks=1)
    got = cover(Site(field_id="f", ground=field, rig=drill, working=terms))
    lines = [LineString([(20.0, y), (40.0, y)]) for y in (6.0, 9.0, 12.0)]
    trips = Stands.of(got, drill).at(Point(240, 9)).to_seed(lines)
    assert len(trips) == len(lines)
    for trip in trips:
        assert trip.shape != "outside"
        assert trip.line.distance(slit) > drill.width_m / 2 - 0.55
