"""What changes hours alone is known by name: a field is driven the same whatever it is."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest
from conftest import SAMPLES

from fieldplan.boundary.load import load_fields
from fieldplan.coverage.field import cover_field
from fieldplan.coverage.remembered import NOT_DRIVEN, driven_key
from fieldplan.model.job import Job, WorkingTerms
from fieldplan.plane.frame import frame_near

FIELD = load_fields(SAMPLES / "ponds.gpkg").fields[0]


def _other(value: object) -> object:
    """Another value of the same kind."""
    return not value if isinstance(value, bool) else float(value) * 2 + 0.5  # type: ignore[arg-type]


@pytest.mark.parametrize("name", sorted(NOT_DRIVEN))
def test_a_field_is_driven_the_same(name: str, job: Job) -> None:
    """By the whole route, and so by its key."""
    changed = replace(job, working=replace(job.working, **{name: _other(getattr(job.working, name))}))
    frame = frame_near(FIELD.ground)
    before, after = (cover_field(FIELD, one, frame, 20_000.0) for one in (job, changed))
    assert [leg.line.wkb for leg in before.legs] == [leg.line.wkb for leg in after.legs]
    assert before.notes == after.notes
    assert driven_key(FIELD, job, 20_000.0) == driven_key(FIELD, changed, 20_000.0)


def test_every_name_is_one_of_the_terms() -> None:
    """None is left behind when a term goes."""
    assert {one.name for one in fields(WorkingTerms)} >= NOT_DRIVEN


def test_all_else_counts(job: Job) -> None:
    """Another speed, fill or turning radius is another key."""
    faster = replace(job, working=replace(job.working, field_speed_m_per_s=1.0))
    tighter = replace(job, drill=replace(job.drill, turning_radius_m=4.0))
    keys = {driven_key(FIELD, one, 20_000.0) for one in (job, faster, tighter)}
    assert len(keys | {driven_key(FIELD, job, 10_000.0)}) == 4
