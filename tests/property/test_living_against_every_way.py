"""A living season against trying everything: who is served on what is left, who moves in rain, who is offered what.

Days to book are not taken from the program. Hours are those of a job of so many acres by the handbook: width × speed × field
efficiency ÷ 8.25, in acres an hour with feet and miles an hour, at 65 to 70 % (ASAE EP496, introduction: seeding and planting),
and the farm's own set-up, calibration, clean-out and inspection; both ends come to the same fieldwork days. The days are then the
fewest whose odds by the binomial distribution are 80 % at least.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import product
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from living import Clerk, odds_of, row

pytest.importorskip("ortools")

OPENS, CLOSES = date(2027, 5, 3), date(2027, 5, 20)
WORKING = [
    day for k in range((CLOSES - OPENS).days + 1) if (day := OPENS + timedelta(days=k)).weekday() != 6
]
ACRES = {"A": 12, "B": 24, "C": 12, "D": 12}
WINDOWS = ((3, 12), (3, 20), (6, 15), (10, 20))
"""First and last day of a request in May."""
DRILLS = ("one", "two")


def length_of(acres: float) -> int:
    """Days to book for a job with the sample farm's drill, by the handbook and the binomial distribution."""
    rate = 10 * 4.5 / 8.25
    around = 0.5 + 0.75 + 0.75 + 0.75
    needed = {math.ceil((acres / (rate * share) + around) / 8) for share in (0.65, 0.70)}
    (fieldwork_days,) = needed
    return next(n for n in range(1, 60) if odds_of(n, fieldwork_days) >= 0.8)


LENGTHS = {name: length_of(acres) for name, acres in ACRES.items()}


def test_lengths_are_those_of_the_handbook() -> None:
    """One fieldwork day and two."""
    assert LENGTHS == {"A": 3, "B": 5, "C": 3, "D": 3}


def _left(lost: set[tuple[str, date]], drill: str) -> list[date]:
    return [day for day in WORKING if (drill, day) not in lost]


def _runs(
    name: str,
    window: tuple[int, int],
    lost: set[tuple[str, date]],
    closed: set[tuple[str, date]],
    drills: tuple[str, ...],
) -> list[tuple[str, tuple[date, ...]]]:
    """Every run of days that a request could have, with the drill."""
    found = []
    for drill in drills:
        days = _left(lost, drill)
        for k in range(len(days) - LENGTHS[name] + 1):
            run = tuple(days[k : k + LENGTHS[name]])
            if (
                run[0].day >= window[0]
                and run[-1].day <= window[1]
                and not {(drill, day) for day in run} & closed
            ):
                found.append((drill, run))
    return found


def _every(
    choices: list[list[tuple[str, tuple[date, ...]] | None]],
) -> Iterator[tuple[tuple[str, tuple[date, ...]] | None, ...]]:
    """Every way to give each request one of its runs, or none, with no day of a drill given twice."""
    for way in product(*choices):
        taken = [(drill, day) for one in way if one is not None for drill, days in [one] for day in days]
        if len(taken) == len(set(taken)):
            yield way


@st.composite
def seasons(draw: st.DrawFn) -> tuple[dict[str, tuple[int, int]], set[str], set[tuple[str, date]], int]:
    """Windows of four requests, who of them says yes, days lost, and the number of drills."""
    windows = {name: draw(st.sampled_from(WINDOWS)) for name in ACRES}
    n_drills = draw(st.integers(1, 2))
    yes = draw(st.sets(st.sampled_from(sorted(ACRES)), max_size=2))
    days = draw(st.sets(st.sampled_from(WORKING), max_size=3))
    return windows, yes, {(drill, day) for drill in DRILLS[:n_drills] for day in days}, n_drills


def _clerk(folder: Path, windows: dict[str, tuple[int, int]], n_drills: int) -> Clerk:
    clerk = Clerk(folder).season(drills=DRILLS[:n_drills], closes=CLOSES.isoformat())
    rows = [
        row(
            name,
            acres=str(acres),
            asked=f"2027-03-0{k}",
            ready=f"2027-05-{windows[name][0]:02}",
            until=f"2027-05-{windows[name][1]:02}",
        )
        for k, (name, acres) in enumerate(ACRES.items(), start=1)
    ]
    return clerk.list(*rows)


def _days(one: dict[str, list[str]]) -> tuple[date, ...]:
    return tuple(map(date.fromisoformat, one["days"]))


