"""A finished plan: every number that any output may print.

What is reckoned from a plan, such as turns, lengths, headings and sums, is a property here, and outputs
take it from here: what was driven is told by the legs of the supply, which hold the trips to the seed, and
never by those of the coverage, which do not.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fieldplan.model.budget import (
    Batch,
    BoxBudget,
    BoxChange,
    CarrierLine,
    Delivery,
    OrderLine,
    RunOut,
    SeedBudget,
)
from fieldplan.model.cost import JobCost, TractorCheck
from fieldplan.model.coverage import Coverage
from fieldplan.model.field import Field
from fieldplan.model.job import Job
from fieldplan.model.notes import Note, Source
from fieldplan.model.seed import Depth
from fieldplan.model.totals import Totals
from fieldplan.model.work import Booking, FieldTime, JobTime, SeedSupply

MIN_SHARE_FRAC = 0.1
"""Headings of less of the passes' length than this are not named."""


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
        """Whether anything of the field is drilled; if not, a note says why, and there is no drive, no seed
        and no time.
        """
        return bool(self.coverage.legs)

    def loads_kg(self) -> tuple[tuple[BoxBudget, float], ...]:
        """Every load of every box, in the order they are tipped in: the box, and seed and carrier
        together.
        """
        return loads_kg(self.seed, self.supply)

    @property
    def totals(self) -> Totals:
        """Ground, driving and hours of the field."""
        audit, legs = self.coverage.audit, self.supply.legs
        length_m = {
            kind: sum(leg.length_m for leg in legs if leg.kind == kind)
            for kind in ("pass", "headland", "turn", "transfer")
        }
        return Totals(
            mapped_m2=self.field.mapped_m2,
            plantable_m2=self.field.plantable_m2,
            to_sow_m2=self.field.plantable_m2 * len(self.coverage.sowings),
            drilled_m2=audit.drilled_m2,
            overlap_m2=audit.overlap_m2,
            missed_m2=audit.missed_m2,
            outside_m2=audit.outside_m2,
            passes=self.coverage.n_passes,
            turns=sum(leg.kind == "turn" for leg in legs),
            refills=len(self.supply.refills),
            pass_m=length_m["pass"],
            headland_m=length_m["headland"],
            turn_m=length_m["turn"],
            transfer_m=length_m["transfer"],
            for_seed_m=self._for_seed_m(),
            time_parts=self.time.parts,
        )

    def _for_seed_m(self) -> float:
        """Ways to the seed and back: the transfers right before and after each stop."""
        legs = self.supply.legs
        stops = [i for i, leg in enumerate(legs) if leg.kind == "refill"]
        beside = {i for stop in stops for i in (stop - 1, stop + 1) if 0 <= i < len(legs)}
        return sum(legs[i].length_m for i in beside if legs[i].kind == "transfer")

    @property
    def fills(self) -> int:
        """Times the boxes are filled, the first load counted."""
        return 1 + len(self.supply.refills)

    @property
    def live_kg(self) -> float:
        """Pure live seed that goes in the ground, all boxes together."""
        return sum(box.sown_pls_kg for box in self.seed.boxes)

    @property
    def headings_deg(self) -> tuple[float, ...]:
        """True headings of the blocks with a tenth or more of the passes' length, longest first; those
        within a degree are one.
        """
        length_m: dict[int, float] = {}
        first: dict[int, float] = {}
        for block in (block for sowing in self.coverage.sowings for block in sowing.blocks):
            whole = round(block.heading_deg) % 180
            first.setdefault(whole, block.heading_deg)
            length_m[whole] = length_m.get(whole, 0.0) + block.runs.length_m
        min_m = MIN_SHARE_FRAC * sum(length_m.values())
        return tuple(
            first[whole]
            for whole in sorted(length_m, key=lambda one: -length_m[one])
            if length_m[whole] >= min_m
        )


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
    notes: tuple[Note, ...] = ()
    sources: tuple[Source, ...] = ()

    def run_out(self, mix: str, box: str) -> RunOut:
        """Where the seed of a box ends if it sows heavy: of the published degrees the one in the middle."""
        own = [run_out for run_out in self.run_outs if (run_out.mix, run_out.box) == (mix, box)]
        return own[len(own) // 2]

    @property
    def driven(self) -> tuple[FieldPlan, ...]:
        """The fields on which something is drilled."""
        return tuple(field for field in self.fields if field.is_drilled)

    @property
    def totals(self) -> Totals:
        """Ground, driving and hours of all fields together."""
        return Totals.of(field.totals for field in self.fields)

    @property
    def bags(self) -> int:
        """Bags to order, all lots together."""
        return sum(line.bags for line in self.order)
