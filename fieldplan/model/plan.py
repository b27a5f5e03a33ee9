"""A finished plan: every number that any output may print."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.model.coverage import Coverage
from fieldplan.model.field import Field
from fieldplan.model.job import Job
from fieldplan.model.notes import Note, Source
from fieldplan.model.seed import OrderLine, SeedBudget
from fieldplan.model.work import Booking, FieldTime, JobTime, SeedSupply


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldPlan:
    """The plan of one field."""

    field: Field
    gate_lonlat: tuple[float, float]
    coverage: Coverage
    seed: SeedBudget
    supply: SeedSupply
    time: FieldTime


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The plan of a job: its fields, what to order, how long it takes and how long to book."""

    job: Job
    fields: tuple[FieldPlan, ...]
    order: tuple[OrderLine, ...]
    job_time: JobTime
    booking: Booking
    notes: tuple[Note, ...]
    sources: tuple[Source, ...]
