"""A season planned again after rain: what became of each booking, and what is left to the clerk."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from fieldplan.facts import Fact
from fieldplan.model.booked import Booked
from fieldplan.model.request import Request


@dataclass(frozen=True, slots=True, kw_only=True)
class SoFar:
    """How far a season is.

    Parameters
    ----------
    today
        The first day that is still to come.
    lost
        Days lost to weather.
    done_frac
        Share of the work that is done, by request.
    """

    today: date
    lost: frozenset[date]
    done_frac: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What becomes of a booking after rain.

    Parameters
    ----------
    now
        The booking as it is now; ``None`` if it is lost.
    begun
        Whether its work had begun.
    reason
        Why it is lost.
    odds_prob
        Chance that the work left is done within the days it has now.
    over
        Whether all of its work is known to be done.
    depends_on
        Ids of the jobs under way that would need its days if nothing of them is done: nobody said how much is.
    """

    request: Request
    was: Booked
    now: Booked | None
    begun: bool = False
    reason: Fact | None = None
    odds_prob: float | None = None
    over: bool = False
    depends_on: tuple[str, ...] = ()

    @property
    def moved(self) -> bool:
        """Whether it lost its days or, not begun yet, got another drill or another first day."""
        return self.now is None or (
            not self.begun and (self.now.drill, self.now.days[0]) != (self.was.drill, self.was.days[0])
        )

    @property
    def shared_otherwise(self) -> bool:
        """Whether a booking that keeps its drill and first day, and has not begun, is shared with others now."""
        return (
            self.now is not None
            and not (self.moved or self.begun)
            and set(self.now.shares_with) != set(self.was.shares_with)
        )

    @property
    def must_be_notified(self) -> bool:
        """Whether anything changed for the renter: drill, first or last day, who shares the days."""
        return (
            self.moved
            or self.shared_otherwise
            or (self.now is not None and self.now.days[-1] != self.was.days[-1])
        )

    @property
    def later_days(self) -> int:
        """Days from the old first day to the new one; below 0 if it is earlier."""
        return 0 if self.now is None or self.begun else (self.now.days[0] - self.was.days[0]).days


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What a clerk could do about a booking that has too few days; it was planned again with it.

    Parameters
    ----------
    what
        What would come of it.
    command
        What to enter; several entries with a semicolon between them.
    again
        Whether the season is to be planned again after that.
    """

    what: Fact
    command: str
    again: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """A held booking that has too few days left, the booking that stands after it, and the clerk's choices.

    Parameters
    ----------
    behind
        The booking that has the drill next; ``None`` if nobody has, or the season ends.
    odds_prob, asked_prob
        Odds of being done within the days that are left, and the odds that were asked for.
    lost
        Days lost inside the booking, with why.
    short_days
        Working days that are missing.
    unknown
        Whether nobody said how much of it is done: then the odds are those of nothing done.
    """

    request: Request
    booked: Booked
    behind: Request | None
    behind_booked: Booked | None
    odds_prob: float
    asked_prob: float
    lost: tuple[tuple[date, str], ...]
    short_days: int
    choices: tuple[Choice, ...] = ()
    unknown: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A job under way of which nobody said how much is done.

    Parameters
    ----------
    booked
        Its booking, as it was.
    out
        Whether the drill is known to be with it.
    depends
        Requests that have days which it would need if nothing of it is done.
    """

    request: Request
    booked: Booked
    out: bool
    depends: tuple[Request, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lowered:
    """A held booking that lost days: the odds that were promised and those that are left."""

    request: Request
    promised_prob: float
    odds_prob: float
    lost: tuple[tuple[date, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Replanned:
    """A season after rain.

    Parameters
    ----------
    changes
        What becomes of each booking that was not finished.
    finished
        Ids of the requests that are done.
    served_proven
        Whether it is proven that no schedule serves more by the rules.
    moved_bound, moved_days_bound
        Bookings moved, and days they are moved by: no schedule has fewer.
    confidence_prob
        The odds that renters were promised.
    clashes
        Held bookings with too few days left: nothing is decided for the clerk.
    lowered
        Held bookings that lost days inside them.
    questions
        Jobs under way of which nobody said how much is done. Nothing is taken as done, and nobody moves for it.
    """

    changes: tuple[Change, ...]
    finished: tuple[str, ...]
    served_proven: bool
    moved_bound: int
    moved_days_bound: int
    confidence_prob: float = 0.0
    clashes: tuple[Clash, ...] = ()
    lowered: tuple[Lowered, ...] = ()
    questions: tuple[Question, ...] = ()

    @property
    def unlikely(self) -> tuple[Change, ...]:
        """Bookings with lower odds of being done than were promised."""
        return tuple(
            change
            for change in self.changes
            if change.odds_prob is not None and change.odds_prob < self.confidence_prob
        )
