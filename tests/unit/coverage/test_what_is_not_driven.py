"""What changes hours alone is known by name: a field is driven the same whatever it is."""

from __future__ import annotations

import pickle
from dataclasses import fields, replace

import pytest
from conftest import SAMPLES
from shapely import MultiLineString, MultiPolygon, Polygon

from fieldplan.boundary.load import load_fields
from fieldplan.coverage.field import cover_field
from fieldplan.coverage.remembered import NOT_DRIVEN, driven_key
from fieldplan.model.field import ExcludedGround
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


def test_every_part_of_a_field_counts(job: Job) -> None:
    """Its ground, edges, guides and exclusions, each by itself, and which edges are which; a copy from another process
    has the same key.
    """
    edge = MultiLineString([FIELD.ground.geoms[0].exterior.coords[:2]])
    half = MultiPolygon([Polygon(FIELD.ground.geoms[0].exterior.coords[:3])])
    others = [
        replace(FIELD, ground=half),
        replace(FIELD, plantable=half),
        replace(FIELD, open_edges=edge),
        replace(FIELD, fenced_edges=edge),
        replace(FIELD, guides=tuple(edge.geoms)),
        replace(FIELD, excluded=(ExcludedGround(reason="pond", ground=half, area_m2=1.0),)),
        replace(FIELD, gate_lonlat=(-95.0, 44.0)),
    ]
    keys = [driven_key(one, job, 20_000.0) for one in (FIELD, *others)]
    assert len(set(keys)) == len(keys)
    copies = pickle.loads(pickle.dumps((FIELD, job)))
    assert driven_key(*copies, 20_000.0) == keys[0]


def test_all_else_counts(job: Job) -> None:
    """Another speed, fill or turning radius is another key."""
    faster = replace(job, working=replace(job.working, field_speed_m_per_s=1.0))
    tighter = replace(job, drill=replace(job.drill, turning_radius_m=4.0))
    keys = {driven_key(FIELD, one, 20_000.0) for one in (job, faster, tighter)}
    assert len(keys | {driven_key(FIELD, job, 10_000.0)}) == 4
