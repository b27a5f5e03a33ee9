"""Room for one more request among those that are served: bookings give way to each other until all have days.

A request is put where it is free, else where the fewest give way, and these look for other days in turn. Who has given
way often is moved less readily, so the search does not go round in circles (an ejection pool, as Nagata and Bräysy 2009
describe it for vehicle routes). It proves nothing where it fails.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from fieldplan.season.scheduling_problem import Run

STEPS = 400
"""Bookings moved before a request is given up."""
_MOST_GIVING_WAY = 2


@dataclass
class Bookings:
    """Who has which days so far.

    Parameters
    ----------
    options
        Runs by request.
    given
        The run of each request that is served.
    """

    options: Mapping[int, Sequence[Run]]
    given: dict[int, Run] = field(default_factory=dict)
    _at: dict[tuple[int, int], Run] = field(default_factory=dict)

    @property
    def runs(self) -> list[Run]:
        """The runs given, each once."""
        return list(dict.fromkeys(self.given.values()))

    def become(self, runs: Iterable[Run]) -> None:
        """Take over a schedule as a whole."""
        self._at, self.given = {}, {}
        for run in runs:
            self._put(run)

    def insert(self, request: int) -> bool:
        """Serve one more request beside all that are served; without room nothing changes."""
        before = self.runs
        often: dict[int, int] = {}
        chance = random.Random(request)
        waiting, steps = [request], 0
        allowed = {*self.given, request}
        while waiting:
            one = waiting.pop()
            if one in self.given:
                continue
            place = self._place(one, allowed, often, chance)
            steps += 1
            if place is None or steps > STEPS:
                self.become(before)
                return False
            run, in_the_way = place
            often[one] = often.get(one, 1) + 1
            for other in in_the_way:
                self._take_away(other)
                waiting = [*other.requests, *waiting]
            self._put(run)
        return True

    def _place(
        self, request: int, allowed: set[int], often: Mapping[int, int], chance: random.Random
    ) -> tuple[Run, set[Run]] | None:
        best: tuple[float, Run, set[Run]] | None = None
        for run in self.options[request]:
            if not allowed.issuperset(run.requests):
                continue
            days = ((run.drill, day) for day in range(run.first, run.end))
            in_the_way = {self._at[at] for at in days if at in self._at}
            in_the_way |= {self.given[one] for one in run.requests if one in self.given}
            if not in_the_way:
                return run, in_the_way
            if len(in_the_way) > _MOST_GIVING_WAY:
                continue
            cost = (
                sum(often.get(one, 1) for other in in_the_way for one in other.requests) + chance.random()
            )
            if best is None or cost < best[0]:
                best = cost, run, in_the_way
        return None if best is None else best[1:]

    def _put(self, run: Run) -> None:
        self._at |= dict.fromkeys(((run.drill, day) for day in range(run.first, run.end)), run)
        self.given |= dict.fromkeys(run.requests, run)

    def _take_away(self, run: Run) -> None:
        for day in range(run.first, run.end):
            del self._at[run.drill, day]
        for request in run.requests:
            del self.given[request]
