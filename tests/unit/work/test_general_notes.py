"""What is said of every plan's clock and sources."""

from __future__ import annotations

from dataclasses import replace

import pytest
from conftest import SAMPLES, TODAY

from fieldplan.boundary.load import load_fields
from fieldplan.model.job import Job
from fieldplan.model.notes import Note
from fieldplan.model.plan import Plan
from fieldplan.planner import plan_job
from fieldplan.work.general_notes import notes_of_every_plan
from fieldplan.work.sources import ALWAYS, published, sources_of


@pytest.fixture(scope="module")
def plan(job: Job) -> Plan:
    """The two fields of the sample ponds, checks of five minutes and breaks of twenty every three hours."""
    working = replace(job.working, tube_check_s=300.0, break_s=1200.0, break_every_s=10_800.0)
    return plan_job(load_fields(SAMPLES / "ponds.gpkg"), replace(job, working=working), today=TODAY)


def _clock(notes: list[Note]) -> str:
    return next(note.text for note in notes if note.code == "clock-leaves-out")


def test_the_clock_holds_what_was_counted(plan: Plan, job: Job) -> None:
    """Ten checks of 5 min and five breaks of 20: one check a fill, nine on the pond and one on the strip."""
    assert _clock(notes_of_every_plan(plan.job, plan.fields)) == (
        "The clock counts driving, turns, refills, 50 min of tube checks and 1.7 h of breaks. It does not count plugged tubes or breakdowns."
    )
    assert _clock(notes_of_every_plan(job, [])) == (
        "The clock counts driving, turns and refills. It does not count plugged tubes, tube checks, breaks or breakdowns."
    )


def test_breaks_that_were_asked_for_and_never_came_due_are_told(plan: Plan) -> None:
    """On the strip of half an hour no three hours are past."""
    sentence = _clock(notes_of_every_plan(plan.job, plan.fields[1:]))
    assert "5 min of tube checks. It does not count plugged tubes or breakdowns." in sentence
    assert sentence.endswith("No field takes long enough for a break (3.0 h of work), so none is counted.")


def test_spells_that_are_reckoned_with_are_not_left_out(job: Job) -> None:
    """The note on days by themselves goes where persistence is given."""
    spells = replace(job, booking=replace(job.booking, persistence_frac=0.3))
    assert "fit-days-independent" in {note.code for note in notes_of_every_plan(job, [])}
    assert "fit-days-independent" not in {note.code for note in notes_of_every_plan(spells, [])}


def test_the_handbook_s_range_is_that_of_its_standard(job: Job) -> None:
    """ASAE EP496.3: seeding and planting 65 to 70 %."""
    note = next(note for note in notes_of_every_plan(job, []) if note.code == "handbook-efficiency")
    assert (
        note.text
        == "Hours by the handbook use a field efficiency of 65 to 70 % for seeding (source: ep496)."
    )
    assert note.sources == ("ep496",)


def test_the_sources_of_a_plan_are_those_that_its_parts_carry(plan: Plan) -> None:
    """Of notes, cost, fuel and tractor, and those that every plan rests on; each once, in the order of
    keys, no unpublished ones.
    """
    known = sorted(published())
    note = Note(code="acres-flat", sources=(known[0], "assumed", "practice", "job file"))
    keys = [one.key for one in sources_of([note], plan.cost, plan.tractor)]
    own = {key for check in plan.tractor for key in check.sources} | {
        key for line in plan.cost.lines for key in line.sources
    }
    assert keys == sorted((own & published()) | set(plan.cost.fuel_sources) | ALWAYS | {known[0]})
    assert set(published()) >= ALWAYS


def test_fuel_has_a_source_even_where_its_price_is_not_known(plan: Plan) -> None:
    """The litres are told without a price; they are those of University of Missouri Extension G1208."""
    cost = replace(plan.cost, lines=())
    assert {one.key for one in sources_of([], cost, [])} == {*ALWAYS, "mu-g1208"}
