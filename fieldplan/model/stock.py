"""Seed on the shelf: what came in and went out of each lot, and what is left."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Literal

Kind = Literal["bought", "drawn", "returned", "tested", "opened", "moved", "counted", "discarded"]
KINDS: Mapping[Kind, str] = {
    "bought": "seed that came in, with its tag",
    "drawn": "seed taken for a job",
    "returned": "seed that a job gave back",
    "tested": "a new tag: tested, and what changed of germination, hard, dormant, purity",
    "opened": "a bag was opened",
    "moved": "kept elsewhere",
    "counted": "what the scale says is left",
    "discarded": "seed thrown away, fed or given away",
}
WEIGHED: tuple[Kind, ...] = ("bought", "drawn", "returned", "counted", "discarded")
"""Kinds of entries with a weight."""
OF_A_JOB: tuple[Kind, ...] = ("drawn", "returned")
Lot = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Movement:
    """One row of the stock file.

    Parameters
    ----------
    row
        Its row in the file; the header is 1.
    entry
        The number of the write that it came with; 0 for rows that a person added.
    weight_kg
        As written; 0 for kinds without a weight.
    left_kg
        What the row says is left after it; ``None`` if it does not say.
    tag
        Cells that hold what a tag says, as keys of ``[[mix.component]]``.
    metric
        Whether its weight is written in kilograms or grams.
    """

    row: int
    entry: int
    day: date
    kind: Kind
    species: str
    lot: str
    weight_kg: float
    tag: Mapping[str, str]
    left_kg: float | None = None
    job: str = ""
    kept: str = ""
    metric: bool = False

    @property
    def key(self) -> Lot:
        """Species and lot."""
        return self.species, self.lot


@dataclass(frozen=True, slots=True, kw_only=True)
class LotOnShelf:
    """A lot as the rows up to now leave it.

    bought + returned + counted − drawn − discarded = left, where counted is the sum of all corrections by
    weighing.

    Parameters
    ----------
    opened
        The day that a bag of it was first opened or drawn from.
    tested, retest_by
        The day of the test on its tag, and the last day that the test is good for.
    tag
        What its tag says, as last written.
    by_job
        What each job holds of it: drawn less returned.
    """

    species: str
    lot: str
    bought_kg: float
    drawn_kg: float
    returned_kg: float
    discarded_kg: float
    counted_kg: float
    first_day: date
    opened: date | None
    tested: date | None
    retest_by: date | None
    kept: str
    tag: Mapping[str, str]
    by_job: Mapping[str, float]

    @property
    def left_kg(self) -> float:
        """What is left of it."""
        return self.bought_kg + self.returned_kg + self.counted_kg - self.drawn_kg - self.discarded_kg

    @property
    def key(self) -> Lot:
        """Species and lot."""
        return self.species, self.lot


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """All lots of a stock file, in the order of their first rows."""

    path: Path
    movements: tuple[Movement, ...]
    lots: tuple[LotOnShelf, ...]

    def of_species(self, species: str) -> tuple[LotOnShelf, ...]:
        """Lots of a species with seed left: those opened first, then by the day they came."""
        held = [lot for lot in self.lots if lot.species == species and lot.left_kg > 0]
        return tuple(
            sorted(held, key=lambda lot: (lot.opened is None, lot.opened or lot.first_day, lot.first_day))
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """One lot in a sequence of lots that are sown one after the other at the same rate of live seed.

    Parameters
    ----------
    ground_m2
        Ground that it is for.
    bulk_kg_per_m2
        Its rate by bulk weight, with its own tag.
    change_frac
        By how much that differs from the rate of the lot that was planned: 0.08 is 8 % more.
    on_shelf
        Whether it is seed in stock; otherwise it must be bought.
    """

    species: str
    lot: str
    ground_m2: float
    bulk_kg: float
    bulk_kg_per_m2: float
    change_frac: float
    on_shelf: bool
    bags: int = 0
    bag_kg: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Sequence:
    """Lots for what a job needs of one planned lot: "LB-1, then LB-2".

    Parameters
    ----------
    need_kg
        What the job needs of the planned lot, by its own tag.
    turns
        In the order in which they are sown; what must be bought comes last.
    passed_over
        Lots of the species that are left aside, since the stock file lacks their tag.
    """

    species: str
    lot: str
    need_kg: float
    turns: tuple[Turn, ...]
    passed_over: tuple[str, ...] = ()

    @property
    def buy_kg(self) -> float:
        """Bulk seed that must be bought."""
        return sum(turn.bulk_kg for turn in self.turns if not turn.on_shelf)
