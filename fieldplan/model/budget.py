"""The seed of a job: what each box sows, and what to load, label and order."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from fieldplan.facts import Fact, case_of
from fieldplan.model.notes import Note
from fieldplan.model.seed import Price


@dataclass(frozen=True, slots=True, kw_only=True)
class SownComponent:
    """What one component sows on a field: its rates and total weights, and whether its seed is treated."""

    species: str
    lot: str
    bulk_kg_per_m2: float
    pls_kg_per_m2: float
    sown_bulk_kg: float
    sown_pls_kg: float
    treated: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """A weighed amount of one lot, or of a ``carrier``, which has no live seed."""

    species: str
    lot: str
    bulk_kg: float
    pls_kg: float
    carrier: bool = False
    treated: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxBudget:
    """What one box sows on a field, and its rates per square meter of one sowing.

    Parameters
    ----------
    bulk_kg_per_m2, carrier_kg_per_m2
        Rates of seed and of carrier.
    volume_m3_per_m2
        Volume rate of both together.
    working_m3, min_m3, swept
        As in `SeedBox`.
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
        """Bulk seed sown on the field."""
        return sum(component.sown_bulk_kg for component in self.components)

    @property
    def sown_pls_kg(self) -> float:
        """Pure live seed sown on the field."""
        return sum(component.sown_pls_kg for component in self.components)

    @property
    def treated(self) -> bool:
        """Whether any of its seed is treated."""
        return any(component.treated for component in self.components)

    @property
    def treated_species(self) -> tuple[str, ...]:
        """The species of its treated seed."""
        return tuple(dict.fromkeys(part.species for part in self.components if part.treated))

    @property
    def load_kg_per_m2(self) -> float:
        """Rate of seed and carrier together: what the drill must deliver."""
        return self.bulk_kg_per_m2 + self.carrier_kg_per_m2

    @property
    def load_kg_per_m3(self) -> float:
        """Bulk weight of seed and carrier in the box."""
        return self.load_kg_per_m2 / self.volume_m3_per_m2

    @property
    def carrier_frac(self) -> float:
        """Share of carrier in the contents of the box, by weight."""
        return self.carrier_kg_per_m2 / self.load_kg_per_m2

    @property
    def area_per_fill_m2(self) -> float:
        """Ground that one fill sows before the box is down to its minimum level."""
        return self.working_m3 / self.volume_m3_per_m2

    def keeps_m3(self, still_to_sow_m3: float) -> float:
        """The volume that should be in the box while ``still_to_sow_m3`` of its contents is still to be sown.

        It is the minimum level or, if the box is swept at the end, what is still to be sown if that is less.
        """
        return min(self.min_m3, still_to_sow_m3) if self.swept else self.min_m3

    @property
    def contents(self) -> tuple[tuple[str, str, float], ...]:
        """Species, lot and share by weight of all in the box, carrier last.

        Fields with the same contents can be sown one after the other without emptying the box.
        """
        seed = [
            (component.species, component.lot, round(component.bulk_kg_per_m2 / self.load_kg_per_m2, 9))
            for component in self.components
        ]
        return (*seed, (self.carrier, "", round(self.carrier_frac, 9)))

    def portions(self, load_kg: float) -> tuple[Portion, ...]:
        """A load of seed and carrier, in kg, split by lot, with the carrier last."""
        area_m2 = load_kg / self.load_kg_per_m2
        seed = tuple(
            Portion(
                species=component.species,
                lot=component.lot,
                bulk_kg=component.bulk_kg_per_m2 * area_m2,
                pls_kg=component.pls_kg_per_m2 * area_m2,
                treated=component.treated,
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


ChangeKind = Literal["in the box", "empty first", "tip back", "set again", "empty last"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxChange:
    """What to do to a box before a field.

    "in the box": some of the same seed is still in it. "empty first": it held other seed; empty it, bag
    what is left, and clean it. "tip back": pour seed in that was emptied from it before. "set again": set and
    calibrate it for the rate of this field. "empty last": empty it before the drill goes back.

    Parameters
    ----------
    mix
        The mix that the seed is of or, to set again, the mix to set for.
    kg
        Seed and carrier that is in the box, emptied from it or poured back.
    portions
        The same, lot by lot.
    takes_s
        Time that it takes.
    treated
        Whether what is or was in the box is treated seed.
    """

    box: str
    kind: ChangeKind
    mix: str
    kg: float = 0.0
    portions: tuple[Portion, ...] = ()
    takes_s: float = 0.0
    treated: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeCount:
    """How often boxes are emptied, and how often they are set again, between the parcels of an order."""

    n_emptied: int
    n_reset: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SowOrders:
    """The order in which parcels are sown, beside that of the file and the one with the fewest changes.

    Parameters
    ----------
    given, best
        Ids of the parcels in the order of the file, with its priorities, and in the best order.
    of_given, of_best
        Box changes in these orders.
    given_s, best_s
        The time that these changes take.
    kept
        Whether the job file asks for the order of the file.
    """

    given: tuple[str, ...]
    best: tuple[str, ...]
    of_given: ChangeCount
    of_best: ChangeCount
    given_s: float
    best_s: float
    kept: bool = False

    @property
    def saved_s(self) -> float:
        """The time that the best order saves over that of the file."""
        return self.given_s - self.best_s


@dataclass(frozen=True, slots=True, kw_only=True)
class TreatedSeed:
    """Treated seed that concerns a parcel, and where it is.

    "sown": in a box that sows it here. "still-in": left in a box that this parcel does not use. "cleaned-out":
    in a box that is emptied and cleaned before this parcel. "bagged": in a bag that was emptied from the box.
    """

    box: str
    where: Literal["sown", "still-in", "cleaned-out", "bagged"]
    mix: str
    species: tuple[str, ...]

    @property
    def says(self) -> Fact:
        """Where it is, as a fact to be put into words."""
        return case_of("treated-seed", self.where, box=self.box, mix=self.mix, species=self.species)


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedBudget:
    """Seed for one field, box by box."""

    mix: str
    boxes: tuple[BoxBudget, ...]
    notes: tuple[Note, ...] = ()

    @property
    def area_per_fill_m2(self) -> float:
        """Ground that one fill sows before any box is down to its minimum level; infinite without boxes."""
        return min((box.area_per_fill_m2 for box in self.boxes), default=math.inf)


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Seed of one box, mixed ahead and labeled: one for each fill, and a spare for what goes beyond."""

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
        """Seed and carrier together."""
        return sum(portion.bulk_kg for portion in self.portions)


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What one parcel is brought of one lot or carrier: need = sown + overage + carried.

    Parameters
    ----------
    residual_kg
        The part of the overage that stays in the boxes.
    carried_kg
        Put into the box here and sown on later parcels; if negative, put in before and sown here. Over a
        job it adds up to zero.
    """

    field_id: str
    species: str
    lot: str
    sown_kg: float
    overage_kg: float
    residual_kg: float
    sown_pls_kg: float
    carried_kg: float = 0.0
    carrier: bool = False
    treated: bool = False

    @property
    def need_kg(self) -> float:
        """What the parcel is brought: sown + overage + carried, at least 0."""
        return max(0.0, self.sown_kg + self.overage_kg + self.carried_kg)


@dataclass(frozen=True, slots=True, kw_only=True)
class CarrierLine:
    """How much of a carrier the job takes, loads and spares together."""

    name: str
    kg: float
    m3: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """What to buy of one lot for the whole job, in whole bags: need = sown + overage.

    Parameters
    ----------
    residual_kg
        The part of the overage that stays in the boxes.
    need_range_kg
        What is needed by the highest and by the lowest published count, where the rate is in seeds and the
        count is that of the table.
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
    need_range_kg: tuple[float, float] | None = None

    @property
    def bags_range(self) -> tuple[int, int] | None:
        """Whole bags for the need by the highest and by the lowest published count."""
        if self.need_range_kg is None:
            return None
        fewest, most = (math.ceil(need_kg / self.bag_kg - 1e-9) for need_kg in self.need_range_kg)
        return fewest, most

    @property
    def overage_kg(self) -> float:
        """What is needed beyond what is sown, before rounding up to bags."""
        return max(0.0, self.need_kg - self.sown_kg)

    @property
    def ordered_kg(self) -> float:
        """Weight of the whole bags ordered."""
        return self.bags * self.bag_kg

    @property
    def left_over_kg(self) -> float:
        """Ordered less sown."""
        return self.ordered_kg - self.sown_kg

    @property
    def cost(self) -> float | None:
        """Cost of the order; ``None`` without a price."""
        return None if self.price is None else self.price.per_kg * self.ordered_kg

    @property
    def price_per_live_kg(self) -> float | None:
        """Price per kilogram of pure live seed: bulk price / PLS share; ``None`` without a price."""
        return None if self.price is None else self.price.per_kg / self.pls_frac


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedEnd:
    """Where the seed that is at hand ends first: at a parcel, with what was brought there and is in the box.

    Parameters
    ----------
    field_id
        The parcel.
    species, lot
        The lot that ends first; of several that end together, the one of which least is left at the seed
        house.
    sown_m2, of_m2
        Ground of the parcel that is sown by then, and all that the plan drills there.
    """

    field_id: str
    species: str
    lot: str
    sown_m2: float
    of_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOut:
    """How far the seed of one box of a mix goes if the drill sows heavy.

    Parameters
    ----------
    heavy_frac
        How much more than wanted it sows.
    found
        When a drill did so, from the source with the key ``source``.
    planned_m2
        Ground that the plan sows with it.
    fill_m2, seed_m2
        Ground that one fill sows, and that all seed of the order but the residual sows.
    ends
        Where the seed that is brought to the parcels ends first; ``None`` if it lasts.
    """

    mix: str
    box: str
    heavy_frac: float
    found: str
    source: str
    planned_m2: float
    fill_m2: float
    seed_m2: float
    ends: SeedEnd | None = None
