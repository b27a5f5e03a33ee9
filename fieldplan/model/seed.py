"""A seed mix as its tags describe it, and the seed a job needs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fieldplan.model.checks import require, require_between
from fieldplan.model.notes import Note

RateBasis = Literal["pls", "bulk", "live seeds", "stand"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """A seeding rate. ``value`` is kg/m² (pls, bulk), live seeds per m², or a fraction of a full stand."""

    value: float
    basis: RateBasis

    def __post_init__(self) -> None:
        """Check that something is sown."""
        require(0 < self.value < 1e6, "out-of-range", "rate is not above zero", 'such as "3.4 lb/ac PLS"')


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """One seed lot of a mix: its rate, its box and what its tag says."""

    species: str
    box: str
    rate: Rate
    purity_frac: float
    germination_frac: float
    hard_frac: float
    dormant_frac: float
    bulk_kg_per_m3: float
    bag_kg: float
    lot: str = ""
    seeds_per_kg: float | None = None
    full_stand_kg_per_m2: float | None = None

    def __post_init__(self) -> None:
        """Check ranges and that the tag's live shares stay within the seed they describe."""
        for name in ("purity", "germination", "hard", "dormant"):
            require_between(name, getattr(self, f"{name}_frac"), 0, 1, shown='from 0 % to 100 %, such as "85 %"')
        require(
            self.germination_frac + self.hard_frac + self.dormant_frac <= 1 + 1e-9,
            "tag-over-100",
            "germination, hard and dormant seed add to more than 100 %",
            "the tag's germination leaves out hard and dormant seed; check whether it was added in already",
        )
        require(
            self.pls_frac > 0,
            "tag-no-live-seed",
            "purity × live seed is zero",
            "check purity and germination",
        )
        require_between("bulk_weight", self.bulk_kg_per_m3, 5, 2000, shown='from 0.4 to 155 lb/bu, such as "8 lb/bu"')
        require_between("bag", self.bag_kg, 0.005, 2000, shown='from 5 g to 2 t, such as "50 lb"')

    @property
    def pls_frac(self) -> float:
        """Pure live seed: purity × (germination + hard + dormant)."""
        return self.purity_frac * min(1.0, self.germination_frac + self.hard_frac + self.dormant_frac)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """What is sown together, and how much more than that to order."""

    name: str
    components: tuple[Component, ...]
    overage_frac: float

    def __post_init__(self) -> None:
        """Check ranges."""
        require(
            len(self.components) > 0,
            "mix-empty",
            f'mix "{self.name}" has no component',
            "add [[mix.component]]",
        )
        require_between("overage", self.overage_frac, 0, 3, shown='from 0 % to 300 %, such as "5 %"')


@dataclass(frozen=True, slots=True, kw_only=True)
class SownComponent:
    """What one component puts on a field."""

    species: str
    lot: str
    sown_bulk_kg: float
    sown_pls_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxBudget:
    """What one box puts on a field, and what it takes for each square metre of a sowing."""

    box: str
    bulk_kg_per_m2: float
    volume_m3_per_m2: float
    working_m3: float
    least_m3: float
    components: tuple[SownComponent, ...]

    @property
    def sown_bulk_kg(self) -> float:
        """Bulk seed that goes in the ground."""
        return sum(component.sown_bulk_kg for component in self.components)

    @property
    def sown_pls_kg(self) -> float:
        """Pure live seed that goes in the ground."""
        return sum(component.sown_pls_kg for component in self.components)

    @property
    def bulk_kg_per_m3(self) -> float:
        """Weight of what the box holds, by volume."""
        return self.bulk_kg_per_m2 / self.volume_m3_per_m2

    @property
    def area_per_fill_m2(self) -> float:
        """Ground that one fill sows before the box reaches its least level."""
        return self.working_m3 / self.volume_m3_per_m2


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedBudget:
    """Seed for one field, box by box."""

    mix: str
    boxes: tuple[BoxBudget, ...]
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """What to buy of one lot for the whole job: need = sown + overage, ordered in whole bags."""

    species: str
    lot: str
    sown_kg: float
    need_kg: float
    bag_kg: float
    bags: int

    @property
    def ordered_kg(self) -> float:
        """Whole bags, in kg."""
        return self.bags * self.bag_kg

    @property
    def left_over_kg(self) -> float:
        """Ordered less sown."""
        return self.ordered_kg - self.sown_kg
