"""Parts planned on a Dask cluster that is there already: its scheduler hands them out, and again if a worker is lost."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator
from typing import Any

from fieldplan.errors import MissingExtra, UsageError
from fieldplan.facts import fact
from fieldplan.region.crew import Gathered, Piece, PlanOne, plan_part
from fieldplan.region.parcel import LOST, Planned, Setup, plan_parcel
from fieldplan.region.parts import Part

_ANSWER_S = 20
_PARTS_A_THREAD = 2
"""Parts that are with the cluster at once: enough that none waits, so few that they stay out of memory."""


def planned_by_cluster(
    parts: Iterable[Part], setup: Setup, *, address: str, plan_one: PlanOne = plan_parcel
) -> Iterator[tuple[int, list[Planned]]]:
    """Number and rows of each part, in whatever order they are done, as `crew.planned_by_processes`.

    A parcel that ends worker after worker is found by halves and left. Time limits are the cluster's business.

    Parameters
    ----------
    address
        Of the scheduler, such as ``tcp://host:8786``. Its workers need fieldplan of this version.

    Raises
    ------
    MissingExtra
        If the library is not installed.
    UsageError
        If no scheduler answers there.
    """
    try:
        from distributed import Client, as_completed
        from distributed.scheduler import KilledWorker
    except ImportError:
        raise MissingExtra.named("scale", fact("extra-for/cluster")) from None
    try:
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
        done = as_completed(loop=client.loop)

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
                future = client.submit(plan_part, piece.part, shared, plan_one, pure=False)
                with_cluster[future] = piece
                done.add(future)

        hand_out()
        while with_cluster:
            future = next(done)
            piece = with_cluster.pop(future)
            try:
                yield from gathered.add(piece.part.number, future.result())
            except KilledWorker:
                again, given_up = piece.after_loss(LOST, setup)
                waiting.extend(again)
                yield from gathered.add(piece.part.number, given_up)
            hand_out()


def _same(setup: Setup) -> Setup:
    return setup
