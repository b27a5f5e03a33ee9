"""A finished plan: every number that any output may print.

Whatever is calculated from a plan, such as turns, lengths, headings and sums, is a property here, so that
all outputs agree. Distances come from the legs of the supply, which include the trips to the seed, and
never from those of the coverage, which do not.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date
from functools import cached_property, partial
from typing import Any

from fieldplan.model.budget import (
    Batch,
    BoxBudget,
    BoxChange,
    CarrierLine,
    Delivery,
    OrderLine,
    RunOut,
    SeedBudget,
    SowOrders,
    TreatedSeed,
)
from fieldplan.model.cost import JobCost, TractorCheck
from fieldplan.model.coverage import Block, Coverage, LegKind, TurnShape
from fieldplan.model.depth import BoxDepth, Depth
from fieldplan.model.field import Field
from fieldplan.model.job import Job
from fieldplan.model.loads import LoadList
from fieldplan.model.notes import Note, Source
from fieldplan.model.relief import Hills
from fieldplan.model.sequence import Driven
from fieldplan.model.species import SpeciesFacts
from fieldplan.model.totals import Totals
from fieldplan.model.work import Booking, FieldTime, JobTime, SeedSupply

MIN_KG = 1e-6
"""Smaller weights count as nothing."""
MIN_SHARE_FRAC = 0.1
"""Headings with a smaller share of the length of all passes than this are not listed."""


def loads_kg(seed: SeedBudget, supply: SeedSupply) -> tuple[tuple[BoxBudget, float], ...]:
    """Every load of every box, in the order they are poured in.

    Returns
    -------
    tuple of (BoxBudget, float)
        The box, and the mass of seed and carrier together in kg.
    """
    loads = [supply.first_load_kg, *(refill.load_kg for refill in supply.refills)]
    return tuple((box, load[box.box]) for load in loads for box in seed.boxes)


@dataclass(frozen=True, slots=True, kw_only=True)
class StopOnClock:
    """When a refill stop begins on the clock of its field, what is drilled by then, and how much time is left with it."""

    start_s: float
    drilled_m2: float
    left_s: float


@dataclass(frozen=True, kw_only=True)
class FieldPlan:
    """The plan of one field: coverage, seed, refills and time."""

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
    box_depths: tuple[BoxDepth, ...] = ()
    """Of the species whose depth is published, shallowest first."""
    further_stands_lonlat: tuple[tuple[float, float], ...] = ()
    """Where seed is brought to further parts of the field: openings of its edge, as the gate is."""
    treated: tuple[TreatedSeed, ...] = ()
    """Treated seed that is sown here, or that earlier fields left in boxes or bags."""
    hills: Hills | None = None
    """How steep the field is, and how its passes rise and fall, where heights are known."""
    finds_sequence: Callable[[], tuple[Driven, ...]] = dataclass_field(
        default=tuple, compare=False, repr=False
    )
    """Finds the sequence: a region or a season of many plans never asks for it."""

    @cached_property
    def sequence(self) -> tuple[Driven, ...]:
        """The order of rounds and passes, as a driver follows it without guidance."""
        return self.finds_sequence()

    def __getstate__(self) -> dict[str, Any]:
        """What is sent to another process: the sequence itself, so that it is found once."""
        return vars(self) | {"finds_sequence": partial(tuple, self.sequence)}

    @property
    def changing_s(self) -> float:
        """Time of the box changes before the field."""
        return sum(change.takes_s for change in self.box_changes)

    @property
    def is_drilled(self) -> bool:
        """Whether anything is drilled; if not, a note says why, and there is no route, seed or time."""
        return bool(self.coverage.legs)

    def loads_kg(self) -> tuple[tuple[BoxBudget, float], ...]:
        """Every load of every box in the order they are poured in, as the function `loads_kg` has them."""
        return loads_kg(self.seed, self.supply)

    @cached_property
    def totals(self) -> Totals:
        """Ground, driving and hours of the field."""
        audit, legs = self.coverage.audit, self.supply.legs
        length_m: dict[LegKind, float] = dict.fromkeys(("pass", "headland", "turn", "transfer"), 0)
        for leg in legs:
            if leg.kind in length_m:
                length_m[leg.kind] += leg.length_m
        turns = [leg for leg in legs if leg.kind == "turn"]
        return Totals(
            mapped_m2=self.field.mapped_m2,
            plantable_m2=self.field.plantable_m2,
            to_sow_m2=self.field.plantable_m2 * len(self.coverage.sowings),
            drilled_m2=audit.drilled_m2,
            overlap_m2=audit.overlap_m2,
            missed_m2=audit.missed_m2,
            outside_m2=audit.outside_m2,
            passes=self.coverage.n_passes,
            turns=len(turns),
            backing=sum(leg.shape == "backing" for leg in turns),
            refills=len(self.supply.refills),
            pass_m=length_m["pass"],
            headland_m=length_m["headland"],
            turn_m=length_m["turn"],
            reverse_m=sum(leg.reverse_m for leg in legs),
            transfer_m=length_m["transfer"],
            for_seed_m=self._for_seed_m(),
            time_parts=self.time.parts,
        )

    @property
    def at_stops(self) -> tuple[StopOnClock, ...]:
        """What the clock and the acre meter say when each refill stop begins."""
        found, sown_m = [], 0.0
        for timed in self.time.legs:
            if timed.leg.kind == "refill":
                drilled_m2 = sown_m * self.coverage.drill_width_m
                left_s = self.time.field_s - timed.start_s
                found.append(StopOnClock(start_s=timed.start_s, drilled_m2=drilled_m2, left_s=left_s))
            elif timed.leg.sown:
                sown_m += timed.leg.length_m
        return tuple(found)

    @property
    def turn_shapes(self) -> dict[TurnShape, int]:
        """Number of turns of each shape, the commonest first; a trip to the seed stands for the turn there."""
        return dict(Counter(leg.shape for leg in self.supply.legs if leg.kind == "turn").most_common())

    def _for_seed_m(self) -> float:
        """Distance to the seed and back: the transfers right before and after each refill stop."""
        legs = self.supply.legs
        stops = [refill.leg - 1 for refill in self.supply.refills]
        beside = {i for stop in stops for i in (stop - 1, stop + 1) if 0 <= i < len(legs)}
        return sum(legs[i].length_m for i in beside if legs[i].kind == "transfer")

    @property
    def fills(self) -> int:
        """How often the boxes are filled, including the first load."""
        return 1 + len(self.supply.refills)

    @property
    def live_kg(self) -> float:
        """Pure live seed (PLS) that goes in the ground, all boxes together."""
        return sum(box.sown_pls_kg for box in self.seed.boxes)

    @property
    def headings_deg(self) -> tuple[float, ...]:
        """True headings of the passes, in [0, 180), with the greatest sown length first.

        Headings that round to the same degree are one; those with less than a tenth of the length are left
        out.
        """
        blocks = [(block, block.heading_deg) for block in self._blocks]
        return tuple(heading_deg for heading_deg in _by_length(blocks) if heading_deg is not None)

    @property
    def ways(self) -> tuple[float | None, ...]:
        """As `headings_deg`, but for passes that follow a curve: these together are ``None``."""
        return _by_length([(block, None if block.curves else block.heading_deg) for block in self._blocks])

    @property
    def _blocks(self) -> list[Block]:
        return [block for sowing in self.coverage.sowings for block in sowing.blocks]


def _by_length(blocks: Sequence[tuple[Block, float | None]]) -> tuple[float | None, ...]:
    """The ways of blocks, with the greatest sown length first; those that round to the same degree are one."""
    length_m: dict[int | None, float] = {}
    first: dict[int | None, float | None] = {}
    for block, way_deg in blocks:
        whole_deg = None if way_deg is None else round(way_deg) % 180
        first.setdefault(whole_deg, way_deg)
        length_m[whole_deg] = length_m.get(whole_deg, 0.0) + block.runs.length_m
    min_m = MIN_SHARE_FRAC * sum(length_m.values())
    return tuple(
        first[whole_deg]
        for whole_deg in sorted(length_m, key=lambda degree: -length_m[degree])
        if length_m[whole_deg] >= min_m
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
    sow_orders: SowOrders | None = None
    loads: LoadList = dataclass_field(default_factory=LoadList)
    notes: tuple[Note, ...] = ()
    sources: tuple[Source, ...] = ()
    species: tuple[SpeciesFacts, ...] = ()

    def run_out(self, mix: str, box: str) -> RunOut:
        """Where the seed of a box runs out if it sows too much, by the middle of the published excesses."""
        of_box = [run_out for run_out in self.run_outs if (run_out.mix, run_out.box) == (mix, box)]
        return of_box[len(of_box) // 2]

    @property
    def driven(self) -> tuple[FieldPlan, ...]:
        """The fields on which something is drilled."""
        return tuple(field for field in self.fields if field.is_drilled)

    @property
    def totals(self) -> Totals:
        """Ground, driving and hours of all fields together."""
        return Totals.of(field.totals for field in self.fields)

    @property
    def emptied_last(self) -> tuple[BoxChange, ...]:
        """What is left in each box after the last field that uses it, to be emptied before the drill goes back."""
        last = {box.box: (field, box) for field in self.fields for box in field.seed.boxes}
        return tuple(
            BoxChange(
                box=name,
                kind="empty last",
                mix=field.seed.mix,
                kg=kg,
                portions=box.portions(kg),
                treated=box.treated,
            )
            for name, (field, box) in last.items()
            if (kg := field.supply.left_kg[name]) > MIN_KG or box.treated
        )

    @property
    def bags(self) -> int:
        """Bags to order, all lots together."""
        return sum(line.bags for line in self.order)
