"""A drill that is out of work: from its breakdown until it works again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from fieldplan.model.entry import Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Downtime:
    """A breakdown of one drill with its repairs.

    Parameters
    ----------
    entry
        The entry "down": what broke, and until when it was expected to last.
    works
        The first day on which the drill works again; ``None`` while only the day that was expected is known.
    repairs
        The entries "repair" that belong to it.
    """

    entry: Entry
    works: date | None = None
    repairs: tuple[Entry, ...] = ()

    @property
    def drill(self) -> str:
        """The drill by name."""
        return str(self.entry.facts["drill"])

    @property
    def what(self) -> str:
        """What broke."""
        return str(self.entry.facts["what"])

    @property
    def last(self) -> date:
        """The last day without the drill, as it is known or expected."""
        expected = self.entry.facts["until"]
        assert isinstance(expected, date)
        return expected if self.works is None else self.works - timedelta(days=1)

    @property
    def days(self) -> tuple[date, ...]:
        """Calendar days without the drill: none if it worked again the same day."""
        n_days = (self.last - self.entry.day).days + 1
        return tuple(self.entry.day + timedelta(days=k) for k in range(n_days))

    @property
    def cost(self) -> Decimal:
        """What its repairs cost together."""
        return sum((entry.facts["cost"] for entry in self.repairs), Decimal(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class DownLine:
    """A breakdown in the report to the board, with the working ``days`` that it took."""

    downtime: Downtime
    days: int
