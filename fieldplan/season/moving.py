"""Bookings that nobody confirmed, moved round what is held: the fewest, by the fewest days, with the odds asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fieldplan.model.booked import Booked
from fieldplan.season.docket import Docket
from fieldplan.season.held import days_taken
from fieldplan.season.odds import odds_within
from fieldplan.season.rain import moving_cost, without_reversals
from fieldplan.season.schedule import Solved, Steps
from fieldplan.season.scheduling_problem import Run

_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=False)
class Moving:
    """The bookings of a season in rain: those of the docket, as they were, with the priorities of their requests."""

    docket: Docket
    bookings: Sequence[Booked]
    priorities: Sequence[Sequence[int]]

    def free(self, held: Sequence[Run]) -> list[Run]:
        """Every run that a booking which is not held could get beside those held."""
        closed = days_taken(self.docket, held)
        return [
            grown
            for run in self.docket.runs(moving_cost(self.docket, self.bookings))
            if (grown := self._with_odds(run)) is not None
            and closed.isdisjoint((run.drill, day) for day in self.docket.days_of(grown))
        ]

    def settled(self, held: Sequence[Run], steps: Steps = iter) -> Solved:
        """The schedule with the runs held: the fewest bookings lost by the rules, then moved, by the fewest days."""
        runs = without_reversals(self.docket, [*held, *self.free(held)], self.bookings)
        return self.docket.settled(self.priorities, runs, steps)

    def comes_of(self, held: Sequence[Run]) -> tuple[int, list[int]]:
        """With the runs held: how many bookings are moved, and the indices of those that are lost."""
        solved = self.settled(held)
        own = {i for run in held for i in run.requests}
        given = {i: run for run in solved.given for i in run.requests}
        lost = [i for i in range(len(self.bookings)) if i not in given]
        moved = sum(
            (self.docket.program.drills[run.drill].name, self.docket.days_of(run)[0])
            != (self.bookings[i].drill, self.bookings[i].days[0])
            for i, run in given.items()
            if i not in own
        )
        return moved, lost

    def _with_odds(self, run: Run) -> Run | None:
        """A run with as many days as it takes to have the odds that were asked for, or those that its bookings had if
        these were lower; ``None`` if its windows do not hold them.

        Without a weather record any days of the right number have the same odds.
        """
        docket, bookings = self.docket, [self.bookings[i] for i in run.requests]
        drill, days = docket.program.drills[run.drill], docket.days[run.drill]
        if drill.job.booking.weather is None:
            return run
        asked = docket.program.terms.confidence_prob
        had = min((booked.promise.odds_prob for booked in bookings if booked.promise), default=asked)
        last = min(docket.windows[i][1] for i in run.requests)
        for n_days in range(run.n_days, min(docket.program.terms.longest_days, len(days) - run.first) + 1):
            grown = replace(run, n_days=n_days)
            if days[grown.end - 1] > last:
                return None
            odds_prob = odds_within(docket.work_s(run), docket.days_of(grown), drill, docket.program)
            if odds_prob >= min(asked, had) - _ROUNDING:
                return grown
        return None
