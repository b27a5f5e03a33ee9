"""The season as it was scheduled; reasons and offers are found in it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from fieldplan.facts import Fact, fact
from fieldplan.season.docket import Docket
from fieldplan.season.scheduling_problem import Run


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """The season as it was scheduled: the docket, and the runs of days given from it.

    Parameters
    ----------
    given
        The runs of days given.
    priorities
        Requests by priority, the highest first.
    confirmed
        Requests that keep the days they said yes to, or began on; they come before all others.
    begun, sharing
        Those of them that nobody confirmed: they have begun, or share their days with one that is kept.
    start
        The first day that can still be given; ``None`` for the first of the season.
    may_be
        Whether a run of days could be given, as the season stands.
    """

    docket: Docket
    given: Sequence[Run]
    priorities: Sequence[Sequence[int]]
    confirmed: frozenset[int] = frozenset()
    begun: frozenset[int] = frozenset()
    sharing: frozenset[int] = frozenset()
    start: date | None = None
    may_be: Callable[[Run], bool] = lambda _: True

    def priority(self, request: int) -> int:
        """Priority of a request by the rules, from 1; 0 for those confirmed."""
        return next(
            n
            for n, requests in enumerate(self.priorities, start=0 if self.confirmed else 1)
            if request in requests
        )

    def priority_fact(self, request: int) -> Fact:
        """Priority of a request, and how many priorities there are."""
        return fact(
            "turn-by-rules",
            n_turn=self.priority(request),
            n_turns=len(self.priorities) - bool(self.confirmed),
        )

    def with_days(self, drill: int, first: date, last: date) -> list[int]:
        """Requests that have the drill on any working day from ``first`` to ``last``."""
        days = self.docket.days[drill]
        return [
            request
            for run in self.given
            if run.drill == drill and days[run.first] <= last and days[run.end - 1] >= first
            for request in run.requests
        ]

    def free(self, drill: int, first: date, last: date) -> Iterator[list[date]]:
        """Each unbroken run of working days from ``first`` to ``last`` on which nobody has the drill."""
        taken = {k for run in self.given if run.drill == drill for k in range(run.first, run.end)}
        run: list[date] = []
        for k, day in enumerate(self.docket.days[drill]):
            if max(first, self.start or first) <= day <= last and k not in taken:
                run.append(day)
            elif run:
                yield run
                run = []
        if run:
            yield run
