"""What is asked of the drills: what each request takes with each of them, when it may have one, and the
days that they work.

Planning a season, mending it after rain and weighing its capacity all settle a docket. They say what they
differ in: who goes before whom, what a run of days costs, and which runs may be given.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.season import BookingDuration, RentalProgram, Request
from fieldplan.season.durations import Progress, every_duration
from fieldplan.season.grounds import grounds_of
from fieldplan.season.roads import farthest_of, roads_of
from fieldplan.season.schedule import Solved, Steps, solve
from fieldplan.season.scheduling_problem import Run, SchedulingProblem
from fieldplan.season.shared_bookings import SharedBooking, shared_bookings_of
from fieldplan.season.windows import window_of, working_days

Cost = Callable[[tuple[int, ...], int, date], tuple[int, ...]]
"""What it costs that requests have a drill (counted from 0) from a day on, in order of weight."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Docket:
    """Requests, what they take, and when.

    ``shared_bookings`` are the short requests that could share days, by drill and driving order; ``days`` the
    working days of each drill; ``road_m`` for each drill the road from request to request, its home last;
    ``farthest_m`` the road to collect each drill that the days of each request hold; ``begun`` the requests
    that have their drill already.
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
        """For each drill, whole metres of road from request to request; the last row and column is its
        home.
        """
        return {d: [[round(metres) for metres in row] for row in own] for d, own in enumerate(self.road_m)}

    def duration(self, request: int, drill: int) -> BookingDuration:
        """What a request takes with a drill."""
        return self.durations[request][self.program.drills[drill].name]

    def duration_in(self, run: Run, request: int) -> BookingDuration:
        """What a request takes in a run: alone as by itself, in a party its own part of the hours."""
        if len(run.requests) == 1:
            return self.duration(request, run.drill)
        return self.shared_bookings[run.drill, run.requests].durations[run.requests.index(request)]

    def work_s(self, run: Run) -> float:
        """Hours of all who share a run, in seconds."""
        return sum(self.duration_in(run, i).job_s for i in run.requests)

    def days_of(self, run: Run) -> tuple[date, ...]:
        """The working days of a run."""
        return tuple(self.days[run.drill][run.first : run.end])

    def waiting_days(self, first: date, request: int) -> int:
        """Days that a request waits which begins on a day."""
        return (first - self.windows[request][0]).days

    def able(self, request: int) -> list[int]:
        """Drills that can do a request at all."""
        return [d for d in range(len(self.program.drills)) if self.duration(request, d).cannot is None]

    def runs(self, cost: Cost, longest_days: int | None = None) -> Iterator[Run]:
        """Every run of working days that a request that has not begun, or a party of them, could get."""
        for requests, d, duration in self._asked():
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

    def _asked(self) -> Iterator[tuple[tuple[int, ...], int, BookingDuration]]:
        """Who could have days together, with which drill, and what they take."""
        for i in range(len(self.requests)):
            if i not in self.begun:
                yield from (((i,), d, self.duration(i, d)) for d in range(len(self.program.drills)))
        for (d, requests), shared_booking in self.shared_bookings.items():
            yield requests, d, shared_booking.durations[0]

    def settled(
        self, priorities: Sequence[Sequence[int]], runs: Sequence[Run], steps: Steps = iter
    ) -> Solved:
        """Who gets which of the runs, served level by level; ``steps`` are as in `solve`."""
        return solve(SchedulingProblem(priorities=priorities, runs=runs, tow_m=self.tow_m), steps)


def docket_of(
    program: RentalProgram,
    requests: Sequence[Request],
    progress: Progress = iter,
    *,
    farthest_m: Sequence[Mapping[str, float]] | None = None,
    open_day: Callable[[date], bool] = lambda _: True,
    begun: Collection[int] = (),
) -> Docket:
    """The docket of requests.

    Parameters
    ----------
    farthest_m
        For each request, the road (m) to collect each drill that its days are to hold; if not given, from
        the farthest place of all.
    open_day
        Whether a working day can still be had.
    begun
        Requests that have begun: they come to share no days.

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
            (d, one.requests): one for one in shared_bookings_of(drill, program, free, windows, road_m[d])
        }
    return Docket(
        program=program,
        requests=requests,
        boundaries=boundaries,
        farthest_m=farthest_m,
        durations=durations,
        windows=windows,
        road_m=road_m,
        days=[[day for day in working_days(drill, program) if open_day(day)] for drill in program.drills],
        shared_bookings=shared_bookings,
        begun=frozenset(begun),
    )
