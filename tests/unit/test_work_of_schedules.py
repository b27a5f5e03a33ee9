"""How much work the solver gets for a season: limits count what it does, never the clock."""

from __future__ import annotations

import random

import pytest
from benchmarks.season import season

from fieldplan.season import cheapest, schedule, stretches
from fieldplan.season.day_program import solved
from fieldplan.season.scheduling_problem import SchedulingProblem, served_by

pytest.importorskip("ortools")


@pytest.fixture
def works(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """What each call of the solver took, as it is called."""
    took: list[float] = []

    def recorded(*given: object, **more: object) -> object:
        found = solved(*given, **more)  # type: ignore[arg-type]
        took.append(found[3])
        return found

    for module in (schedule, cheapest, stretches):
        monkeypatch.setattr(module, "solved", recorded)
    return took


def _crowded() -> SchedulingProblem:
    """Forty requests for two drills of thirty days: who is served takes proofs."""
    return season(40, 2, 30, random.Random(2))


def test_all_work_of_a_season_has_one_limit(works: list[float], monkeypatch: pytest.MonkeyPatch) -> None:
    """Whom to serve and costs share it: what the one takes the other has not. Each program may go over its own by little."""
    schedule.solve(_crowded())
    free = sum(works)
    works.clear()
    for name in ("WORK", "SERVING_WORK", "COST_WORK"):
        monkeypatch.setattr(schedule, name, free / 20)
    for module in (schedule, cheapest):
        monkeypatch.setattr(module, "LEAST_WORK", free / 100)
    monkeypatch.setattr(schedule, "TOW_WORK", free / 20)
    schedule.solve(_crowded())
    assert sum(works) < free / 2


def test_a_season_of_many_runs_is_not_proven_bit_by_bit(monkeypatch: pytest.MonkeyPatch) -> None:
    """When the work is used up, no program of all its runs is begun: that is told, and some are served."""
    for module in (schedule, cheapest):
        monkeypatch.setattr(module, "MANY_RUNS", 50)
    monkeypatch.setattr(schedule, "SERVING_WORK", 0.0)
    found = schedule.solve(_crowded())
    assert not found.served_proven
    monkeypatch.undo()
    best = schedule.solve(_crowded())
    assert best.served_proven
    turns = [request for (request,) in _crowded().priorities]
    served, most = ([request in served_by(one.given) for request in turns] for one in (found, best))
    assert [False] * len(turns) < served <= most


def test_the_same_requests_give_the_same_season(monkeypatch: pytest.MonkeyPatch) -> None:
    """Also where the work runs out."""
    for name in ("WORK", "SERVING_WORK", "COST_WORK"):
        monkeypatch.setattr(schedule, name, 0.02)
    assert schedule.solve(_crowded()) == schedule.solve(_crowded())
