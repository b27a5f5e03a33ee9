"""The rental program of a season: its drills, its terms and its rules of priority."""

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
