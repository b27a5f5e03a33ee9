"""What few readers of a plan look at is worked out when it is read, and sent to another process as it was found."""

from __future__ import annotations

import pickle
from dataclasses import replace

import pytest
from conftest import SAMPLES
from shapely import MultiPolygon

from fieldplan import field_planner
from fieldplan.boundary.load import load_fields
from fieldplan.coverage import audit as auditing
from fieldplan.field_planner import covered_field, plan_field, planned
from fieldplan.model.job import Job
from fieldplan.model.plan import FieldPlan
from fieldplan.seed.carry_over import CarryOver

POND, SLIVER = load_fields(SAMPLES / "ponds.gpkg").fields


@pytest.fixture
def plan(job: Job) -> FieldPlan:
    """The plan of a field with a pond."""
    return plan_field(POND, job.mixes[0], job)


def test_a_plan_finds_no_sequence_draws_no_missed_ground_and_parts_no_overlap(
    monkeypatch: pytest.MonkeyPatch, job: Job
) -> None:
    """Of a field whose notes name no missed ground: only when somebody reads them."""
    found: list[str] = []
    for module, name in (
        (field_planner, "sequence_of"),
        (auditing, "_drawn"),
        (auditing, "_by_cause_m2"),
    ):
        own = getattr(module, name)
        monkeypatch.setattr(
            module, name, lambda *given, name=name, own=own: (found.append(name), own(*given))[1]
        )
    quick = replace(job, working=replace(job.working, search="quick", field_speed_m_per_s=1.9))
    plan = plan_field(POND, job.mixes[0], quick)
    assert len(plan.coverage.notes) > 1
    assert not {note.code for note in plan.coverage.notes} & {"ground-missed", "pockets-left"}
    assert found == []
    assert plan.sequence
    assert plan.coverage.audit.missed_ground.area == pytest.approx(plan.coverage.audit.missed_m2, rel=0.01)
    by_cause_m2 = plan.coverage.audit.overlap_by_cause_m2
    assert sum(by_cause_m2.values()) == pytest.approx(plan.coverage.audit.overlap_m2)
    assert plan.sequence is plan.sequence
    assert found == ["sequence_of", "_drawn", "_by_cause_m2"]


def test_a_plan_that_is_sent_holds_them(monkeypatch: pytest.MonkeyPatch, plan: FieldPlan) -> None:
    """The same at the other end, where nothing is worked out, and nothing is sent that they were found by."""
    packed = pickle.dumps(plan, pickle.HIGHEST_PROTOCOL)
    assert not any(name in packed for name in (b"sequence_of", b"Swept", b"HeadlandGround"))
    monkeypatch.delattr(auditing, "_drawn")
    monkeypatch.delattr(auditing, "_by_cause_m2")
    arrived: FieldPlan = pickle.loads(packed)
    assert arrived.sequence == plan.sequence != ()
    assert arrived.coverage.audit == plan.coverage.audit
    assert arrived.coverage.audit.missed_ground == plan.coverage.audit.missed_ground
    assert arrived.coverage.audit.overlap_by_cause_m2 == plan.coverage.audit.overlap_by_cause_m2
    assert arrived.totals == plan.totals
    again: FieldPlan = pickle.loads(pickle.dumps(arrived))
    assert again.sequence == plan.sequence


def test_missed_ground_is_drawn_for_the_note_that_names_a_place_in_it(
    monkeypatch: pytest.MonkeyPatch, job: Job
) -> None:
    """Once, and the place lies in its largest piece; notes of other kinds have none there."""
    drawn: list[MultiPolygon] = []
    own = auditing._drawn
    monkeypatch.setattr(auditing, "_drawn", lambda covered: (drawn.append(own(covered)), drawn[-1])[1])
    bare = replace(job, working=replace(job.working, search="quick", headland_rounds=0))
    covered = covered_field(SLIVER, job.mixes[0], bare)
    places = {note.code: dict(note.places) for note in covered.coverage.notes}
    largest = max(covered.coverage.audit.missed_ground.geoms, key=lambda piece: piece.area)
    inside = largest.representative_point()
    assert places["ground-missed"] == {"piece": covered.frame.point_to_lonlat(inside.x, inside.y)}
    assert places["search-quick"] == {}
    assert len(drawn) == 1


def test_a_field_that_one_fill_sows_has_no_room_for_trips_to_the_seed(job: Job) -> None:
    """It is made where there is a stop."""
    for field, stops in ((SLIVER, False), (POND, True)):
        covered = covered_field(field, job.mixes[0], job)
        plan = planned(covered, job, CarryOver(), {})
        assert bool(plan.supply.refills) == stops
        assert ("room" in vars(covered.stands)) == stops
