"""A finished plan: every number that any output may print."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fieldplan.model.budget import Batch, BoxBudget, BoxChange, CarrierLine, Delivery, OrderLine, RunOut, SeedBudget
from fieldplan.model.cost import JobCost, TractorCheck
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import Field
from fieldplan.model.job import Job
from fieldplan.model.notes import Note, Source
from fieldplan.model.seed import Depth
from fieldplan.model.work import Booking, FieldTime, JobTime, SeedSupply


def loads_kg(seed: SeedBudget, supply: SeedSupply) -> tuple[tuple[BoxBudget, float], ...]:
    """Every load of every box, in the order they are tipped in: the box, and seed and carrier together."""
    loads = [supply.first_load_kg, *(refill.load_kg for refill in supply.refills)]
    return tuple((box, load[box.box]) for load in loads for box in seed.boxes)


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldPlan:
    """The plan of one field."""

    field: Field
    gate_lonlat: tuple[float, float]
    coverage: Coverage
    seed: SeedBudget
    supply: SeedSupply
    time: FieldTime
    deliveries: tuple[Delivery, ...]
    batches: tuple[Batch, ...]
    box_changes: tuple[BoxChange, ...]
    depths: tuple[Depth, ...] = ()
    """Of the species whose depth is published, shallowest first."""

    @property
    def is_drilled(self) -> bool:
        """Whether anything of the field is drilled; if not, a note says why, and there is no drive, no seed and no time."""
        return bool(self.coverage.legs)

    def loads_kg(self) -> tuple[tuple[BoxBudget, float], ...]:
        """Every load of every box, in the order they are tipped in: the box, and seed and carrier together."""
        return loads_kg(self.seed, self.supply)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The plan of a job: its fields, what to order, how long it takes and how long to book."""

    job: Job
    today: date
    fields: tuple[FieldPlan, ...]
    order: tuple[OrderLine, ...]
    carriers: tuple[CarrierLine, ...]
    run_outs: tuple[RunOut, ...]
    job_time: JobTime
    booking: Booking
    cost: JobCost
    tractor: tuple[TractorCheck, ...]
    notes: tuple[Note, ...]
    sources: tuple[Source, ...]
