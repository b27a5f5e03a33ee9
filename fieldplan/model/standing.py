"""How a season stands: what its entries come to at any moment."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from fieldplan.facts import Fact
from fieldplan.model.booked import Booked, Confirmed
from fieldplan.model.request import Request

DrillDay = tuple[str, date]
"""A drill by name, and a day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """A renter's name and telephone number. They are kept beside the chain of entries and can be taken out.

    Parameters
    ----------
    cells
        What else the list of requests says of the person, by column.
    taken_out
        Whether the person asked to be taken out.
    """

    renter_id: str
    name: str = ""
    cells: Mapping[str, str] = field(default_factory=dict)
    taken_out: bool = False

    @property
    def called(self) -> str:
        """The name; the id of a person who was taken out."""
        return self.name or self.renter_id


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A request as the entries have it: who asks, and the cells of its row without those about the person."""

    request_id: str
    renter_id: str
    cells: Mapping[str, str]
    withdrawn: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Freed:
    """Days of a drill that were promised to somebody and are free again; ``cause`` is the kind of entry."""

    drill: str
    days: tuple[date, ...]
    request_id: str
    cause: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """Days that were freed and a request could have.

    Parameters
    ----------
    odds_prob
        Odds of being done within the days.
    booked
        The booking that it has now, if any.
    earlier_days
        How much earlier it would begin; ``None`` if it has no booking.
    """

    request: Request
    freed: Freed
    days: tuple[date, ...]
    odds_prob: float
    booked: Booked | None
    earlier_days: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What the entries of a season come to.

    Parameters
    ----------
    rows
        Requests taken in, by id, in the order in which they came.
    bookings
        Who has which drill when, by request; confirmed ones are promises.
    agreed
        Bookings that were confirmed without a plan: their days are still to be counted.
    freed
        Days that were promised and are free again, and that nobody has been given since.
    declined
        Offers that were refused: request, drill and first day.
    lost
        Why a drill lost a day.
    done_frac
        Share of the work said to be done, by request.
    sown_m2
        Ground sown, by request, where its acres are known.
    out
        Drills that are out, by request.
    back
        Day of the last return, by request, of those that have no drill any more.
    struck
        Ids of requests whose booking was taken from them, as days were lost or work went on, and that have had none since.
    latest
        The latest day on which something happened to a drill; ``None`` before the season begins.
    planned
        Whether a plan was entered.
    """

    rows: Mapping[str, Listed] = field(default_factory=dict)
    bookings: Mapping[str, Booked] = field(default_factory=dict)
    agreed: Mapping[str, Confirmed] = field(default_factory=dict)
    freed: tuple[Freed, ...] = ()
    declined: frozenset[tuple[str, str, date]] = frozenset()
    lost: Mapping[DrillDay, str] = field(default_factory=dict)
    done_frac: Mapping[str, float] = field(default_factory=dict)
    sown_m2: Mapping[str, float] = field(default_factory=dict)
    out: Mapping[str, str] = field(default_factory=dict)
    back: Mapping[str, date] = field(default_factory=dict)
    struck: frozenset[str] = frozenset()
    latest: date | None = None
    planned: bool = False

    def lost_on(self, drill: str) -> frozenset[date]:
        """The days that a drill lost."""
        return frozenset(day for name, day in self.lost if name == drill)


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """An event as a calendar file last carried it.

    Parameters
    ----------
    calendar
        The calendar: ``drill`` or ``renter``, a space, and the name of the one or the id of the other.
    sequence, stamp
        How often it changed, and when it changed last: UTC, ISO 8601.
    status
        As in RFC 5545: TENTATIVE, CONFIRMED or CANCELLED.
    digest
        Hash of what it said.
    """

    request: str
    calendar: str
    renter_id: str
    sequence: int
    stamp: str
    status: str
    digest: str
    drill: str
    first: date
    last: date
    lonlat: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """A requirement of a request on a day: ``open`` says what is missing, ``None`` if it is met; ``met`` when and how."""

    name: str
    open: Fact | None
    met: Fact | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Since:
    """What happened to a season since it was planned last, and what the clerk is asked.

    Parameters
    ----------
    came, changed
        Ids of requests that are new, and of those whose row changed, each with its columns.
    gone
        Ids of requests whose row is gone from the list: were they withdrawn?
    withdrawn
        Ids of requests that were withdrawn and still have their row.
    namesakes
        Names that several renters have, each with the ids of their requests.
    outside
        Ids of held bookings that are outside the dates that their row has now.
    moved, lost
        Ids of requests with a booking that nobody confirmed and that moved, or could not be kept.
    overdue
        Ids of requests that have a drill past their last day.
    again
        Ids of requests that lost their booking and have days again.
    freed
        Days that were promised and are on offer.
    open_before_out
        Requirements that are open before a drill goes out, by request.
    """

    came: tuple[str, ...] = ()
    changed: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    gone: tuple[str, ...] = ()
    withdrawn: tuple[str, ...] = ()
    namesakes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    outside: tuple[str, ...] = ()
    moved: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()
    overdue: tuple[str, ...] = ()
    again: tuple[str, ...] = ()
    freed: tuple[Freed, ...] = ()
    open_before_out: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
