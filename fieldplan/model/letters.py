"""Letters of a season to its renters: what each is about, as data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal, get_args

from fieldplan.facts import Fact
from fieldplan.model.records import Bill, Rental
from fieldplan.model.request import Request
from fieldplan.model.standing import Checked, Offer

LetterKind = Literal[
    "confirmation", "moved", "cancellation", "offer", "pick-up", "invoice", "payment", "season-end"
]
LETTER_KINDS: tuple[LetterKind, ...] = get_args(LetterKind)
"""Kinds of letters, in the order in which a season comes to them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AboutBooking:
    """A letter about days that a renter said yes to.

    Parameters
    ----------
    odds_prob
        Odds of being done within the days, as they were reckoned; ``None`` if nobody reckoned them.
    ground_m2
        Ground of the request.
    collect_from
        The renter who has the drill before; empty if it stands at its home.
    place_lonlat
        Longitude and latitude of where it is collected, in degrees.
    sharing
        Renters who have the drill on these days, in their order; none if the renter has it alone.
    was
        Drill and days of the letter before, if they were others.
    checks
        What must be in order before the drill goes out.
    """

    drill: str
    days: tuple[date, ...]
    odds_prob: float | None
    ground_m2: float
    collect_from: str
    place_lonlat: tuple[float, float]
    sharing: tuple[str, ...] = ()
    was: tuple[str, tuple[date, ...]] | None = None
    checks: tuple[Checked, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class AboutCancelled:
    """A letter about days that a renter was told of and that were cancelled.

    Parameters
    ----------
    told
        Day of the letter that told of them.
    cancelled
        Day on which they were cancelled.
    why
        As it was entered; empty if it was not.
    waits
        Whether the request still waits for days.
    """

    drill: str
    days: tuple[date, ...]
    told: date
    cancelled: date
    why: str
    waits: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AboutOffer:
    """A letter that offers days which are free again."""

    offer: Offer


@dataclass(frozen=True, slots=True, kw_only=True)
class AboutBill:
    """An invoice, or a reminder of one.

    Parameters
    ----------
    earlier
        Days of earlier letters of the same kind about this request.
    """

    bill: Bill
    earlier: tuple[date, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class AboutSeason:
    """What a renter had to do with the whole season.

    Parameters
    ----------
    requests
        Ids of the requests that are added up.
    charged, paid, deposit
        Sums in the currency of the rate card; what is held of deposits is no income.
    """

    requests: tuple[str, ...]
    rentals: tuple[Rental, ...]
    charged: Decimal
    paid: Decimal
    deposit: Decimal
    currency: str

    @property
    def drilled_m2(self) -> float:
        """What the meters counted."""
        return sum(rental.drilled_m2 or 0.0 for rental in self.rentals)

    @property
    def owed(self) -> Decimal:
        """Still to be paid; below 0 if too much was paid."""
        return self.charged - self.paid


About = AboutBooking | AboutCancelled | AboutOffer | AboutBill | AboutSeason


@dataclass(frozen=True, slots=True, kw_only=True)
class Letter:
    """A letter that is due.

    Parameters
    ----------
    called
        Name of the renter; the id of one who was taken out.
    address
        Lines of the address below the name.
    day
        The day on which it is written.
    """

    kind: LetterKind
    request: Request
    called: str
    address: tuple[str, ...]
    day: date
    about: About

    @property
    def booked(self) -> tuple[str, tuple[date, ...]] | None:
        """Drill and days that it tells the renter, if it is about some."""
        if isinstance(self.about, AboutBooking | AboutCancelled):
            return self.about.drill, self.about.days
        if isinstance(self.about, AboutOffer):
            return self.about.offer.freed.drill, self.about.offer.days
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotWritten:
    """A letter that cannot be written yet, and why."""

    kind: LetterKind
    request_id: str
    why: Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class Mail:
    """Letters that are due, those that cannot be written yet, and what a clerk should look at before they go out."""

    letters: Sequence[Letter] = ()
    not_written: Sequence[NotWritten] = ()
    doubts: Sequence[Fact] = ()
