"""The docket: what each request takes with each drill, when it may have one, and which days the drills work.

Planning a season, planning it again after rain and measuring its capacity all begin from a docket. It
speaks of requests, drills and dates. `Docket.runs` turns it into the scheduling problem, in which only
indices and whole numbers are left for the solver. Each of the three brings its own priorities, its own cost
of a run of days, and its own choice of runs.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fieldplan.model.booked import BookingDuration
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.request import Request
from fieldplan.model.season import Proof
from fieldplan.season.durations import Progress, every_duration
from fieldplan.season.grounds import grounds_of
from fieldplan.season.roads import farthest_of, roads_of
from fieldplan.season.schedule import Solved, Steps, solve
from fieldplan.season.scheduling_problem import Run, SchedulingProblem, cost_of, tow_of
from fieldplan.season.shared_bookings import SharedBooking, shared_bookings_of
from fieldplan.season.windows import window_of, working_days

Cost = Callable[[tuple[int, ...], int, date], tuple[int, ...]]
"""Costs, the weightiest first, of giving requests a drill (by its index) from a first day on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Docket:
    """The requests of a season, what they take, and when they can be served.

    Requests and drills are counted from 0, in the order of their lists.

    Parameters
    ----------
    farthest_m
        For each request and drill, the road to collect the drill that its days allow for.
    durations
        For each request, what it takes with each drill, by the drill's name.
    windows
        First and last day that each request can have.
    days
        Working days of each drill.
    road_m
        For each drill, the road from request to request; the last row and column is its home.
    shared_bookings
        Short requests that could share days, by drill and by the order that they get it.
    begun
        Requests that have their drill already.
    """

    program: RentalProgram
    requests: Sequence[Request]
    boundaries: Sequence[BoundaryFile]
    farthest_m: Sequence[Mapping[str, float]]
    durations: Sequence[Mapping[str, BookingDuration]]
    windows: Sequence[tuple[date, date]]
    days: Sequence[Sequence[date]]
    road_m: Sequence[Sequence[Sequence[float]]]
    shared_bookings: Mapping[tuple[int, tuple[int, ...]], SharedBooking]
    begun: frozenset[int] = frozenset()

    @property
    def tow_m(self) -> dict[int, list[list[int]]]:
        """`road_m` in whole meters, by drill, as the solver needs it."""
        return {
            d: [[round(meters) for meters in row] for row in rows] for d, rows in enumerate(self.road_m)
        }

    def duration(self, request: int, drill: int) -> BookingDuration:
        """What a request takes with a drill, alone."""
        return self.durations[request][self.program.drills[drill].name]

    def duration_in(self, run: Run, request: int) -> BookingDuration:
        """What a request takes in a run of days: in a shared booking, its own part of the hours."""
        if len(run.requests) == 1:
            return self.duration(request, run.drill)
        return self.shared_bookings[run.drill, run.requests].durations[run.requests.index(request)]

    def work_s(self, run: Run) -> float:
        """Work of all requests of a run, in seconds."""
        return sum(self.duration_in(run, i).job_s for i in run.requests)

    def days_of(self, run: Run) -> tuple[date, ...]:
        """The working days of a run."""
        return tuple(self.days[run.drill][run.first : run.end])

    def waiting_days(self, first: date, request: int) -> int:
        """Days that a request waits from the start of its window if it begins on ``first``."""
        return (first - self.windows[request][0]).days

    def able(self, request: int) -> list[int]:
        """Drills that can do a request."""
        return [d for d in range(len(self.program.drills)) if self.duration(request, d).cannot is None]

    def runs(
        self, cost: Cost, longest_days: int | None = None, *, only: tuple[int, ...] | None = None
    ) -> Iterator[Run]:
        """Every run of working days that a request, or a shared booking, not begun yet could get.

        Parameters
        ----------
        cost
            Costs of a run, the weightiest first.
        longest_days
            Leaves out bookings longer than this.
        only
            Leaves out all others than this request, or than the shared booking of these.
        """
        for requests, d, duration in self._candidates():
            if only is not None and requests != only:
                continue
            if duration.cannot is not None or (longest_days is not None and duration.days > longest_days):
                continue
            days = self.days[d]
            earliest, last = (
                max(self.windows[i][0] for i in requests),
                min(self.windows[i][1] for i in requests),
            )
            for first in range(len(days) - duration.days + 1):
                if days[first] >= earliest and days[first + duration.days - 1] <= last:
                    yield Run(
                        requests=requests,
                        drill=d,
                        first=first,
                        n_days=duration.days,
                        costs=cost(requests, d, days[first]),
                    )

    def _candidates(self) -> Iterator[tuple[tuple[int, ...], int, BookingDuration]]:
        """Each request not begun and each shared booking, with each drill it could have and what it takes."""
        for i in range(len(self.requests)):
            if i not in self.begun:
                yield from (((i,), d, self.duration(i, d)) for d in range(len(self.program.drills)))
        for (d, requests), shared_booking in self.shared_bookings.items():
            if self.begun.isdisjoint(requests):
                yield requests, d, shared_booking.durations[0]

    def settled(
        self, priorities: Sequence[Sequence[int]], runs: Sequence[Run], steps: Steps = iter
    ) -> Solved:
        """The schedule: which of the runs are given, by priority.

        Parameters
        ----------
        priorities
            Requests by priority, the highest first.
        runs
            The runs that may be given.
        steps
            As in `solve`.
        """
        return solve(SchedulingProblem(priorities=priorities, runs=runs, tow_m=self.tow_m), steps)


