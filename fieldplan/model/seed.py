"""A seed mix as its tags describe it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from fieldplan.model.checks import require, require_between

TAG_ROUNDING_FRAC = 0.0011
"""The parts of a tag may miss 100 % by so much: each is rounded to a tenth or a hundredth of a percent."""
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
class Carrier:
    """Inert bulk, such as rice hulls, mixed with seed so that a box has enough volume to meter.

    ``volume_m3_per_m2`` is the volume of seed and carrier to reach; ``None`` is the least that the box meters.
    """

    name: str
    bulk_kg_per_m3: float
    volume_m3_per_m2: float | None = None

    def __post_init__(self) -> None:
        """Check ranges."""
        require_between("carrier weight", self.bulk_kg_per_m3, 5, 2000, shown='from 0.4 to 155 lb/bu, such as "9 lb/bu"')


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """Money for a kilogram of bulk seed, in a currency that is only shown, never converted."""

    per_kg: float
    currency: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """One seed lot of a mix: its rate, its box and what its tag says.

    ``inert_frac``, ``other_crop_frac`` and ``weed_frac`` are the rest of the tag, where it was given; with purity they make up
    the whole bag. ``coating_frac`` is a part of the inert share.
    """

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
    coating_frac: float = 0.0
    inert_frac: float | None = None
    other_crop_frac: float | None = None
    weed_frac: float | None = None
    price: Price | None = None
    tested: date | None = None
    treated: bool = False
    carrier: Carrier | None = None

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
        self._check_tag_parts()
        require(
            self.pls_frac > 0,
            "tag-no-live-seed",
            "purity × live seed is zero",
            "check purity and germination",
        )
        require_between("bulk_weight", self.bulk_kg_per_m3, 5, 2000, shown='from 0.4 to 155 lb/bu, such as "8 lb/bu"')
        require_between("bag", self.bag_kg, 0.005, 2000, shown='from 5 g to 2 t, such as "50 lb"')

    def _check_tag_parts(self) -> None:
        """Pure seed, other crop, inert matter and weed seed are the whole bag; coating counts as inert matter."""
        rest = (self.inert_frac, self.other_crop_frac, self.weed_frac)
        given = self.purity_frac + sum(share for share in rest if share is not None)
        require(
            given <= 1 + TAG_ROUNDING_FRAC and (None in rest or given >= 1 - TAG_ROUNDING_FRAC),
            "tag-parts",
            f"purity, other_crop, inert and weed_seed add to {given * 100:.2f} %, not to 100 %",
            "copy the four figures as they stand on the tag",
        )
        require(
            self.coating_frac <= 1 - self.purity_frac + TAG_ROUNDING_FRAC
            and (self.inert_frac is None or self.coating_frac <= self.inert_frac + TAG_ROUNDING_FRAC),
            "tag-coating",
            f"coating of {self.coating_frac * 100:.4g} % does not fit beside {self.purity_frac * 100:.4g} % pure seed",
            "coating is inert matter: purity must be the pure seed of the whole bag as the tag gives it",
        )

    @property
    def tag(self) -> tuple[object, ...]:
        """What must be the same wherever the lot is used: everything but its rate, its box and its carrier."""
        return (
            self.purity_frac, self.germination_frac, self.hard_frac, self.dormant_frac, self.bulk_kg_per_m3, self.bag_kg,
            self.coating_frac, self.price, self.tested, self.treated,
        )  # fmt: skip

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
