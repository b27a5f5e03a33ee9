"""The solver against trying everything."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

pytest.importorskip("ortools")

from fieldplan.season.claims import Claims, Run, served_by, tow_of
from fieldplan.season.schedule import solve
from fieldplan.season.swaps import swapped


@st.composite
def every_claims(draw: st.DrawFn) -> Claims:
    """Up to 7 requests on 2 drills, in windows of a few days, in one to three levels, at places on a line; some may share their days."""
    n = draw(st.integers(1, 7))
    places = [draw(st.integers(0, 30)) * 1000 for _ in range(n)]
    homes = [draw(st.integers(0, 30)) * 1000 for _ in range(2)]
    level = [draw(st.integers(0, 2)) for _ in range(n)]
    runs: list[Run] = []
    for request in range(n):
        ready, slack = draw(st.integers(0, 6)), draw(st.integers(0, 2))
        for drill in range(2):
            length, moved = draw(st.integers(1, 3)), draw(st.integers(0, 2))
            if draw(st.integers(0, 4)):
                runs += [
                    Run(requests=(request,), drill=drill, first=ready + k, length=length, costs=(int(k == moved), k))
                    for k in range(slack + 1)
                ]
    runs += [party for a, b in combinations(list(runs), 2) for party in _parties(draw, a, b)]
    tow = {d: [[abs(a - b) for b in (*places, homes[d])] for a in (*places, homes[d])] for d in range(2)}
    return Claims(levels=[[i for i in range(n) if level[i] == k] for k in range(3) if k in level], runs=runs, tow_m=tow)


def _parties(draw: st.DrawFn, a: Run, b: Run) -> Iterator[Run]:
    """Two that could begin on the same day may share it, one way round or either, for fewer days than one after the other."""
    if a.requests != b.requests and (a.drill, a.first) == (b.drill, b.first) and draw(st.integers(0, 2)):
        ways = draw(st.sampled_from([[(a, b)], [(b, a)], [(a, b), (b, a)]]))
        for x, y in ways:
            yield Run(
                requests=(*x.requests, *y.requests), drill=a.drill, first=a.first,
                length=draw(st.integers(min(a.length, b.length), a.length + b.length - 1)),
                costs=tuple(p + q for p, q in zip(a.costs, b.costs, strict=True)),
            )  # fmt: skip


def _every(claims: Claims, request: int, given: list[Run], n: int) -> Iterator[list[Run]]:
    """Every way to serve requests from this one on."""
    if request == n:
        yield given
        return
    yield from _every(claims, request + 1, given, n)
    served = served_by(given)
    for run in claims.runs:
        clear = all(
            other.drill != run.drill or run.first >= other.first + other.length or other.first >= run.first + run.length
            for other in given
        )
        if min(run.requests) == request and clear and not served & set(run.requests):
            yield from _every(claims, request + 1, [*given, run], n)


def _worth(claims: Claims, given: list[Run]) -> tuple[int, ...]:
    served = served_by(given)
    return (
        *(-len(served & set(level)) for level in claims.levels),
        *(sum(run.costs[k] for run in given) for k in (0, 1)),
        tow_of(given, claims.tow_m),
    )


@settings(max_examples=60, deadline=None)
@given(every_claims())
def test_no_way_of_all_is_better(claims: Claims) -> None:
    """Served by level, two costs and towing are those of the best of every way there is; the bounds are met."""
    n = sum(map(len, claims.levels))
    best = min(_worth(claims, given) for given in _every(claims, 0, [], n))
    found = solve(claims)
    assert found.served_proven
    assert _worth(claims, list(found.given)) == best
    if found.given:
        assert found.cost_bounds == best[-3:-1]
        assert found.tow_bound_m == pytest.approx(best[-1])
    assert solve(claims) == found


def test_two_that_stand_crosswise_change_places() -> None:
    """Near, far, near, far along one road: exchanging the middle two halves the road, at the same cost."""
    at = [1_000, 30_000, 2_000, 31_000, 0]
    runs = [Run(requests=(i,), drill=0, first=k, length=1, costs=(0,)) for i in range(4) for k in range(4)]
    claims = Claims(levels=[[0, 1, 2, 3]], runs=runs, tow_m={0: [[abs(a - b) for b in at] for a in at]})
    crossed = [run for run in runs if run.requests == (run.first,)]
    assert tow_of(crossed, claims.tow_m) == 1_000 + 29_000 + 28_000 + 29_000 + 31_000
    better = swapped(claims, crossed)
    assert sorted(served_by(better)) == [0, 1, 2, 3]
    assert len({run.first for run in better}) == 4
    assert tow_of(better, claims.tow_m) == 2 * 31_000


def test_a_party_is_towed_from_its_first_to_its_last() -> None:
    """Home at 0, a party at 10 and 4 km, then one at 12 km: 10 + 6 + 8 + 12 km as given; the solver drives it the other way round."""
    at = [10_000, 4_000, 12_000, 0]
    runs = [Run(requests=own, drill=0, first=0, length=1, costs=(0,)) for own in ((0, 1), (1, 0))]
    runs += [Run(requests=(i,), drill=0, first=first, length=1, costs=(9 * (i < 2),)) for i in range(3) for first in (0, 1)]
    claims = Claims(levels=[[0, 1, 2]], runs=runs, tow_m={0: [[abs(a - b) for b in at] for a in at]})
    last = next(run for run in runs if run.requests == (2,) and run.first == 1)
    assert tow_of([last, runs[0]], claims.tow_m) == 36_000
    found = solve(claims)
    assert found.given == (runs[1], last)
    assert tow_of(found.given, claims.tow_m) == found.tow_bound_m == 24_000
    assert set(swapped(claims, [runs[0], last])) == {runs[1], last}


def test_the_driving_order_that_takes_fewer_days_leaves_room() -> None:
    """Three days hold a party for two of them and one more, but only if the party is driven the quicker way round."""
    party = [Run(requests=own, drill=0, first=0, length=length, costs=(0,)) for own, length in (((0, 1), 3), ((1, 0), 2))]
    last = Run(requests=(2,), drill=0, first=2, length=1, costs=(0,))
    found = solve(Claims(levels=[[0, 1, 2]], runs=[*party, last], tow_m={0: [[0] * 4] * 4}))
    assert found.given == (party[1], last)
