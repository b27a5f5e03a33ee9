"""Several seasons side by side, and whether another drill would have served and paid."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from fieldplan.model.records import Board, BoardLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """What was asked of a season's fleet, and what the fleet could have served.

    Parameters
    ----------
    requests, days
        Requests, and working days that they take, each with the drill that needs the fewest.
    unable
        Ids of requests that no drill of the season can do; their days are not counted.
    away_days
        What of the days was asked for by those who were turned away.
    fleet_days
        Working days of all drills over the season.
    served, served_m2
        Requests, and their plantable ground, that the drills serve if all requests are known at the start.
    served_proven
        Whether it is proven that no schedule serves more by priority.
    """

    requests: int
    days: int
    unable: tuple[str, ...]
    away_days: int
    fleet_days: int
    served: int
    served_m2: float
    served_proven: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OneMore:
    """The same requests planned with one more drill like one that there is.

    Parameters
    ----------
    drill
        The drill that there would be two of: the one with which the most ground is served.
    requests, ground_m2
        Requests, and their plantable ground, that are served besides.
    """

    drill: str
    requests: int
    ground_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonYear:
    """One season in a report over several.

    Parameters
    ----------
    name, opens
        Name and first day of the season.
    board
        The report of the season: sums of its entries.
    by
        Sums by column of the list of requests.
    days_out
        Calendar days that drills were out, on rentals that are over.
    one_more
        What one more drill would have served.
    """

    name: str
    opens: date
    board: Board
    by: Mapping[str, tuple[BoardLine, ...]]
    demand: Demand
    one_more: OneMore

    @property
    def year(self) -> int:
        """The year in which it opened."""
        return self.opens.year

    @property
    def days_out(self) -> int:
        """Calendar days that drills were out, on rentals that are over."""
        return sum(drill.days_out for drill in self.board.drills)

    @property
    def away_m2(self) -> float:
        """Ground on the map of those turned away."""
        return sum(ground for _, ground, _ in self.board.turned_away)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """A drill that could be bought, as the person gives it: price, years that it lasts, upkeep in a year."""

    price: Decimal
    life_years: float
    upkeep: Decimal | None = None

    @property
    def yearly(self) -> Decimal:
        """What it costs in a year: price over life, and upkeep if it is known."""
        return self.price / Decimal(repr(self.life_years)) + (self.upkeep or Decimal(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Years:
    """Several seasons, the earliest first, and a drill that could be bought, if one was given."""

    seasons: tuple[SeasonYear, ...]
    as_of: date
    offered: Offered | None = None

    @property
    def currency(self) -> str:
        """The currency of all seasons; empty if none has a rate card."""
        return next((one.board.currency for one in self.seasons if one.board.currency), "")

    @property
    def per_m2(self) -> Decimal | None:
        """Charged for a square meter on the meter, over all seasons; ``None`` if nothing was charged."""
        drilled = sum(one.board.total.drilled_m2 for one in self.seasons)
        charged = sum((one.board.charged for one in self.seasons), Decimal(0))
        return charged / Decimal(repr(drilled)) if drilled > 0 and charged else None

    @property
    def more_m2(self) -> float:
        """Ground that one more drill would have served besides, in an average season."""
        return sum(one.one_more.ground_m2 for one in self.seasons) / len(self.seasons)

    @property
    def more_income(self) -> Decimal | None:
        """What that ground would have brought in an average season, charged as these seasons were."""
        return None if self.per_m2 is None else self.per_m2 * Decimal(repr(self.more_m2))

    @property
    def pays(self) -> bool | None:
        """Whether that is at least what the drill costs in a year; ``None`` where either is not known."""
        if self.offered is None or self.more_income is None:
            return None
        return self.more_income >= self.offered.yearly
