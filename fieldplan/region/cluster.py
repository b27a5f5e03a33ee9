"""Parts planned on a Dask cluster that is there already: its scheduler hands them out, and again if a worker is lost."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from fieldplan.errors import MissingExtra, PlanError, UsageError
from fieldplan.facts import fact
from fieldplan.kernels.ahead import make_ready
from fieldplan.region.crew import Gathered, Piece, PlanOne, plan_part
from fieldplan.region.parcel import LOST, TOO_LONG, Planned, Setup, plan_parcel
from fieldplan.region.parts import Part

_ANSWER_S = 20
_PARTS_A_THREAD = 2
"""Parts that are with the cluster at once: enough that none waits, so few that they stay out of memory."""
_LOOK_AGAIN_S = 0.02
_TO_TELL_S = 0.02
"""What a worker waits once it has said that it begins: so it is told even if the planner never lets go."""
_RESTART_S = 60
_BEGUN = "fieldplan-region-begun"
"""The topic under which workers say what they begin."""


def planned_by_cluster(
    parts: Iterable[Part],
    setup: Setup,
    *,
    address: str,
    limit_s: float,
    plan_one: PlanOne = plan_parcel,
) -> Iterator[tuple[int, list[Planned]]]:
    """Number and rows of each part, in whatever order they are done, as `crew.planned_by_processes`.

    A parcel that ends worker after worker is found by halves and left, and so is one that takes longer than its
    limit: its worker is restarted by the nanny that every worker of such a cluster has.

    Parameters
    ----------
    address
        Of the scheduler, such as ``tcp://host:8786``. Its workers need fieldplan of this version.
    limit_s
        Time that a part may take, from when its worker begins.

    Raises
    ------
    MissingExtra
        If the library is not installed.
    UsageError
        If no scheduler answers there.
    PlanError
        If a part is past its limit and its worker has no nanny that could restart it.
    """
    try:
        from distributed import Client
        from distributed.comm.addressing import parse_address, parse_host_port
        from distributed.comm.registry import get_backend
        from distributed.scheduler import KilledWorker
    except ImportError:
        raise MissingExtra.named("scale", fact("extra-for/cluster")) from None
    try:
        scheme, place = parse_address(address)
        get_backend(scheme)
        parse_host_port(
            place
        )  # what cannot be an address, a client complains of when it is cleared away too
        client = Client(address, timeout=_ANSWER_S, set_as_default=False)
    except (OSError, ValueError) as problem:
        raise UsageError.of(
            "cluster-unreachable", about="--scheduler", address=address, reason=str(problem)
        ) from None
    with client:
        # the result of a task, which the cluster makes again where a lost worker held it
        shared = client.submit(_same, setup, pure=False)
        left, waiting, gathered = iter(parts), deque[Piece](), Gathered()
        with_cluster: dict[Any, Piece] = {}
        clock = _Clock()
        restarted: set[str] = set()
        client.subscribe_topic(_BEGUN, clock.told)

        def hand_out() -> None:
            most = max(1, _PARTS_A_THREAD * sum(client.nthreads().values()))
            while len(with_cluster) < most:
                if not waiting:
                    part = next(left, None)
                    if part is None:
                        return
                    gathered.begin(part)
                    waiting.append(Piece(part=part, again=True))
                piece = waiting.popleft()
                future = client.submit(
                    _told_and_planned, clock.next_mark(), piece.part, shared, plan_one, pure=False
                )
                clock.marks[future] = clock.last_mark
                with_cluster[future] = piece

        def after(piece: Piece, code: str) -> Iterator[tuple[int, list[Planned]]]:
            again, given_up = piece.after_loss(code, setup)
            waiting.extend(again)
            yield from gathered.add(piece.part.number, given_up)

        hand_out()
        while with_cluster:
            done = [future for future in with_cluster if future.done()]
            if not done:
                time.sleep(_LOOK_AGAIN_S)
            for future in done:
                piece = with_cluster.pop(future)
                begun = clock.forget(future)
                try:
                    yield from gathered.add(piece.part.number, future.result())
                except KilledWorker as loss:
                    if not begun or loss.last_worker.address in restarted:  # another piece's fault
                        waiting.append(piece)
                    else:
                        yield from after(piece, LOST)
            for future, worker in clock.past(limit_s):
                piece = with_cluster.pop(future)
                clock.forget(future)
                client.cancel([future])
                restarted.add(worker)
                _restart(client, worker)
                yield from after(piece, TOO_LONG)
            hand_out()


@dataclass(slots=True)
class _Clock:
    """When which worker began which piece, as workers tell; told again if another worker begins it."""

    marks: dict[Any, int] = field(default_factory=dict)
    last_mark: int = 0
    begun: dict[int, tuple[float, str]] = field(default_factory=dict)

    def next_mark(self) -> int:
        """What tells a piece from all others."""
        self.last_mark += 1
        return self.last_mark

    def told(self, event: tuple[float, Any]) -> None:
        """Take in that a worker begins."""
        _, said = event
        self.begun[int(said["mark"])] = time.monotonic(), str(said["worker"])

    def forget(self, future: Any) -> bool:
        """A piece is not with the cluster any more; whether a worker had begun it."""
        return self.begun.pop(self.marks.pop(future), None) is not None

    def past(self, limit_s: float) -> list[tuple[Any, str]]:
        """Pieces that are past their limit, and the workers that have them."""
        now = time.monotonic()
        return [
            (future, self.begun[mark][1])
            for future, mark in self.marks.items()
            if mark in self.begun and now - self.begun[mark][0] > limit_s and not future.done()
        ]


def _restart(client: Any, worker: str) -> None:
    """End a worker's process, and have another in its place.

    Raises
    ------
    PlanError
        If the worker has no nanny to do that.
    """
    if worker not in client.nthreads():  # lost by itself meanwhile
        return
    try:
        client.restart_workers([worker], timeout=_RESTART_S, raise_for_error=False)
    except ValueError:
        raise PlanError.of("cluster-without-nanny") from None


def _told_and_planned(
    mark: int, part: Part, setup: Setup, plan_one: PlanOne = plan_parcel
) -> tuple[Planned, ...]:
    """The rows of a part, once it is said that its planning begins."""
    from distributed import get_worker

    make_ready()
    worker = get_worker()
    worker.log_event(_BEGUN, {"mark": mark, "worker": worker.address})
    time.sleep(_TO_TELL_S)
    return plan_part(part, setup, plan_one)


def _same(setup: Setup) -> Setup:
    return setup
