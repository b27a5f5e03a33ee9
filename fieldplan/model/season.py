"""A district's season: who asks for a drill, which drills there are, by which rules they are served, and
who gets what.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from fieldplan.facts import Fact
from fieldplan.model.checks import require, require_between
from fieldplan.model.job import Job
from fieldplan.model.notes import Note


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """One row of the clerk's list.

    Either ``fields`` (a boundary file) or ``ground_m2`` says how much ground. The renter may begin on
    ``ready`` and must be done by ``until``. ``boxes`` are kinds of boxes that its drill must have.
    ``facts`` are all columns as they were typed, for the rules.
    """

    row: int
    request_id: str
    renter: str
    ready: date
    until: date
    asked: date | None
    fields: Path | None
    ground_m2: float | None
    place_lonlat: tuple[float, float]
    mix: str | None
    pto_power_w: float | None
    boxes: frozenset[str] = frozenset()
    facts: Mapping[str, str] = field(default_factory=dict)

    @property
    def phone(self) -> str:
        """The renter's telephone number, if the list has one. It is shown to the clerk, and to nobody else
        unless asked.
        """
        return self.facts.get("phone", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonDrill:
    """A drill of the district: the job file that says what it is and how it works, where it stands, and
    when it rests.
    """

    name: str
    job: Job
    home_lonlat: tuple[float, float]
    weekdays_off: frozenset[int] = frozenset()
    dates_off: frozenset[date] = frozenset()

    def __post_init__(self) -> None:
        """Check that it works at all."""
        require(len(self.weekdays_off) < 7, "out-of-range/every-day", key="days_off")


Rank = tuple[int, float, str]
"""Where a rule puts a request: the lower the sooner it is served."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule(ABC):
    """Who comes first, by what a ``column`` of the list says; its kinds stand in ``season/turns``."""

    column: str

    @property
    @abstractmethod
    def text(self) -> str:
        """The rule as the clerk writes it."""

    @abstractmethod
    def rank(self, cell: str) -> Rank:
        """Where a request stands whose cell says that."""

    @abstractmethod
    def finds(self, cell: str) -> Fact:
        """What the rule finds in that cell."""

    def warning(self, cells: Collection[str]) -> Fact | None:
        """What of the rule can hardly be meant, by all cells of the column; ``None`` if nothing."""
        del cells
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonTerms:
    """When the season is, and by which rules drills are lent. Days of notice count from the day of asking.

    With ``share_days`` short jobs may have a drill on the same days. ``letterhead`` are lines at the head
    of papers: who lends, and where to pay.
    """

    name: str
    opens: date
    closes: date
    confidence_prob: float
    longest_days: int
    notice_days: int
    inspection_s: float
    rules: tuple[Rule, ...]
    letterhead: tuple[str, ...] = ()
    share_days: bool = False

    def __post_init__(self) -> None:
        """Check ranges."""
        require(self.closes >= self.opens, "season-ends-early", key="closes")
        require((self.closes - self.opens).days < 366, "season-long")
        require_between("confidence", self.confidence_prob, 0.01, 0.999, "_typed_frac", example='"80 %"')
        require_between("longest_booking", self.longest_days, 1, 366, example="10")
        require_between("notice", self.notice_days, 0, 366, example="14")
        require_between("inspection", self.inspection_s, 0, 21_600, "_s", example='"45 min"')


