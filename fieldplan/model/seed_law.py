"""What limits the age of a seed test: the states concerned, or a limit that the job file sets."""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date

from fieldplan.model.checks import require, require_between


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedLaw:
    """Where seed is bought and sown, and a limit of one's own.

    Parameters
    ----------
    state
        The state where the seed is sold and sown; empty if it is not known.
    from_state
        The state that it comes from, if that is another one.
    max_months
        Most months from the month of the test to the sale, that month not counted; ``None`` for the state's.
    source
        Where that limit stands, with its year.
    """

    state: str = ""
    from_state: str = ""
    max_months: int | None = None
    source: str = ""

    def __post_init__(self) -> None:
        """Check ranges, and that a limit comes with its source."""
        if self.max_months is not None:
            require_between("test_limit_months", self.max_months, 1, 60, example="12")
            require(bool(self.source), "test-limit-source", key="test_limit_source")


def sold_through(tested: date, max_months: int) -> date:
    """The last day on which seed may be sold by a test: the end of the month of the test + ``max_months``.

    The month of the test is not counted. A state that counts it and allows a month more means the same day.

    Examples
    --------
    >>> sold_through(date(2026, 1, 1), 9)
    datetime.date(2026, 10, 31)
    """
    years, month = divmod(tested.month - 1 + max_months, 12)
    year, month = tested.year + years, month + 1
    return date(year, month, calendar.monthrange(year, month)[1])


def age_months(tested: date, on: date) -> int:
    """Months from the month of a test to that of a day.

    Examples
    --------
    >>> age_months(date(2026, 1, 20), date(2026, 12, 1))
    11
    """
    return (on.year - tested.year) * 12 + on.month - tested.month
