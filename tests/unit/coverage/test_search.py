"""How many routes are compared: a quick, a usual and a thorough search."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.coverage.choices import HEADING_STEP_DEG
from fieldplan.coverage.cover import cover
from fieldplan.coverage.route import route_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Coverage
from fieldplan.model.job import WorkingTerms

BENT = MultiPolygon([Polygon([(0, 0), (90, -12), (128, 55), (96, 60), (101, 118), (20, 92)])])
"""Small and not convex: few turns, and much depends on which of them fit."""
Covered = Callable[..., Coverage]


@pytest.fixture
def covered(rig: Rig, working: WorkingTerms) -> Covered:
    """Plans the field with terms of work."""

    def by(**terms: object) -> Coverage:
        return cover(Site(field_id="bent", ground=BENT, rig=rig, working=replace(working, **terms)))

    return by


def _codes(got: Coverage) -> set[str]:
    return {note.code for note in got.notes if note.code.startswith("search")}


def _weighed_s(got: Coverage, rig: Rig) -> float:
    """Time, and what more seed and missed ground are worth, as routes are compared by them."""
    sown_s = got.audit.drilled_m2 / rig.width_m / rig.field_speed_m_per_s
    missed_s = 30 * got.audit.missed_m2 / rig.width_m / rig.field_speed_m_per_s
    return route_s(got.legs, rig) + 0.5 * sown_s + missed_s


def test_no_heading_beats_a_thorough_search(covered: Covered, rig: Rig) -> None:
    """By more than half a percent, with what it sows and misses."""
    thorough = covered(search="thorough")
    assert _codes(thorough) == {"search-thorough"}
    headings = np.arange(0, 180, HEADING_STEP_DEG).tolist()
    least_s = min(_weighed_s(covered(heading_deg=heading), rig) for heading in headings)
    assert _weighed_s(thorough, rig) <= 1.005 * least_s


def test_a_longer_search_is_never_worse(covered: Covered, rig: Rig) -> None:
    """But for a thousandth: what is found first is kept where little is saved."""
    quick, usual, thorough = (covered(search=word) for word in ("quick", "usual", "thorough"))
    assert _weighed_s(usual, rig) <= 1.001 * _weighed_s(quick, rig)
    assert _weighed_s(thorough, rig) <= 1.001 * _weighed_s(usual, rig)


def test_a_quick_search_leaves_no_more_ground(covered: Covered) -> None:
    """And says that it was quick; the usual one says nothing."""
    quick, usual = covered(search="quick"), covered()
    assert (_codes(quick), _codes(usual)) == ({"search-quick"}, set())
    assert quick.search == "quick"
    assert quick.audit.missed_m2 <= usual.audit.missed_m2 + 0.005 * BENT.area


@pytest.mark.parametrize("terms", [{"heading_deg": 45.0}, {"pattern": "rounds"}])
def test_where_there_are_no_headings_to_compare_a_thorough_search_is_the_usual_one(
    covered: Covered, terms: dict[str, object]
) -> None:
    """A heading was given, or there are rounds alone."""
    usual, thorough = covered(**terms), covered(search="thorough", **terms)
    assert not _codes(thorough)
    assert [shapely.to_wkb(leg.line) for leg in thorough.legs] == [
        shapely.to_wkb(leg.line) for leg in usual.legs
    ]
