"""What hypothesis draws: fields, lots, claims on drills, ledgers. One home, so that every law is tried on
the same kinds of things.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from itertools import combinations

import numpy as np
import shapely
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon, box

from fieldplan.model.records import Fresh
from fieldplan.model.seed import Carrier, Component, Rate
from fieldplan.season.scheduling_problem import Run, SchedulingProblem
from fieldplan.units import ACRE_M2, POUND_KG

LB_PER_AC = POUND_KG / ACRE_M2


def slowly(max_examples: int) -> settings:
    """The same few examples every time, however long each takes; fixtures of this project are values that
    nothing changes.
    """
    return settings(
        max_examples=max_examples,
        deadline=None,
        derandomize=True,
        suppress_health_check=[HealthCheck.function_scoped_fixture],
    )


def meters(low: float, high: float) -> st.SearchStrategy[float]:
    """Lengths to the millimeter, and angles as fine: no boundary file is drawn finer."""
    return st.floats(low, high).map(lambda value: round(value, 3))


@st.composite
def star_fields(draw: st.DrawFn) -> MultiPolygon:
    """Star-shaped fields of 60 to 250 m with 5 to 12 corners, some with a pond."""
    n = draw(st.integers(5, 12))
    reach = draw(st.lists(meters(60, 250), min_size=n, max_size=n))
    angle = np.linspace(0, 2 * np.pi, n, endpoint=False) + 0.1
    outline = Polygon(np.column_stack([reach * np.cos(angle), reach * np.sin(angle)]))
    pond = shapely.Point(0, 0).buffer(draw(meters(8, 15)), quad_segs=3)
    return MultiPolygon(
        [outline.difference(pond) if draw(st.booleans()) and outline.contains(pond) else outline]
    )


@st.composite
def notched_fields(draw: st.DrawFn) -> MultiPolygon:
    """Rectangles less one or two smaller ones at their edges, turned anyhow."""
    ground: shapely.Geometry = box(0, 0, draw(meters(250, 500)), draw(meters(200, 400)))
    for _ in range(draw(st.integers(1, 2))):
        x, y = draw(meters(-50, 400)), draw(st.sampled_from([-20.0, 150.0]))
        ground = ground.difference(box(x, y, x + draw(meters(60, 200)), y + draw(meters(80, 250))))
    ground = shapely.affinity.rotate(ground, draw(meters(0, 180)), origin=(0, 0))
    return MultiPolygon([max(shapely.get_parts(ground), key=lambda part: part.area)])


@st.composite
def lots(draw: st.DrawFn, number: int, hulls: Carrier) -> Component:
    """A lot of any live share, weight and rate, in any box, with or without a carrier."""
    box_name = draw(st.sampled_from(["grain", "native", "small"]))
    live = draw(st.floats(0.05, 1))
    return Component(
        species=f"species {number}",
        box=box_name,
        lot=f"L{number}",
        rate=Rate(
            value=draw(st.floats(0.05, 40)) * LB_PER_AC, basis=draw(st.sampled_from(["pls", "bulk"]))
        ),
        purity_frac=draw(st.floats(0.1, 1)),
        germination_frac=live * 0.7,
        hard_frac=0.0,
        dormant_frac=live * 0.3,
        bulk_kg_per_m3=draw(st.floats(60, 900)),
        bag_kg=draw(st.floats(0.5, 30)),
        carrier=hulls if box_name == "native" else None,
    )


@st.composite
def claims_on_drills(draw: st.DrawFn) -> SchedulingProblem:
    """Up to 7 requests on 2 drills, in windows of a few days, in one to three levels, at places on a line;
    some may share their days.
    """
    n = draw(st.integers(1, 7))
    places = [draw(st.integers(0, 30)) * 1000 for _ in range(n)]
    homes = [draw(st.integers(0, 30)) * 1000 for _ in range(2)]
    level = [draw(st.integers(0, 2)) for _ in range(n)]
    runs: list[Run] = []
    for request in range(n):
        ready, slack = draw(st.integers(0, 6)), draw(st.integers(0, 2))
        for drill in range(2):
            n_days, moved = draw(st.integers(1, 3)), draw(st.integers(0, 2))
            if draw(st.integers(0, 4)):
                runs += [
                    Run(
                        requests=(request,),
                        drill=drill,
                        first=ready + k,
                        n_days=n_days,
                        costs=(int(k == moved), k),
                    )
                    for k in range(slack + 1)
                ]
    runs += [
        shared_booking for a, b in combinations(list(runs), 2) for shared_booking in _parties(draw, a, b)
    ]
    tow = {d: [[abs(a - b) for b in (*places, homes[d])] for a in (*places, homes[d])] for d in range(2)}
    return SchedulingProblem(
        priorities=[[i for i in range(n) if level[i] == k] for k in range(3) if k in level],
        runs=runs,
        tow_m=tow,
    )


def _parties(draw: st.DrawFn, a: Run, b: Run) -> Iterator[Run]:
    """Two that could begin on the same day may share it, one way round or either, for fewer days than one
    after the other.
    """
    if a.requests != b.requests and (a.drill, a.first) == (b.drill, b.first) and draw(st.integers(0, 2)):
        ways = draw(st.sampled_from([[(a, b)], [(b, a)], [(a, b), (b, a)]]))
        for x, y in ways:
            yield Run(
                requests=(*x.requests, *y.requests),
                drill=a.drill,
                first=a.first,
                n_days=draw(st.integers(min(a.n_days, b.n_days), a.n_days + b.n_days - 1)),
                costs=tuple(p + q for p, q in zip(a.costs, b.costs, strict=True)),
            )


@st.composite
def ledgers(draw: st.DrawFn, requests: Mapping[str, object], opens: date, closes: date) -> list[Fresh]:
    """Loans of two drills one after the other, with payments, repairs, lost days, remarks, people turned
    away, slips put right and struck.
    """
    rows: list[Fresh] = []

    def add(kind: str, corrects: int | None = None, **typed: object) -> int:
        rows.append(
            Fresh(kind=kind, typed={name: str(value) for name, value in typed.items()}, corrects=corrects)
        )
        return len(rows)

    ids = draw(st.permutations(sorted(requests)))
    for drill in ("ten foot", "prairie"):
        day, tenths = opens, draw(st.integers(0, 5000))
        for _ in range(draw(st.integers(0, 4))):
            request, counted = ids.pop(), draw(st.integers(0, 900))
            tenths += draw(st.integers(0, 3))
            add("out", request=request, drill=drill, day=day, meter=f"{tenths / 10} ac")
            if draw(st.booleans()):
                add("sown", request=request, field="a", day=day, practice=draw(st.sampled_from(["x", "y"])))
                add("sown", request=request, field="b", day=day, practice=draw(st.sampled_from(["x", "z"])))
            day += timedelta(days=draw(st.integers(0, 4)))
            tenths += counted
            back = {"request": request, "day": day, "meter": f"{tenths / 10} ac"}
            if draw(st.integers(0, 3)) == 0:
                slip = add("in", **{**back, "meter": f"{tenths / 10 + 1} ac"})
                add("in", corrects=slip, **back)
            else:
                add("in", **back)
            if draw(st.booleans()):
                add("paid", request=request, day=day, sum=f"${draw(st.integers(1, 400))}.50")
            day += timedelta(days=1)
        for k in range(draw(st.integers(0, 2))):
            add("rain", drill=drill, day=closes + timedelta(days=k + 1))
            number = add(
                "repair", drill=drill, day=day, cost=f"${draw(st.integers(1, 90))}.10", what=f"part {k}"
            )
            if draw(st.integers(0, 2)) == 0:
                add("strike", corrects=number, day=day, why="not ours")
    for _ in range(draw(st.integers(0, 3))):
        add("refused", request=ids.pop(), day=opens, why="no days left")
    return rows
