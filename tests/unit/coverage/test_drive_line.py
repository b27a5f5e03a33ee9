"""The line to drive along an outline with jags."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from conftest import SAMPLES
from shapely import MultiPolygon, Polygon, box

from fieldplan.coverage.cover import cover
from fieldplan.coverage.drive_line import MOST_W, drive_lines
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.jobfile.load import load_job
from fieldplan.model.coverage import Coverage

JOB = load_job(SAMPLES / "farm.toml")
RIG = Rig.of(JOB)
STEP_M = 1.5


def _in_steps() -> MultiPolygon:
    """A field of a hectare whose southern and northern edges are stairs."""
    along = np.arange(0, 160, 5.0)
    south = [point for x in along for point in ((x, x / 5 * STEP_M), (x + 5, x / 5 * STEP_M))]
    north = [(x, y + 70) for x, y in reversed(south)]
    return MultiPolygon([Polygon([*south, *north])])


def _site(ground: MultiPolygon, *, marked: bool = False) -> Site:
    return Site(field_id="f", ground=ground, rig=RIG, working=JOB.working, edge_marked=marked)


@pytest.fixture(scope="module")
def driven() -> Coverage:
    """The field in steps."""
    return cover(_site(_in_steps()))


def test_a_line_takes_less_time_than_the_steps(driven: Coverage) -> None:
    """Less than half of what following them takes, and the plan tells how far it lies from them."""
    smooth = cover(_site(MultiPolygon([Polygon([(0, 0), (160, 46.5), (160, 116.5), (0, 70)])])))
    assert route_s(driven.legs, RIG) < 1.1 * route_s(smooth.legs, RIG)
    assert 0 < driven.edge_tolerance_m <= MOST_W * RIG.width_m
    assert "outline-jagged" in [note.code for note in driven.notes]


def test_the_audit_is_of_the_true_outline(driven: Coverage) -> None:
    """Plantable ground is that within the steps; what is missed and sown outside beside them closes the sum."""
    audit = driven.audit
    assert audit.plantable_m2 == pytest.approx(_in_steps().area)
    total_m2 = audit.drilled_m2 - audit.overlap_m2 - audit.outside_m2 + audit.missed_m2
    assert total_m2 == pytest.approx(audit.plantable_m2, rel=1e-6)
    assert audit.missed_m2 + audit.outside_m2 > 0


def test_the_line_lies_inside_where_somebody_marked_the_edge() -> None:
    """Half a step outside elsewhere: an outline in steps knows no better."""
    free, marked = (
        next(drive_lines(_site(_in_steps(), marked=marked), _in_steps())) for marked in (False, True)
    )
    assert free.outside_m == pytest.approx(STEP_M / 2)
    assert marked.outside_m == 0
    assert marked.ground.difference(_in_steps()).area < 1e-6


def test_clean_fields_have_no_other_line() -> None:
    """A rectangle, and one with a real notch, are driven as they are."""
    for ground in (box(0, 0, 300, 200), box(0, 0, 300, 200) - box(100, 0, 180, 60)):
        coverage = cover(_site(MultiPolygon([ground])))
        assert coverage.edge_tolerance_m == 0
        assert coverage.drive_line.is_empty


def test_given_rounds_stay(driven: Coverage) -> None:
    """A number of rounds that the job file gives is driven along the line, too."""
    working = replace(JOB.working, headland_rounds=2)
    coverage = cover(Site(field_id="f", ground=_in_steps(), rig=RIG, working=working))
    assert coverage.headland_rounds == 2
    assert shapely.get_num_coordinates(coverage.drive_line) == shapely.get_num_coordinates(
        driven.drive_line
    )