@settings(
    max_examples=12,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(season=seasons())
def test_no_way_of_all_is_better(
    season: tuple[dict[str, tuple[int, int]], set[str], set[tuple[str, date]], int],
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """Planned: the most are served by priority, with the least waiting. In rain: the same with the fewest moved by the fewest
    days. On offer: whoever gains, in order, as early as can be. What was promised stays through all of it.
    """
    windows, yes, lost, n_drills = season
    clerk = _clerk(tmp_path_factory.mktemp("season") / "spring", windows, n_drills)
    first = clerk.bookings()
    assert all(len(one["days"]) == LENGTHS[name] for name, one in first.items())
    _served_best(first, {}, set(), set(), windows, n_drills)
    yes = yes & set(first)
    clerk.record(*(f"confirm request={name} day=2027-04-01" for name in sorted(yes)))
    clerk.record(*(f"lost day={day} why=rain" for day in sorted({day for _, day in lost})))
    held = {name: (str(first[name]["drill"]), _days(first[name])) for name in yes}
    _moved_least(clerk, first, held, lost, windows, n_drills)
    planned = clerk.bookings()
    assert {name: (planned[name]["drill"], _days(planned[name])) for name in yes} == held
    _served_best(planned, held, lost, set(), windows, n_drills)
    if yes:
        gone = min(yes)
        clerk.record(f"withdraw request={gone} day=2027-04-02")
        _offered(clerk, planned, gone, windows, lost)


def _served_best(
    found: dict[str, dict],  # type: ignore[type-arg]
    held: dict[str, tuple[str, tuple[date, ...]]],
    lost: set[tuple[str, date]],
    closed: set[tuple[str, date]],
    windows: dict[str, tuple[int, int]],
    n_drills: int,
) -> None:
    """Of every way none serves more by priority, or the same with less waiting."""
    taken = closed | {(drill, day) for drill, days in held.values() for day in days}
    free = [name for name in ACRES if name not in held]
    choices = [[None, *_runs(name, windows[name], lost, taken, DRILLS[:n_drills])] for name in free]

    def worth(way: tuple[tuple[str, tuple[date, ...]] | None, ...]) -> tuple[int, ...]:
        waits = [
            one[1][0].day - windows[name][0] for name, one in zip(free, way, strict=True) if one is not None
        ]
        return (*(one is None for one in way), sum(waits))

    own = tuple((str(found[name]["drill"]), _days(found[name])) if name in found else None for name in free)
    assert worth(own) == min(map(worth, _every(choices)))


def _moved_least(
    clerk: Clerk,
    first: dict[str, dict],  # type: ignore[type-arg]
    held: dict[str, tuple[str, tuple[date, ...]]],
    lost: set[tuple[str, date]],
    windows: dict[str, tuple[int, int]],
    n_drills: int,
) -> None:
    """Rain: of every way none keeps more bookings by priority, or as many with fewer moved, or by fewer days."""
    rain = {one["request"]: one for one in clerk.json(f"rain --today {OPENS}")["changes"]}
    assert set(rain) == set(first)
    for name in held:
        assert rain[name]["now"] == rain[name]["was"]
    taken = {(drill, day) for drill, days in held.values() for day in days}
    free = [name for name in ACRES if name in first and name not in held]
    choices = [[None, *_runs(name, windows[name], lost, taken, DRILLS[:n_drills])] for name in free]

    def worth(way: tuple[tuple[str, tuple[date, ...]] | None, ...]) -> tuple[int, ...]:
        moved = away = 0
        for name, one in zip(free, way, strict=True):
            if one is not None:
                was = (str(first[name]["drill"]), _days(first[name])[0])
                moved += (one[0], one[1][0]) != was
                away += abs((one[1][0] - was[1]).days)
        return (*(one is None for one in way), moved, away)

    own = tuple(
        None if rain[name]["now"] is None else (str(rain[name]["now"]["drill"]), _days(rain[name]["now"]))
        for name in free
    )
    assert worth(own) == min(map(worth, _every(choices)))


def _offered(
    clerk: Clerk,
    planned: dict[str, dict],  # type: ignore[type-arg]
    gone: str,
    windows: dict[str, tuple[int, int]],
    lost: set[tuple[str, date]],
) -> None:
    """Of every run of free days with a freed one among them the earliest, for those without days first."""
    drill = str(planned[gone]["drill"])
    freed = {(drill, day) for day in _days(planned[gone]) if (drill, day) not in lost}
    expected = []
    for name in ACRES:
        taken = {
            (str(one["drill"]), day)
            for other, one in planned.items()
            if other not in (gone, name)
            for day in _days(one)
        }
        runs = [
            run
            for _, run in _runs(name, windows[name], lost, taken, (drill,))
            if freed & {(drill, day) for day in run}
            and (name not in planned or run[0] < _days(planned[name])[0])
        ]
        if name != gone and runs:
            expected.append((name in planned, name, min(runs)))
    found = [(one["served_now"], one["request"], _days(one)) for one in clerk.json("offers")["offers"]]
    assert found == [(served, name, run) for served, name, run in sorted(expected)]
