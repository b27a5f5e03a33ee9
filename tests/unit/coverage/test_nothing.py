"""Fields that nothing is drilled on, and why."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import MultiPolygon, Point, box

from fieldplan.coverage.astray import FARTHEST_M, places_kept
from fieldplan.coverage.cover import cover
from fieldplan.coverage.nothing import nothing_driven, parts_missed, why_nothing
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.errors import PlanError, problem
from fieldplan.model.field import Acreage, Field
from fieldplan.model.job import FieldTerms, WorkingTerms
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence

GROUND = MultiPolygon([box(0, 0, 100, 2)])


def test_all_ground_is_missed_once_a_sowing() -> None:
    """200 m² sown twice: 400 m² missed, and the audit closes."""
    audit = nothing_driven(GROUND, 3.0, 2, Point(0, 0), ()).audit
    assert (audit.plantable_m2, audit.missed_m2, audit.drilled_m2, audit.outside_m2) == (200, 400, 0, 0)


def test_a_narrow_field_says_how_wide_it_is() -> None:
    """2 m at the widest, under the code of the problem."""
    note = why_nothing("f", problem("field-too-narrow", drill_width_m=3.0), GROUND)
    assert (note.code, note.field_id, note.warning) == ("field-too-narrow", "f", True)
    assert note.values == {"drill_width_m": 3.0, "widest_m": pytest.approx(2, abs=0.01), "missed_m2": 200}
    assert "3.00 m wide, fits: the ground is at most 2.00 m wide" in sentence(note, Quantities("metric"))


@pytest.mark.parametrize(
    ("code", "values"),
    [
        ("field-too-narrow", {"drill_width_m": 3.0}),
        ("field-scattered", {"n_parts": 2, "n_holes": 300, "n_most_parts": 1, "n_most_holes": 9}),
    ],
)
def test_every_reason_for_no_drive_has_words_as_a_warning(code: str, values: dict[str, float]) -> None:
    """The figures of the problem and the ground that is missed stand in it."""
    assert "all of its ground (0.0494 ac) is missed" in sentence(
        why_nothing("f", problem(code, **values), GROUND), Quantities()
    )


def test_a_part_without_a_pass_is_warned_of(rig: Rig, working: WorkingTerms) -> None:
    """One part of two is narrower than the drill."""
    two = MultiPolygon([box(0, 0, 100, 60), box(0, 200, 100, 201)])
    got = cover(Site(field_id="f", ground=two, rig=rig, working=working))
    (note,) = parts_missed("f", got)
    assert note.values == {"n_missed": 1, "n_parts": 2, "parts_m2": pytest.approx(100)}
    whole = cover(Site(field_id="f", ground=MultiPolygon([box(0, 0, 100, 60)]), rig=rig, working=working))
    assert parts_missed("f", whole) == ()


def test_the_problem_says_the_drill_in_both_units(rig: Rig, working: WorkingTerms) -> None:
    """Raised to whoever has no units of their own."""
    with pytest.raises(
        PlanError, match=r'^field "f" is nowhere as wide as the drill \(10\.0 ft \(3\.0 m\)\)\.$'
    ):
        cover(Site(field_id="f", ground=MultiPolygon([box(0, 0, 1.0, 40.0)]), rig=rig, working=working))


def test_places_far_from_the_field_are_left_aside() -> None:
    """A degree of latitude away is 111 km; beside the field they are kept."""
    ground = MultiPolygon([box(-95.5, 44.5, -95.49, 44.51)])
    field = Field(
        field_id="f",
        name="",
        ground=ground,
        mapped_m2=1.0,
        plantable=ground,
        acreage=Acreage(web_mercator_m2=1.0, own_coordinates_m2=None, own_coordinates_name=""),
    )
    here, far = (-95.5, 44.5), (-95.5, 45.6)
    terms, notes = places_kept(field, FieldTerms(gate=far, seed_at=here))
    assert (terms.gate, terms.seed_at) == (None, here)
    (note,) = notes
    assert (note.code, note.warning) == ("gate-astray", True)
    assert note.values["away_m"] == pytest.approx(1.09 * 111_000, rel=0.01)
    both, notes = places_kept(field, replace(terms, gate=far, seed_at=far))
    assert (both.gate, both.seed_at, [note.code for note in notes]) == (
        None,
        None,
        ["gate-astray", "seed-astray"],
    )
    assert FARTHEST_M < 111_000
