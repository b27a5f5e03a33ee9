"""Whom to serve, by priority.

Each priority in turn is served beside all that are served before it. Where there is room no proof is needed
(`inserted`); that there is none a linear program often proves (`relaxed`); what is left is an integer program with the
runs of those concerned alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from fieldplan.facts import Fact
from fieldplan.season.inserted import Bookings
from fieldplan.season.relaxed import Room
from fieldplan.season.scheduling_problem import Run, SchedulingProblem, served_by

_LARGEST_WEIGHT = 2**6
"""Priorities are proven in chunks up to this weight: several small proofs are quicker than one with large weights."""
Counts = list[tuple[Sequence[int], int]]
"""Groups of requests, each with how many of it are served."""
Proving = Callable[[Sequence[Run], Counts, Sequence[Sequence[int]], Sequence[Run]], tuple[list[Run], bool]]
"""Serves the most of further groups by an integer program: of the runs, beside the counts, from the runs given."""


@dataclass
class Serving:
    """The requests served so far, priority by priority.

    Parameters
    ----------
    prove
        What serves groups where neither insertion nor the linear program decides.
    counts
        The groups that are settled.
    proven
        Whether no schedule serves more by priority.
    """

    problem: SchedulingProblem
    prove: Proving
    counts: Counts = field(default_factory=list)
    proven: bool = True

    def __post_init__(self) -> None:
        """Sort the runs by request."""
        options: dict[int, list[Run]] = {i: [] for group in self.problem.priorities for i in group}
        for run in sorted(
            self.problem.runs, key=lambda run: (run.costs, run.n_days)
        ):  # early days are tried first
            for request in run.requests:
                options.setdefault(request, []).append(run)
        self._bookings = Bookings(options)
        self._room: Room | None = None
        self._options = options
        self._out: set[int] = set()

    def all(self, step: Iterator[Fact]) -> list[Run]:
        """The runs that serve the most by priority; one of the steps for each chunk of priorities."""
        for chunk in chunks_of(self.problem.priorities):
            next(step)
            left = list(chunk)
            while left:
                if self._settled(left[0]):
                    left.pop(0)
                else:
                    self._proved(left)
                    left = []
        return self._bookings.runs

    def _settled(self, group: Sequence[int]) -> bool:
        """Serve a group where that needs no proof by an integer program."""
        placed = all(request in self._bookings.given or self._bookings.insert(request) for request in group)
        if placed:
            self._close(group, len(group))
            return True
        if len(group) > 1 or self._room_for(group[0]):
            return False
        self._close(group, 0)
        return True

    def _room_for(self, request: int) -> bool:
        """Whether the linear program has room for it. It is made when it is asked for first."""
        if any(0 < n < len(group) for group, n in self.counts):
            return True
        if self._room is None:
            self._room = Room(self._options)
            for group, n in self.counts:
                for one in group:
                    (self._room.serve if n else self._room.leave_out)(one)
        return self._room.has_room(request)

    def _proved(self, groups: Sequence[Sequence[int]]) -> None:
        active = {i for group, n in self.counts if n for i in group} | {
            i for group in groups for i in group
        }
        runs = [
            run
            for run in self.problem.runs
            if active.intersection(run.requests) and self._out.isdisjoint(run.requests)
        ]
        given, proven = self.prove(runs, self.counts, groups, self._bookings.runs)
        self.proven = self.proven and proven
        self._bookings.become(given)
        served = served_by(given)
        for group in groups:
            self._close(group, len(served & set(group)))

    def _close(self, group: Sequence[int], n_served: int) -> None:
        self.counts.append((group, n_served))
        if not n_served:
            self._out |= set(group)
        if self._room is not None and n_served in (0, len(group)):
            for request in group:
                (self._room.serve if n_served else self._room.leave_out)(request)


def chunks_of(priorities: Sequence[Sequence[int]]) -> list[list[Sequence[int]]]:
    """Priorities in order, in chunks that one objective can weigh without large weights."""
    chunks: list[list[Sequence[int]]] = []
    weight = _LARGEST_WEIGHT
    for group in priorities:
        if weight * (len(group) + 1) >= _LARGEST_WEIGHT:
            chunks.append([])
            weight = 1
        chunks[-1].append(group)
        weight *= len(group) + 1
    return chunks
