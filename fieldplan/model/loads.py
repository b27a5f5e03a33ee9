"""What the truck brings from the seed house: loads by trip, day, parcel and stop, and the account of each lot."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from fieldplan.model.budget import Portion

Lot = tuple[str, str]
"""Species and lot; the lot of a carrier is empty."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drop:
    """What is put down at one stop of a parcel for one box.

    Parameters
    ----------
    stop
        0 for the start of the parcel, then the number of the refill stop.
    spare
        Whether it is the spare of the box, which is kept dry until it is needed.
    part, parts
        Which piece of the load it is, where one trip cannot take it whole.
    start_s
        When it is needed on the clock of the job.
    gross_kg
        Its weight with the bags that hold it.
    """

    field_id: str
    mix: str
    box: str
    stop: int
    portions: tuple[Portion, ...]
    start_s: float
    gross_kg: float
    spare: bool = False
    part: int = 1
    parts: int = 1

    @property
    def net_kg(self) -> float:
        """Seed and carrier without bags."""
        return sum(portion.bulk_kg for portion in self.portions)

    @property
    def treated(self) -> bool:
        """Whether any of it is treated seed."""
        return any(portion.treated for portion in self.portions)


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What a trip takes of a lot for a parcel, in bags or, of a carrier, bales as they come.

    ``kg`` = what an open bag gives + whole bags + what is weighed out of the next bag, which is opened.

    Parameters
    ----------
    first_bag
        Number of the first bag that it touches, of all bags of the lot, from 1.
    from_open_kg
        Weighed out of the bag that is open already.
    n_whole
        Bags that go unopened.
    opened_kg
        Weighed out of a bag that is opened for it.
    volume_m3
        Its volume, of a carrier.
    """

    field_id: str
    species: str
    lot: str
    kg: float
    bag_kg: float
    first_bag: int
    from_open_kg: float
    n_whole: int
    opened_kg: float
    carrier: bool = False
    treated: bool = False
    volume_m3: float | None = None

    @property
    def bags(self) -> float:
        """Bags or bales that it comes to, as a number with a fraction."""
        return self.kg / self.bag_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class Trip:
    """One drive of the truck from the seed house, and the working day on which it is made."""

    number: int
    day: int
    drops: tuple[Drop, ...]
    taken: tuple[Taken, ...]

    @property
    def gross_kg(self) -> float:
        """The weight of all that it takes, with bags."""
        return sum(drop.gross_kg for drop in self.drops)

    @property
    def field_ids(self) -> tuple[str, ...]:
        """The parcels in the order in which they are served."""
        return tuple(dict.fromkeys(drop.field_id for drop in self.drops))


@dataclass(frozen=True, slots=True, kw_only=True)
class LotAccount:
    """Where all of a lot goes: brought = loaded + spare; loaded = sown + left + swept.

    Parameters
    ----------
    ordered_kg
        Weight of the whole bags ordered, or of whole bales.
    brought_kg
        Brought to the parcels.
    loaded_kg
        Of it poured into boxes.
    sown_kg
        Sown as planned.
    left_kg
        Left in the boxes after the last parcel.
    swept_kg
        Emptied out of boxes into bags, and not poured back.
    """

    species: str
    lot: str
    ordered_kg: float
    brought_kg: float
    loaded_kg: float
    sown_kg: float
    left_kg: float
    swept_kg: float
    carrier: bool = False

    @property
    def spare_kg(self) -> float:
        """Brought, but not poured into a box."""
        return self.brought_kg - self.loaded_kg

    @property
    def stays_kg(self) -> float:
        """What stays at the seed house."""
        return self.ordered_kg - self.brought_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadList:
    """All trips of a job and the account of each lot; ``limit_kg`` is ``None`` without a payload."""

    limit_kg: float | None = None
    trips: tuple[Trip, ...] = ()
    accounts: tuple[LotAccount, ...] = field(default=())

    @property
    def n_days(self) -> int:
        """Working days on which something is brought."""
        return len({trip.day for trip in self.trips})

    def taken_for(self, field_id: str) -> Iterator[tuple[Trip, Taken]]:
        """What is brought to a parcel, with the trip that brings it."""
        return ((trip, taken) for trip in self.trips for taken in trip.taken if taken.field_id == field_id)
