"""The seed a job takes: what goes in the ground from each box, what to load, to label and to order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fieldplan.model.notes import Note
from fieldplan.model.seed import Price


@dataclass(frozen=True, slots=True, kw_only=True)
class SownComponent:
    """What one component puts on a field: its rates and its sums."""

    species: str
    lot: str
    bulk_kg_per_m2: float
    pls_kg_per_m2: float
    sown_bulk_kg: float
    sown_pls_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """A weighed amount of one lot, or of a ``carrier``, of which nothing is live."""

    species: str
    lot: str
    bulk_kg: float
    pls_kg: float
    carrier: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxBudget:
    """What one box puts on a field, and what it takes for each square metre of a sowing.

    ``bulk_kg_per_m2`` is seed; ``carrier_kg_per_m2`` comes on top, and ``volume_m3_per_m2`` holds both.
    ``swept`` and ``min_m3`` are as in `SeedBox`.
    """

    box: str
    bulk_kg_per_m2: float
    volume_m3_per_m2: float
    working_m3: float
    min_m3: float
    components: tuple[SownComponent, ...]
    swept: bool = False
    carrier: str = ""
    carrier_kg_per_m2: float = 0.0
    carrier_kg: float = 0.0

    @property
    def sown_bulk_kg(self) -> float:
        """Bulk seed that goes in the ground."""
        return sum(component.sown_bulk_kg for component in self.components)

    @property
    def sown_pls_kg(self) -> float:
        """Pure live seed that goes in the ground."""
        return sum(component.sown_pls_kg for component in self.components)

    @property
    def load_kg_per_m2(self) -> float:
        """Seed and carrier for a square metre: what the drill must deliver."""
        return self.bulk_kg_per_m2 + self.carrier_kg_per_m2

    @property
    def load_kg_per_m3(self) -> float:
        """Weight of what the box holds, by volume."""
        return self.load_kg_per_m2 / self.volume_m3_per_m2

    @property
    def carrier_frac(self) -> float:
        """Share of the carrier in what the box holds, by weight."""
        return self.carrier_kg_per_m2 / self.load_kg_per_m2

    @property
    def area_per_fill_m2(self) -> float:
        """Ground that one fill sows before the box reaches its least level."""
        return self.working_m3 / self.volume_m3_per_m2

    def keeps_m3(self, still_to_sow_m3: float) -> float:
        """What should be in the box while so much of its contents is still to be sown.

        Its least level; where it is swept, no more than all that is still to be sown.
        """
        return min(self.min_m3, still_to_sow_m3) if self.swept else self.min_m3

    @property
    def contents(self) -> tuple[tuple[str, str, float], ...]:
        """Species, lot and share of everything in the box: two fields with the same contents may go on from
        one box.
        """
        seed = [
            (component.species, component.lot, round(component.bulk_kg_per_m2 / self.load_kg_per_m2, 9))
            for component in self.components
        ]
        return (*seed, (self.carrier, "", round(self.carrier_frac, 9)))

    def portions(self, load_kg: float) -> tuple[Portion, ...]:
        """A load of seed and carrier, lot by lot, the carrier last."""
        area_m2 = load_kg / self.load_kg_per_m2
        seed = tuple(
            Portion(
                species=component.species,
                lot=component.lot,
                bulk_kg=component.bulk_kg_per_m2 * area_m2,
                pls_kg=component.pls_kg_per_m2 * area_m2,
            )
            for component in self.components
        )
        if self.carrier_kg_per_m2 == 0:
            return seed
        return (
            *seed,
            Portion(
                species=self.carrier,
                lot="",
                bulk_kg=self.carrier_kg_per_m2 * area_m2,
                pls_kg=0.0,
                carrier=True,
            ),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxChange:
    """What to do to a box before a field: some of the same mix is still in it, or it held another mix and
    is emptied (what is left is bagged) first, or seed of this mix that was emptied before is tipped back
    in. ``kg`` is seed and carrier.
    """

    box: str
    kind: Literal["in the box", "empty first", "tip back"]
    mix: str
    kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedBudget:
    """Seed for one field, box by box."""

    mix: str
    boxes: tuple[BoxBudget, ...]
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Seed of one box, mixed ahead and labelled: one a fill, and what a parcel gets beyond its fills as a
    spare.
    """

    field_id: str
    mix: str
    box: str
    number: int
    of: int
    portions: tuple[Portion, ...]
    spare: bool = False
    treated: bool = False

    @property
    def bulk_kg(self) -> float:
        """Seed without carrier."""
        return sum(portion.bulk_kg for portion in self.portions if not portion.carrier)

    @property
    def pls_kg(self) -> float:
        """Pure live seed."""
        return sum(portion.pls_kg for portion in self.portions)

    @property
    def load_kg(self) -> float:
        """Seed and carrier."""
        return sum(portion.bulk_kg for portion in self.portions)


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What one parcel is brought of one lot: need = sown + overage + carried; of the overage, ``residual_kg``
    is what its boxes keep.

    ``carried_kg`` is put into the box here and sown on later parcels or, below zero, was put into it before
    and is sown here: over a job it adds to nothing.
    """

    field_id: str
    species: str
    lot: str
    sown_kg: float
    overage_kg: float
    residual_kg: float
    sown_pls_kg: float
    carried_kg: float = 0.0

    @property
    def need_kg(self) -> float:
        """What the parcel is brought: sown, overage and what is carried to or from others in the box."""
        return max(0.0, self.sown_kg + self.overage_kg + self.carried_kg)


@dataclass(frozen=True, slots=True, kw_only=True)
class CarrierLine:
    """How much of a carrier the job takes, loads and spares together."""

    name: str
    kg: float
    m3: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """What to buy of one lot for the whole job: need = sown + overage, of which boxes keep ``residual_kg``; in
    whole bags.
    """

    species: str
    lot: str
    sown_kg: float
    need_kg: float
    residual_kg: float
    bag_kg: float
    bags: int
    pls_frac: float
    price: Price | None = None

    @property
    def overage_kg(self) -> float:
        """What is bought beyond what is sown, before rounding up to bags."""
        return max(0.0, self.need_kg - self.sown_kg)

    @property
    def ordered_kg(self) -> float:
        """Whole bags, in kg."""
        return self.bags * self.bag_kg

    @property
    def left_over_kg(self) -> float:
        """Ordered less sown."""
        return self.ordered_kg - self.sown_kg

    @property
    def cost(self) -> float | None:
        """Money for the order, if the price is known."""
        return None if self.price is None else self.price.per_kg * self.ordered_kg

    @property
    def price_per_live_kg(self) -> float | None:
        """Money for a kilogram of pure live seed: bulk price / pure live fraction."""
        return None if self.price is None else self.price.per_kg / self.pls_frac


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOut:
    """If a box of a mix sows ``heavy_frac`` more than wanted: ground that one fill, and that all seed but
    what stays, sows.

    ``found`` says when a drill did so, and ``source`` is the key of who says it.
    """

    mix: str
    box: str
    heavy_frac: float
    found: str
    source: str
    planned_m2: float
    fill_m2: float
    seed_m2: float
