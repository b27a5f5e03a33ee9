"""What happened in a season, as a clerk wrote it down, and the papers made from it: rentals, bills,
cost-share packets, the report to the board.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

from fieldplan.facts import Fact, TableSentence
from fieldplan.model.booked import Confirmed
from fieldplan.model.downtime import DownLine
from fieldplan.model.entry import Entry as Entry
from fieldplan.model.entry import Fresh as Fresh
from fieldplan.model.entry import counted_m2
from fieldplan.model.fee import Fee, RateCard
from fieldplan.model.request import Request


@dataclass(frozen=True, slots=True, kw_only=True)
class Sown:
    """A field sown on one day, and how; ``drilled_m2`` is what the meter counted there, if it was read."""

    number: int
    field_id: str
    day: date
    drilled_m2: float | None
    practice: str
    depth_m: float | None
    settings: str
    weather: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedUsed:
    """Seed of one lot that went into one field, with what was written down from its tag."""

    number: int
    field_id: str
    species: str
    lot: str
    bulk_kg: float
    box: str
    purity_frac: float | None
    germination_frac: float | None
    dormant_frac: float | None
    tested: date | None
    origin: str
    tag: str
    receipt: str
    treated: bool = False

    @property
    def pls_kg(self) -> float | None:
        """Pure live seed: bulk × purity × (germination + hard and dormant seed).

        ``None`` if purity or germination was not written down.
        """
        if self.purity_frac is None or self.germination_frac is None:
            return None
        return self.bulk_kg * self.purity_frac * (self.germination_frac + (self.dormant_frac or 0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Rental:
    """A drill out with a renter, from one meter reading to the next. Without ``back`` it is still out.

    ``between`` are the readings while it was out: a meter that was fitted in the field.
    """

    request: str
    drill: str
    out: Entry
    back: Entry | None
    between: tuple[Entry, ...] = ()

    @property
    def drilled_m2(self) -> float | None:
        """What the drill's meter counted; ``None`` while it is out."""
        if self.back is None:
            return None
        readings = (self.out, *self.between, self.back)
        return float(sum(counted_m2(before, now) for before, now in pairwise(readings)))

    @property
    def days(self) -> int | None:
        """Calendar days out, counting the first and the last; ``None`` while the drill is out."""
        return None if self.back is None else (self.back.day - self.out.day).days + 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """Everything written down about one request.

    Parameters
    ----------
    paid
        Payments; those below 0 were paid back.
    deposit
        What is held of it now.
    confirmed, refused
        The last answer to the request, if there is one.
    facts
        Facts for the rate card, such as ``area=outside``.
    """

    request: Request
    rentals: tuple[Rental, ...]
    sown: tuple[Sown, ...]
    seed: tuple[SeedUsed, ...]
    paid: tuple[Entry, ...]
    deposit: Decimal
    remarks: tuple[Entry, ...]
    confirmed: Confirmed | None
    refused: Entry | None
    facts: Mapping[str, str]

    @property
    def returned(self) -> bool:
        """Whether a drill was out and every drill is back."""
        return bool(self.rentals) and all(rental.back is not None for rental in self.rentals)

    @property
    def drilled_m2(self) -> float:
        """What the meters counted on all rentals that are over."""
        return sum(rental.drilled_m2 or 0.0 for rental in self.rentals)

    @property
    def days(self) -> int:
        """Calendar days that drills were out, on rentals that are over.

        A day on which one rental ended and the next began counts once.
        """
        return len(self.days_out)

    @property
    def days_out(self) -> tuple[date, ...]:
        """These days, in order."""
        out = {
            rental.out.day + timedelta(days=k) for rental in self.rentals for k in range(rental.days or 0)
        }
        return tuple(sorted(out))


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """A field of a request on the map: the ground inside its outline, less holes, and what is plantable."""

    field_id: str
    mapped_m2: float
    plantable_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """What a request owes: three acreages kept apart, the fee, and what was paid.

    Parameters
    ----------
    mapped_m2, drilled_m2
        Ground on the map, and ground that the meters counted.
    billed_ac
        What the rate card bills, in acres.
    if_prompt, prompt_days
        The fee if it is paid within so many days of the return; ``None`` if the card offers no such
        discount, or it is too late.
    lost_days, down_days
        Days of the rentals that were lost to weather, and to a breakdown.
    free_days
        Days of the rentals that charges by the day leave out, as the rate card says.
    """

    account: Account
    card: RateCard
    as_of: date
    mapped_m2: float
    drilled_m2: float
    billed_ac: float
    fee: Fee
    if_prompt: Decimal | None
    prompt_days: int | None
    paid: Decimal
    lost_days: int
    down_days: int = 0
    free_days: tuple[date, ...] = ()

    @property
    def due(self) -> date | None:
        """The day by which it is to be paid; ``None`` if the rate card says nothing of it."""
        days = self.card.paid_in_days
        back = [rental.back.day for rental in self.account.rentals if rental.back]
        return None if days is None or not back else max(back) + timedelta(days=days)

    @property
    def owed(self) -> Decimal:
        """Still to be paid; below 0 if too much was paid."""
        return self.fee.total - self.paid

    @property
    def late(self) -> Decimal:
        """What it charges for late payment."""
        return sum(
            (
                line.amount
                for line in self.fee.lines
                if line.how is not None and line.how.code == "fee-late"
            ),
            Decimal(0),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PacketField:
    """One field of a cost-share packet. ``missing`` says what is not on record."""

    field_id: str
    mapped_m2: float
    drilled_m2: float | None
    sown: tuple[Sown, ...]
    seed: tuple[SeedUsed, ...]
    missing: tuple[Fact | TableSentence, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Packet:
    """Proof for a cost-share payment: complete, or what is missing.

    Parameters
    ----------
    facts
        Facts of the whole request by name: farm, tract, practice.
    missing
        What is not on record for the whole request.
    cautions
        What a payer may question.
    sources
        Keys of the sources that ask for these facts.
    """

    account: Account
    facts: Mapping[str, str]
    fields: tuple[PacketField, ...]
    missing: tuple[Fact | TableSentence, ...]
    cautions: tuple[Fact, ...]
    sources: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """Whether nothing is missing."""
        return not self.missing and not any(field.missing for field in self.fields)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardLine:
    """Sums over the requests of one group, such as a practice.

    Ground is in m²; what was billed is in acres, as rate cards count it. ``name`` is empty where the list
    does not name the group. ``days`` are calendar days that drills were out; a request of
    several groups is split by its metered ground.
    """

    name: str
    users: int
    mapped_m2: float
    drilled_m2: float
    billed_ac: float
    days: float = 0.0
    charged: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillLine:
    """Sums over the rentals and repairs of one drill."""

    name: str
    rentals: int
    days_out: int
    drilled_m2: float
    rain_days: int
    repairs: Decimal
    down_days: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The season for the board and whoever funds it. Every total is a sum of entries.

    Parameters
    ----------
    users
        Renters who had a drill; each counts once.
    groups
        Sums by column of the list of requests.
    deposits
        Held, and no income.
    balances
        Each request with what it was charged and what it paid.
    strays
        Requests that entries name and the list does not have.
    turned_away
        Each request turned away, with its ground in m² and the reason.
    open_requests
        Ids of requests neither returned nor turned away.
    seed_kg
        Bulk seed by species.
    unbilled
        Requests with returned rentals that could not be billed, and why.
    unaccounted_m2
        Ground that meters counted while no renter had the drill.
    remarks
        What renters said, by request.
    rain_days, down_days
        Working days of drills that were lost to weather, and to breakdowns and repairs.
    downtimes
        Each breakdown with its repairs.
    """

    as_of: date
    requests: int
    rentals: int
    users: int
    groups: Mapping[str, tuple[BoardLine, ...]]
    drills: tuple[DrillLine, ...]
    total: BoardLine
    charged: Decimal
    paid: Decimal
    deposits: Decimal
    balances: tuple[tuple[Request, Decimal, Decimal], ...]
    strays: tuple[str, ...]
    repairs: Decimal
    rain_days: int
    turned_away: tuple[tuple[Request, float, str], ...]
    open_requests: tuple[str, ...]
    seed_kg: Mapping[str, float]
    unbilled: tuple[tuple[Request, Fact], ...]
    unaccounted_m2: float
    remarks: tuple[tuple[Request, str], ...]
    currency: str
    down_days: int = 0
    downtimes: tuple[DownLine, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RenterSeason:
    """What a renter had to do with one season.

    Parameters
    ----------
    season
        Name of the season.
    requests
        Ids of the renter's requests in it.
    rentals, drilled_m2
        Rentals that are over, and ground that the meters counted on them.
    charged, paid, deposit
        Sums in the currency of the season's rate card; what is held of deposits is no income.
    unbilled
        Ids of requests that could not be billed.
    """

    season: str
    requests: tuple[str, ...]
    rentals: int
    drilled_m2: float
    charged: Decimal
    paid: Decimal
    deposit: Decimal
    currency: str
    unbilled: tuple[str, ...] = ()

    @property
    def owed(self) -> Decimal:
        """Still to be paid; below 0 if too much was paid."""
        return self.charged - self.paid


@dataclass(frozen=True, slots=True, kw_only=True)
class Renter:
    """A renter over seasons.

    Parameters
    ----------
    phone
        Only the clerk sees it.
    seasons
        The seasons in which the renter asked for a drill, the latest first.
    bad_standing
        Why the renter may not rent; ``None`` in good standing.
    shown
        What the renter has shown, with the day, and the last day on which it holds.
    """

    renter_id: str
    called: str
    phone: str
    seasons: tuple[RenterSeason, ...]
    bad_standing: str | None
    shown: tuple[tuple[str, date, date | None], ...] = ()