def proof_of(docket: Docket, solved: Solved, n_costs: int) -> Proof:
    """What is proven of a docket that was settled by ``n_costs`` costs that are days of waiting."""
    return Proof(
        served_proven=solved.served_proven,
        waiting_days=sum(cost_of(solved.given, k) for k in range(n_costs)),
        waiting_bound_days=sum(solved.cost_bounds),
        tow_m=tow_of(solved.given, docket.tow_m),
        tow_bound_m=solved.tow_bound_m,
    )


def docket_of(
    program: RentalProgram,
    requests: Sequence[Request],
    progress: Progress = iter,
    *,
    farthest_m: Sequence[Mapping[str, float]] | None = None,
    open_day: Callable[[date], bool] = lambda _: True,
    lost: Collection[tuple[str, date]] = (),
    begun: Collection[int] = (),
) -> Docket:
    """The docket of a list of requests.

    Parameters
    ----------
    progress
        Wraps the requests while their booking durations are calculated, to show progress.
    farthest_m
        For each request, meters of road to collect each drill that its days must allow for; by default,
        from the farthest place of all.
    open_day
        Whether a working day can still be had.
    lost
        Drills by name, each with a day that it lost.
    begun
        Indices of requests that have begun or whose days are fixed: they are offered no other days and no shared booking.

    Raises
    ------
    InputError
        If the fields of a request cannot be used.
    """
    boundaries = grounds_of(program, requests)
    road_m = [roads_of(requests, drill, program.distances) for drill in program.drills]
    farthest_m = (
        farthest_of(requests, program.drills, program.distances) if farthest_m is None else farthest_m
    )
    durations = every_duration(requests, boundaries, program, farthest_m, progress)
    windows = [window_of(request, program) for request in requests]
    shared_bookings: dict[tuple[int, tuple[int, ...]], SharedBooking] = {}
    for d, drill in enumerate(program.drills):
        free = {i: duration[drill.name] for i, duration in enumerate(durations) if i not in begun}
        shared_bookings |= {
            (d, shared.requests): shared
            for shared in shared_bookings_of(drill, program, free, windows, road_m[d])
        }
    return Docket(
        program=program,
        requests=requests,
        boundaries=boundaries,
        farthest_m=farthest_m,
        durations=durations,
        windows=windows,
        road_m=road_m,
        days=[
            [day for day in working_days(drill, program) if open_day(day) and (drill.name, day) not in lost]
            for drill in program.drills
        ],
        shared_bookings=shared_bookings,
        begun=frozenset(begun),
    )
