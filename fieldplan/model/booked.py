"""Bookings: what a request takes, the days that it was given, and what was promised with them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fieldplan.facts import Fact
from fieldplan.model.request import Request


@dataclass(frozen=True, slots=True, kw_only=True)
class BookingDuration:
    """How long a request takes with a drill, or why the drill cannot do it.

    Parameters
    ----------
    days
        Working days to book.
    job_s
        All the work, with ``field_s`` in the field and ``road_s`` on the road to collect the drill.
    ground_m2
        Plantable ground of the fields that are drilled.
    cannot
        Why the drill cannot do it; ``None`` if it can.
    undrilled
        Fields on which nothing is drilled.
    """

    days: int = 0
    job_s: float = 0.0
    ground_m2: float = 0.0
    field_s: float = 0.0
    road_s: float = 0.0
    cannot: Fact | None = None
    undrilled: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """A booking: a request with its drill, its days, and the reason for them.

    Parameters
    ----------
    waiting_days
        Days from the first day that the request could begin.
    tow_m
        Road from where the drill is collected.
    collect_from
        The renter who had the drill before; empty if it stands at its home.
    shared_booking
        Ids of all requests on these days, in the order that they get the drill.
    confirmed
        Whether the renter said yes to these days.
    farthest_m
        Road from the farthest place that the drill could come from; the days allow for it.
    odds_prob
        Chance that all work on these days is done within them; ``None`` if it is done already.
    """

    request: Request
    drill: str
    days: tuple[date, ...]
    duration: BookingDuration
    waiting_days: int
    tow_m: float
    collect_from: str
    reason: Fact
    shared_booking: tuple[str, ...] = ()
    confirmed: bool = False
    farthest_m: float = 0.0
    odds_prob: float | None = None

    @property
    def shares_with(self) -> tuple[str, ...]:
        """The other requests that have the drill on the same days."""
        return tuple(other for other in self.shared_booking if other != self.request.request_id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Confirmed:
    """A booking that a renter said yes to: its drill and its first day."""

    drill: str
    first: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """What was reckoned when a booking was made, so that its odds are reckoned again with the same terms.

    Parameters
    ----------
    work_s, field_s
        Work of all who share the days, and the part of it in the field.
    odds_prob, asked_prob
        Odds of being done within the days, and the odds that were asked for.
    day_s, chance_prob, persistence_frac, uncertainty_frac
        Working time of a day, share of fieldwork days, how they persist, and how uncertain the work is.
    """

    work_s: float
    field_s: float
    odds_prob: float
    asked_prob: float
    day_s: float
    chance_prob: float
    persistence_frac: float
    uncertainty_frac: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Booked:
    """A booking as it was made.

    Parameters
    ----------
    shares_with
        Ids of the other requests on the same days.
    position
        Its place, from 0, in the order that those who share get the drill.
    confirmed
        Whether the renter said yes to it.
    farthest_m
        Road to collect the drill that its days allow for; ``None`` if it is not known.
    promise
        What was reckoned when it was made; ``None`` if that is not known.
    """

    drill: str
    days: tuple[date, ...]
    shares_with: tuple[str, ...] = ()
    position: int = 0
    confirmed: bool = False
    farthest_m: float | None = None
    promise: Promise | None = None
