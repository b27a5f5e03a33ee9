"""The season as it stands, as reasons and offers look at it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from fieldplan.facts import Fact, fact
from fieldplan.season.docket import Docket
from fieldplan.season.scheduling_problem import Run


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """The season as it stands: what was asked, and who was given what.

    ``priorities`` are the requests in the order they are served, ``confirmed`` those that stay where they were.
    """

    docket: Docket
    given: Sequence[Run]
    priorities: Sequence[Sequence[int]]
    confirmed: frozenset[int] = frozenset()

    def priority(self, request: int) -> int:
        """How soon a request is served by the rules, from 1; those who are confirmed come before any
        turn.
        """
        return next(
            n
            for n, priority in enumerate(self.priorities, start=0 if self.confirmed else 1)
            if request in priority
        )

    def of_priorities(self, request: int) -> Fact:
        """How soon a request is served, among all turns."""
        return fact(
            "turn-by-rules",
            n_turn=self.priority(request),
            n_turns=len(self.priorities) - bool(self.confirmed),
        )

    def held(self, drill: int, first: date, last: date) -> list[int]:
        """Requests that have a drill on any working day from first to last."""
        days = self.docket.days[drill]
        return [
            request
            for run in self.given
            if run.drill == drill and days[run.first] <= last and days[run.end - 1] >= first
            for request in run.requests
        ]

    def free(self, drill: int, first: date, last: date) -> Iterator[list[date]]:
        """Runs of working days of a drill from first to last that nobody has, each as long as can be."""
        taken = {k for run in self.given if run.drill == drill for k in range(run.first, run.end)}
        run: list[date] = []
        for k, day in enumerate(self.docket.days[drill]):
            if first <= day <= last and k not in taken:
                run.append(day)
            elif run:
                yield run
                run = []
        if run:
            yield run
