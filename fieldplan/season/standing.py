"""The season as it stands, as reasons and offers look at it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.season import Lending, Length, Request
from fieldplan.season.claims import Run
from fieldplan.season.parties import Party


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """The season as it stands: requests, what each takes with each drill, when it may be, and who was given what.

    ``parties`` are the short requests that could share days, by drill and driving order; ``days`` the working days of each drill;
    ``levels`` the requests in the order they are served, ``confirmed`` those that stay where they were; ``farthest_m`` the road to collect
    each drill that the days of each request hold.
    """

    lending: Lending
    requests: Sequence[Request]
    lengths: Sequence[Mapping[str, Length]]
    parties: Mapping[tuple[int, tuple[int, ...]], Party]
    windows: Sequence[tuple[date, date]]
    days: Sequence[Sequence[date]]
    given: Sequence[Run]
    levels: Sequence[Sequence[int]]
    boundaries: Sequence[BoundaryFile]
    farthest_m: Sequence[Mapping[str, float]]
    confirmed: frozenset[int] = frozenset()

    def length(self, request: int, drill: int) -> Length:
        """What a request takes with a drill."""
        return self.lengths[request][self.lending.drills[drill].name]

    def length_in(self, run: Run, request: int) -> Length:
        """What a request takes in a run: alone as by itself, in a party its own part of the hours."""
        if len(run.requests) == 1:
            return self.length(request, run.drill)
        return self.parties[run.drill, run.requests].lengths[run.requests.index(request)]

    def waiting_days(self, run: Run, request: int) -> int:
        """Days that a request waits in a run."""
        return (self.days[run.drill][run.first] - self.windows[request][0]).days

    def able(self, request: int) -> list[int]:
        """Drills that can do a request at all."""
        return [d for d in range(len(self.lending.drills)) if not self.length(request, d).cannot]

    def turn(self, request: int) -> str:
        """How soon a request is served by the rules, among all turns; those who are confirmed come before any turn."""
        before = bool(self.confirmed)
        return f"turn {self.level(request) - before} of {len(self.levels) - before}"

    def level(self, request: int) -> int:
        """How soon a request is served, from 1."""
        return next(n for n, level in enumerate(self.levels, start=1) if request in level)

    def held(self, drill: int, first: date, last: date) -> list[int]:
        """Requests that have a drill on any working day from first to last."""
        days = self.days[drill]
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
        for k, day in enumerate(self.days[drill]):
            if first <= day <= last and k not in taken:
                run.append(day)
            elif run:
                yield run
                run = []
        if run:
            yield run
