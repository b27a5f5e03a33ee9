"""Whether the drills of a season are enough, and what more of them would bring."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.facts import Fact
from fieldplan.model.season import Season


@dataclass(frozen=True, slots=True, kw_only=True)
class Chances:
    """How a season turns out over many simulated weathers.

    Parameters
    ----------
    all_prob
        Chance that everyone who asked is done by their last day.
    booked_prob
        Chance that everyone with a booking is.
    each_prob
        Chance that each booking is done in time, by request.
    n_drawn
        How many weathers were simulated, or years of a record gone through.
    years
        These years; none if weathers were simulated.
    """

    all_prob: float
    booked_prob: float
    each_prob: dict[str, float]
    n_drawn: int
    years: tuple[int, ...] = ()

    @property
    def mean_done(self) -> float:
        """Requests done in an average season: the sum of the chances of all bookings."""
        return sum(self.each_prob.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillUse:
    """A drill over the season.

    Parameters
    ----------
    working_days
        Days of the season on which it works.
    fieldwork_days
        Working days that the weather leaves on average.
    booked_days
        Days with a booking.
    ground_m2
        Ground booked.
    """

    name: str
    working_days: int
    fieldwork_days: float
    booked_days: int
    ground_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for, each request with the drill that needs the fewest days.

    Parameters
    ----------
    days
        Working days to book.
    fieldwork_days
        Fieldwork days of work.
    ground_m2
        Plantable ground of all requests.
    unable
        Requests that no drill can do within the longest booking; their days are left out, their ground is
        not.
    """

    days: int
    fieldwork_days: float
    ground_m2: float
    unable: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """The same requests with one thing ``changed``."""

    changed: Fact
    season: Season
    chances: Chances


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacity:
    """A season's capacity: what was asked, what there is, how it turns out, and what each change would bring."""

    asked: Asked
    drills: tuple[DrillUse, ...]
    now: Option
    options: tuple[Option, ...]
