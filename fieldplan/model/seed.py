"""A seed mix as its tags describe it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from fieldplan.model.checks import require, require_between

TAG_ROUNDING_FRAC = 0.0011
"""The parts of a tag may miss 100 % by so much: each is rounded to a tenth or a hundredth of a percent."""
RateBasis = Literal["pls", "bulk", "live seeds", "stand"]
_MASS_RATES = (1e-8, 0.3, 'from 0.0001 to 2,600 lb/ac, such as "3.4 lb/ac PLS"')
_RATES = {
    "pls": _MASS_RATES,
    "bulk": _MASS_RATES,
    "live seeds": (0.01, 1e5, 'from 0.001 to 9,000 seeds/ft2, such as "12 seeds/ft2"'),
    "stand": (1e-4, 5.0, 'from 0.01 % to 500 % of a full stand, such as "25 % of stand"'),
}
MOST_VOLUME_M3_PER_M2 = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth:
    """Published depth of one species, in m, and the key of its source."""

    species: str
    least_m: float
    most_m: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """A seeding rate. ``value`` is kg/m² (pls, bulk), live seeds per m², or a fraction of a full stand."""

    value: float
    basis: RateBasis

    def __post_init__(self) -> None:
        """Check that it is a rate that a drill could sow."""
        low, high, shown = _RATES[self.basis]
        require_between("rate", self.value, low, high, shown=shown)


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
        if self.volume_m3_per_m2 is not None:
            require_between("carrier volume", self.volume_m3_per_m2, 0, MOST_VOLUME_M3_PER_M2, above_low=True,
                            shown='above 0 and up to 114 bu/ac, such as "2 bu/ac"')  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """Money for a kilogram of bulk seed, in a currency that is only shown, never converted."""

    per_kg: float
    currency: str

    def __post_init__(self) -> None:
        """Check range."""
        require_between("price", self.per_kg, 0, 1e7, shown='from nothing to 10 million a kilogram, such as "$5.20/lb"')


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """One seed lot of a mix: its rate, its box and what its tag says.

    ``inert_frac``, ``other_crop_frac`` and ``weed_frac`` are the rest of the tag, where it was given; with purity they make up
    the whole bag. ``coating_frac`` is a part of the inert share. ``meant`` names figures that are said to be meant, however
    unlikely; ``unlikely`` those that are unlikely and were not.
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
    meant: frozenset[str] = frozenset()
    unlikely: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Check ranges and that the tag's live shares stay within the seed they describe."""
        for name in ("purity", "germination", "hard", "dormant", "coating", "inert", "other_crop", "weed"):
            share = getattr(self, f"{name}_frac")
            if share is not None:
                require_between("weed_seed" if name == "weed" else name, share, 0, 1, shown='from 0 % to 100 %, such as "85 %"')
        if self.seeds_per_kg is not None:
            require_between("seeds_per_pound", self.seeds_per_kg, 20, 5e7, shown="from 10 to 20 million, such as 255000")
        require(
            self.germination_frac + self.hard_frac + self.dormant_frac <= 1 + 1e-9,
            "tag-over-100",
            "germination, hard and dormant seed add to more than 100 %",
            "the tag's germination leaves out hard and dormant seed; check whether it was added in already",
        )
        self._check_tag_parts()
        require(
            self.pls_frac >= 0.001,
            "tag-no-live-seed",
            "purity × live seed is under 0.1 %",
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

    def same_tag(self, other: Component) -> bool:
        """Whether two uses of a lot agree in all that a tag says; what only one of them says is no contradiction."""
        names = (
            "purity_frac", "germination_frac", "hard_frac", "dormant_frac", "bulk_kg_per_m3", "bag_kg", "coating_frac", "price",
            "tested", "treated", "seeds_per_kg", "inert_frac", "other_crop_frac", "weed_frac",
        )  # fmt: skip
        pairs = [(getattr(self, name), getattr(other, name)) for name in names]
        return all(mine == its for mine, its in pairs if mine is not None and its is not None)

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
        lots = [(one.species, one.lot) for one in self.components]
        twice = next((one for one in lots if lots.count(one) > 1), None)
        require(
            twice is None,
            "lot-twice-in-mix",
            f'mix "{self.name}" names {"" if twice is None else " ".join(twice).strip()} twice',
            "name a lot once in a mix; where it goes in two boxes, give the second a lot name of its own",
        )
        for box in {one.box for one in self.components}:
            carriers = {one.carrier for one in self.components if one.box == box and one.carrier is not None}
            require(
                len(carriers) <= 1,
                "carriers-differ",
                f'mix "{self.name}" gives the {box} box two different carriers',
                "name the carrier at one component of the box, or the same at each",
            )
        require_between("overage", self.overage_frac, 0, 3, shown='from 0 % to 300 %, such as "5 %"')