@dataclass(frozen=True, slots=True, kw_only=True)
class RentalProgram:
    """A season's file: its terms, its drills, and the files beside it: the list of requests, and the rate
    card and the distances by road (m, by two names) if it has them.
    """

    path: Path
    terms: SeasonTerms
    drills: tuple[SeasonDrill, ...]
    requests_path: Path
    card_path: Path | None = None
    distances: Mapping[tuple[str, str], float] = field(default_factory=dict)
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BookingDuration:
    """How long a request takes with a drill: working days to book and hours of work, or why that drill
    cannot do it.

    The hours ``job_s`` hold ``field_s`` in the field and ``road_s`` on the road to collect the drill.
    ``undrilled`` are fields of the request on which nothing is drilled with it; ``ground_m2`` is that of
    the others.
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
    """A request that is served: its drill, its days, and why there.

    ``collect_from`` is the renter who had the drill before, empty if it stands at its home; ``tow_m`` the
    road from there; ``farthest_m`` the road from the farthest place that it could come from, which the days
    hold. ``odds_prob`` is the chance that the work, that of all who share the days, is done within them;
    ``None`` if it is done already. ``shared_booking`` are the requests that share the days, by name and in the order
    that the drill goes to them; this one alone, if nobody does. ``confirmed`` is whether the renter has
    said yes to these days.
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
        return tuple(one for one in self.shared_booking if one != self.request.request_id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Confirmed:
    """A booking that a renter has said yes to: its drill and its first day."""

    drill: str
    first: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Booked:
    """A booking as it was made, and the other requests that have the drill on the same days.

    ``priority`` is its place in the order in which the drill goes to those that share; ``confirmed`` whether
    the renter had said yes to it; ``farthest_m`` the road to collect the drill that its days were made to
    hold, ``None`` if that is not known.
    """

    drill: str
    days: tuple[date, ...]
    shares_with: tuple[str, ...] = ()
    priority: int = 0
    confirmed: bool = False
    farthest_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SoFar:
    """How a season stands: the first day that is still to come, days known to be lost, and the share done
    of what was begun.
    """

    today: date
    lost: frozenset[date]
    done_frac: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What becomes of a booking: ``now`` is ``None`` if it is lost, and then ``reason`` says why.

    ``odds_prob`` is the chance that its work, or what is left of it, is done within the days that it has
    now.
    """

    request: Request
    was: Booked
    now: Booked | None
    begun: bool = False
    reason: Fact | None = None
    odds_prob: float | None = None

    @property
    def moved(self) -> bool:
        """Whether somebody must be told of another drill or another first day."""
        return self.now is None or (
            not self.begun and (self.now.drill, self.now.days[0]) != (self.was.drill, self.was.days[0])
        )

    @property
    def shared_otherwise(self) -> bool:
        """Whether somebody that stays where it was, and has not begun, has other company now, or none."""
        return (
            self.now is not None
            and not (self.moved or self.begun)
            and set(self.now.shares_with) != set(self.was.shares_with)
        )

    @property
    def must_be_notified(self) -> bool:
        """Whether anything is other than it was for the renter: drill, first or last day, company."""
        return (
            self.moved
            or self.shared_otherwise
            or (self.now is not None and self.now.days[-1] != self.was.days[-1])
        )

    @property
    def later_days(self) -> int:
        """Days from the first day as it was to the first day now."""
        return 0 if self.now is None or self.begun else (self.now.days[0] - self.was.days[0]).days


@dataclass(frozen=True, slots=True, kw_only=True)
class Replanned:
    """A season after rain: what becomes of every booking that was not finished, and whether fewer could not
    have been moved.

    ``confidence_prob`` are the odds that renters were promised.
    """

    changes: tuple[Change, ...]
    finished: tuple[str, ...]
    served_proven: bool
    moved_bound: int
    moved_days_bound: int
    confidence_prob: float = 0.0

    @property
    def unlikely(self) -> tuple[Change, ...]:
        """Bookings whose days hold the work with less than the odds promised."""
        return tuple(
            change
            for change in self.changes
            if change.odds_prob is not None and change.odds_prob < self.confidence_prob
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """A request that is not served, why, and what would change it: each change was planned again and
    holds.
    """

    request: Request
    reason: Fact
    changes: tuple[Note, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What is proven of a schedule. A bound is what no schedule can beat."""

    served_proven: bool
    waiting_days: int
    waiting_bound_days: int
    tow_m: float
    tow_bound_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """Who has which drill when."""

    program: RentalProgram
    placements: tuple[Placement, ...]
    refusals: tuple[Refusal, ...]
    proof: Proof
    notes: tuple[Note, ...]
