"""Whether the drills of a season are enough, and what more of them would buy."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.facts import Fact
from fieldplan.model.season import Season


@dataclass(frozen=True, slots=True, kw_only=True)
class Chances:
    """How a season goes over many drawn weathers.

    ``all_prob`` is the chance that everyone who asked is done by their last day, ``booked_prob`` that
    everyone with a booking is; ``each_prob`` the chance of each booking, by request; ``n_drawn`` how many
    weathers were drawn.
    """

    all_prob: float
    booked_prob: float
    each_prob: dict[str, float]
    n_drawn: int

    @property
    def mean_done(self) -> float:
        """Requests that are done in an average season."""
        return sum(self.each_prob.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillUse:
    """A drill over the season: working days, those of them that weather leaves on average, days booked,
    ground booked.
    """

    name: str
    working_days: int
    fieldwork_days: float
    booked_days: int
    ground_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for: days to book and fit days of work, each with the drill that needs the fewest, and
    ground.

    ``unable`` are requests that no drill can do, or not within the longest booking; their days are left
    out, their ground is not.
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
    """A season's capacity: what was asked, what there is, how it goes, and what each change would bring."""

    asked: Asked
    drills: tuple[DrillUse, ...]
    now: Option
    options: tuple[Option, ...]
