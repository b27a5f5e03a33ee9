"""A district's season: the requests, the drills, the rules of priority, and the bookings that follow."""

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

    Parameters
    ----------
    row
        Its row in the list; the header is row 1.
    ready, until
        First day the renter can begin; last day the work may be done.
    asked
        Day of asking, from which days of notice count.
    fields, ground_m2
        A boundary file, or the size of the ground: always one of the two.
    place_lonlat
        Longitude and latitude in degrees.
    boxes
        Kinds of boxes that the drill must have.
    facts
        Every column as typed, for the rules.
    renter_id
        Who rents, apart from the name; empty where nobody gave one.
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
    renter_id: str = ""

    @property
    def who(self) -> str:
        """What tells the renter from others: the id, else the name."""
        return self.renter_id or self.renter

    @property
    def phone(self) -> str:
        """The renter's telephone number, or nothing. Only the clerk sees it, unless it is asked for."""
        return self.facts.get("phone", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonDrill:
    """A drill of the district.

    Parameters
    ----------
    job
        Its job file: what it is and how it works.
    home_lonlat
        Where it stands between rentals: longitude and latitude in degrees.
    weekdays_off
        Days of the week without work; Monday is 0.
    dates_off
        Single days without work.
    """

    name: str
    job: Job
    home_lonlat: tuple[float, float]
    weekdays_off: frozenset[int] = frozenset()
    dates_off: frozenset[date] = frozenset()

    def __post_init__(self) -> None:
        """Check that at least one day of the week is left for work."""
        require(len(self.weekdays_off) < 7, "out-of-range/every-day", key="days_off")


Rank = tuple[int, float, str]
"""Sort key that a rule gives a request: the lowest is served first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule(ABC):
    """A rule of priority over one ``column`` of the list; the kinds of rules are in ``season/priorities``."""

    column: str

    @property
    @abstractmethod
    def text(self) -> str:
        """The rule as the clerk writes it."""

    @abstractmethod
    def rank(self, cell: str) -> Rank:
        """Sort key of a request with that cell."""

    @abstractmethod
    def finds(self, cell: str) -> Fact:
        """What the rule finds in that cell."""

    def warning(self, cells: Collection[str]) -> Fact | None:
        """A likely slip in the rule, found in all cells of the column; ``None`` if there is none."""
        del cells
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonTerms:
    """When the season is, and the terms on which drills are rented out.

    Parameters
    ----------
    opens, closes
        First and last day of the season.
    confidence_prob
        Chance of being done in time that every booking is made for.
    longest_days
        Most working days that one booking may have.
    notice_days
        Days from asking to the first day that can be had.
    inspection_s
        Time to look over the drill at each hand-over.
    rules
        Rules of priority, the strongest first.
    letterhead
        Lines at the head of papers: who rents out the drills, and where to pay.
    share_days
        Whether short jobs may have a drill on the same days.
    season_id
        What tells this season from all others; empty for name and first day.
    early_by_rules
        Whether the rules also decide who is early, not only who is served.
    before_out
        What must be in order before a drill goes out, as the season's file names it.
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
    season_id: str = ""
    early_by_rules: bool = False
    before_out: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        """The id of the season: as given, else its name and its first day."""
        return self.season_id or f"{self.name} {self.opens.isoformat()}"

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
    """The rental program of a season, as its file describes it.

    Parameters
    ----------
    path
        The season's file.
    requests_path, card_path
        The list of requests, and the rate card if there is one.
    earlier
        Files of earlier seasons, for what their renters still owe and what was recorded of them.
    distances
        Meters of road by two names in lower case, from the first to the second.
    templates
        The folder of the district's own templates of letters; ``None`` if it has none.
    """

    path: Path
    terms: SeasonTerms
    drills: tuple[SeasonDrill, ...]
    requests_path: Path
    card_path: Path | None = None
    distances: Mapping[tuple[str, str], float] = field(default_factory=dict)
    notes: tuple[Note, ...] = ()
    earlier: tuple[Path, ...] = ()
    templates: Path | None = None

    def works(self, drill: str, day: date) -> bool:
        """Whether a drill works on a day; one that the season has no more counts as working."""
        own = next((one for one in self.drills if one.name == drill), None)
        return own is None or not (day.weekday() in own.weekdays_off or day in own.dates_off)


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
    """

    request: Request
    was: Booked
    now: Booked | None
    begun: bool = False
    reason: Fact | None = None
    odds_prob: float | None = None

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
        What to enter.
    """

    what: Fact
    command: str


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
    assumed
        Ids of bookings under way of which nobody said how much is done: nothing is taken as done.
    """

    changes: tuple[Change, ...]
    finished: tuple[str, ...]
    served_proven: bool
    moved_bound: int
    moved_days_bound: int
    confidence_prob: float = 0.0
    clashes: tuple[Clash, ...] = ()
    lowered: tuple[Lowered, ...] = ()
    assumed: tuple[str, ...] = ()

    @property
    def unlikely(self) -> tuple[Change, ...]:
        """Bookings with lower odds of being done than were promised."""
        return tuple(
            change
            for change in self.changes
            if change.odds_prob is not None and change.odds_prob < self.confidence_prob
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """A request that is not served, and why. Each of ``changes`` was planned again and would serve it."""

    request: Request
    reason: Fact
    changes: tuple[Note, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What is proven of a schedule. No schedule can do better than a bound."""

    served_proven: bool
    waiting_days: int
    waiting_bound_days: int
    tow_m: float
    tow_bound_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """Who has which drill when, who is not served, and what is proven of it."""

    program: RentalProgram
    placements: tuple[Placement, ...]
    refusals: tuple[Refusal, ...]
    proof: Proof
    notes: tuple[Note, ...]
