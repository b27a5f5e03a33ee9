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
class RegionWork:
    """The work of a region's parcels that one job file plans.

    Parameters
    ----------
    width_m, boxes
        Effective width of its drill, and kinds of the boxes that its mixes ride in.
    ground_m2
        Plantable ground of the parcels.
    work_s
        Time of all parcels, each as a job by itself.
    """

    job: str
    width_m: float
    boxes: tuple[str, ...]
    n_parcels: float
    ground_m2: float
    work_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionFound:
    """What a region's folder says that its parcels take.

    Parameters
    ----------
    name
        The file of the parcels.
    n_rows, n_drawn
        Rows of the file, and of the sample; the latter ``None`` if all were planned.
    n_refused, refused_m2
        Parcels that are not planned and so not in the work, and their ground as far as outlines tell.
    error_frac
        Standard error of the work of a sample, as a share of it.
    """

    name: str
    n_rows: int
    n_drawn: int | None
    n_refused: int
    refused_m2: float
    error_frac: float
    works: tuple[RegionWork, ...]

    @property
    def ground_m2(self) -> float:
        """Plantable ground of all planned parcels."""
        return sum(work.ground_m2 for work in self.works)


@dataclass(frozen=True, slots=True, kw_only=True)
class Served:
    """What drills do of the work of one kind in a season.

    Parameters
    ----------
    drill_days
        Working days of all drills together.
    fieldwork_days
        Those that the weather leaves on average.
    done_prob
        Odds that all the work is done.
    ground_m2
        Ground that is done with the confidence of the season, if it is done in equal shares.
    needed
        Fewest drills, these included, that are done with that confidence; ``None`` if there is none like it or no
        number is.
    """

    drill_days: int
    fieldwork_days: float
    done_prob: float
    ground_m2: float
    needed: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class KindDemand:
    """What a region asks of one kind of drill, and what the drills of a season that can do it give.

    Parameters
    ----------
    jobs
        The job files that plan it.
    width_m, boxes
        Effective width, and kinds of boxes it needs.
    fieldwork_days
        Days of work at the hours of those drills; of the first drill of the season if there is none.
    drills
        The drills of the season that can do it: as wide, with all these boxes.
    free
        If nothing else were booked.
    beside
        On the days that the season's bookings leave.
    """

    jobs: tuple[str, ...]
    width_m: float
    boxes: tuple[str, ...]
    n_parcels: float
    ground_m2: float
    work_s: float
    fieldwork_days: float
    drills: tuple[str, ...]
    free: Served
    beside: Served


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionDemand:
    """What a program over a region would ask of the drills of a season.

    Parameters
    ----------
    share_frac
        Share of the region's ground that the program sows; above 1 for more ground than the region has.
    kinds
        By kind of drill.
    """

    found: RegionFound
    share_frac: float
    kinds: tuple[KindDemand, ...]

    @property
    def shared_drills(self) -> tuple[str, ...]:
        """Drills that several kinds of work count on."""
        every = [name for kind in self.kinds for name in kind.drills]
        return tuple(sorted({name for name in every if every.count(name) > 1}))


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """The same requests with one thing ``changed``."""

    changed: Fact
    season: Season
    chances: Chances


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacity:
    """A season's capacity: what was asked, what there is, how it turns out, and what each change would bring.

    Parameters
    ----------
    region
        What a program over a region would ask besides; ``None`` if none was given.
    """

    asked: Asked
    drills: tuple[DrillUse, ...]
    now: Option
    options: tuple[Option, ...]
    region: RegionDemand | None = None
