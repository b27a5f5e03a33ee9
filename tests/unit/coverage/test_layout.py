"""The outline that a route is laid out on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import MultiPolygon, Polygon, box

from fieldplan.coverage.layout import MAX_HOLES, MAX_PARTS, gates_of, lay_out
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.errors import PlanError
from fieldplan.model.job import WorkingTerms


def _site(ground: Polygon | MultiPolygon, rig: Rig, working: WorkingTerms, **terms: object) -> Site:
    whole = ground if isinstance(ground, MultiPolygon) else MultiPolygon([ground])
    return Site(field_id="f", ground=whole, rig=rig, working=replace(working, **terms))  # type: ignore[arg-type]


def test_small_holes_are_driven_over_and_larger_ones_gone_round(rig: Rig, working: WorkingTerms) -> None:
    """Holes of 4 and of 100 m²; from 10 m² on they are gone round."""
    ground = box(0, 0, 200, 200).difference(box(50, 50, 52, 52)).difference(box(100, 100, 110, 110))
    layout = lay_out(_site(ground, rig, working, smallest_obstacle_m2=10.0))
    assert layout.n_driven_over == 1
    assert layout.around.area == pytest.approx(200 * 200 - 100)
    assert layout.thinned.area == pytest.approx(200 * 200 - 104)


def test_excluded_ground_is_gone_round_however_small(rig: Rig, working: WorkingTerms) -> None:
    """The same small hole, cut out because it must not be sown."""
    hole = box(50, 50, 52, 52)
    site = _site(box(0, 0, 200, 200).difference(hole), rig, working, smallest_obstacle_m2=10.0)
    layout = lay_out(replace(site, excluded=(MultiPolygon([hole]),)))
    assert layout.n_driven_over == 0
    assert layout.around.area == pytest.approx(200 * 200 - 4)


def test_the_ground_inside_the_headland_is_so_many_widths_in(rig: Rig, working: WorkingTerms) -> None:
    """Two rounds of 5 m in a rectangle of 100 m by 60 m leave 80 m by 40 m; one too narrow for them leaves
    nothing.
    """
    wide = replace(rig, width_m=5.0)
    (inner,) = lay_out(_site(box(0, 0, 100, 60), wide, working, headland_rounds=2)).inner()
    assert inner.bounds == pytest.approx((10, 10, 90, 50))
    assert lay_out(_site(box(0, 0, 100, 18), wide, working, headland_rounds=2)).inner() == []


def test_without_a_headland_all_ground_is_inner(rig: Rig, working: WorkingTerms) -> None:
    """Part by part; slivers of under a square metre are none."""
    parts = MultiPolygon([box(0, 0, 100, 60), box(0, 100, 100, 104), box(0, 200, 1, 200.5)])
    inner = lay_out(_site(parts, replace(rig, width_m=5.0), working, headland_rounds=0)).inner()
    assert sorted(part.area for part in inner) == pytest.approx([400, 6000])


def test_what_surrounds_the_passes_is_known_only_if_the_headland_is_sown_first(
    rig: Rig, working: WorkingTerms
) -> None:
    """Sown last, its segments follow from where the passes end."""
    first = lay_out(_site(box(0, 0, 100, 60), rig, working, headland_first=True))
    last = lay_out(_site(box(0, 0, 100, 60), rig, working, headland_first=False))
    assert first.surroundings is not None
    assert len(first.surroundings.gates) == 5
    assert (last.headland_first, last.surroundings) == (None, None)


def test_ground_of_too_many_parts_or_holes_is_refused(rig: Rig, working: WorkingTerms) -> None:
    """One more than a route can be planned over."""
    specks = MultiPolygon([box(i * 3, 0, i * 3 + 1, 1) for i in range(MAX_PARTS + 1)])
    with pytest.raises(PlanError) as found:
        lay_out(_site(specks, rig, working))
    (problem,) = found.value.problems
    assert (problem.code, problem.about) == ("field-scattered", 'field "f"')
    assert problem.values == {
        "n_parts": MAX_PARTS + 1,
        "n_holes": 0,
        "n_most_parts": MAX_PARTS,
        "n_most_holes": MAX_HOLES,
    }
    assert (
        problem.text
        == 'field "f" has 1,001 parts and 0 holes to go around; a route can be planned over at most 1,000 parts and 250 holes.'
    )


def test_rounds_are_those_asked_for_or_those_that_take_least_time(rig: Rig, working: WorkingTerms) -> None:
    """Seven if seven are asked for. Left open, a field hundreds of meters wide gets enough for a U turn, R + w/2
    less half a meter; a wider drill needs fewer.
    """
    field = box(0, 0, 400, 300)
    assert lay_out(_site(field, rig, working, headland_rounds=7)).n_rounds == 7
    n_rounds = lay_out(_site(field, rig, working)).n_rounds
    assert (n_rounds * rig.width_m) >= rig.radius_m + rig.width_m / 2 - 0.5
    assert lay_out(_site(field, replace(rig, width_m=6.0), working)).n_rounds < n_rounds


def test_any_corner_of_the_outline_may_be_a_gate() -> None:
    """Those of holes are none."""
    ring = box(0, 0, 10, 10).difference(box(4, 4, 6, 6))
    assert {tuple(place) for place in gates_of(MultiPolygon([ring]))} == {
        (0, 0),
        (10, 0),
        (10, 10),
        (0, 10),
    }


def test_outlines_noisier_than_a_centimeter_are_thinned_on(rig: Rig, working: WorkingTerms) -> None:
    """30,000 corners, each up to 5 cm off a circle."""
    turn = np.linspace(0, 2 * np.pi, 30_000, endpoint=False)
    reach = 300 + np.random.default_rng(1).uniform(-0.05, 0.05, len(turn))
    ragged = Polygon(np.column_stack([reach * np.cos(turn), reach * np.sin(turn)]))
    layout = lay_out(_site(ragged, rig, working, headland_rounds=0))
    assert 0.01 < layout.thinned_m <= 1.0
    assert layout.thinned.area == pytest.approx(ragged.area, rel=1e-3)
