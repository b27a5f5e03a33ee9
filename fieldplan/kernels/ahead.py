"""Kernels compiled before the first plan asks for them, in several processes at once: in one, a lock lets only one
kernel be compiled at a time, and what compiling takes of memory stays taken.

A kernel is compiled for the types of what it is called with, so each that Python calls stands here once, with an
example of that; those that kernels call come with them. Processes that have compiled end, and others load
what these have kept.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, ParamSpec

import numba
import numpy as np

from fieldplan.kernels.bands import Bands, Followed, drawn_stretches, followed_stretches
from fieldplan.kernels.bought import bought_back
from fieldplan.kernels.by_turns import Known, Opening, Tried, quickest_by_turns
from fieldplan.kernels.compiled import kept_in
from fieldplan.kernels.corners import Bounds, at_corners, reached
from fieldplan.kernels.driven import all_fit, depths_beyond
from fieldplan.kernels.handling import Handling
from fieldplan.kernels.in_turn import columns_in_turn, columns_of, rounds_in_turn
from fieldplan.kernels.lanes import Joining, Lanes, quickest_transfers
from fieldplan.kernels.led import found_next, nearest_line
from fieldplan.kernels.level import LevelTurns, turns_about
from fieldplan.kernels.mitred import mitred
from fieldplan.kernels.orders import exact_order, improved_order, order_s
from fieldplan.kernels.outlines import Outlines, arcs_s, ends_s
from fieldplan.kernels.overlaid import alone_m2, edges_of, overlaid_m2
from fieldplan.kernels.paths import path_points, shortest_each
from fieldplan.kernels.region import Region, inside, sees
from fieldplan.kernels.region import _all_inside as all_inside
from fieldplan.kernels.region import _region_of as region_of
from fieldplan.kernels.repeated import most_repeated
from fieldplan.kernels.segments import (
    Chains,
    Sweep,
    between_corners,
    cut_at_ends,
    poses_either_way,
    poses_of,
    stretched,
    tight_bends,
    with_arcs,
)
from fieldplan.kernels.stations import nearest_stations, to_left_m
from fieldplan.kernels.stops import quickest_stops, seed_from_s, straight_trips_s
from fieldplan.kernels.strips import Least, runs_along
from fieldplan.kernels.swaths import (
    Driving,
    LevelOrders,
    SwathPasses,
    Ways,
    layouts_driven_s,
    passes_along,
)
from fieldplan.kernels.tours import Options, exact_tour, improved_tour
from fieldplan.kernels.travel import over_corners, seen_between
from fieldplan.kernels.turns import quickest_turns, with_shifts
from fieldplan.kernels.words import tangent_arcs
from fieldplan.scratch import hold, release

_Ahead = tuple[Any, tuple[object, ...]]
_Given = ParamSpec("_Given")
_READY, _LOCK = "ready", "in-work"
_typeof: Any = numba.typeof
_LONGEST_S = 600.0
"""How long another run that compiles the same is waited for."""


def _ahead(kernel: Callable[_Given, object], *given: _Given.args, **named: _Given.kwargs) -> _Ahead:
    """A kernel, and an example of what it is called with."""
    assert not named, "kernels are called by position"
    return kernel, given


_N, _YES, _REAL = 0, True, 0.0
_LINE, _TABLE, _CUBE = (np.zeros(shape) for shape in ((1,), (1, 1), (1, 1, 1)))
_WHICH, _PAIRS = np.zeros(1, dtype=np.int64), np.zeros((1, 1), dtype=np.int64)
_FLAGS, _SEEN = np.zeros(1, dtype=np.bool_), np.zeros((1, 1), dtype=np.int8)
_RIG = Handling(*np.zeros(10).tolist())
_REGION = Region(_TABLE, _WHICH, _WHICH, _REAL, _REAL, _TABLE, _REAL, _REAL)
_LANES = Lanes(_TABLE, _LINE, _WHICH)
_OPTIONS = Options(_WHICH, _TABLE, _LINE, _LINE)
_JOINING = Joining(_LINE, _REAL, _REAL, _REAL)
_CHAINS, _OUTLINES = Chains(_TABLE, _WHICH), Outlines(_TABLE, _WHICH, _WHICH)
_LEVEL = LevelTurns(_TABLE, _REAL, _REAL, _REAL)
_DRIVING = Driving(_REAL, _REAL, _REAL, _REAL, _REAL, _REAL, _N, _REAL, _REAL, _REAL, _LEVEL)
_PASSES = SwathPasses(_LINE, _LINE, _LINE, _WHICH, _WHICH, _WHICH, _LINE, _LINE, _WHICH)
_ORDERS, _WAYS = LevelOrders(_WHICH, _WHICH), Ways(_LINE, _LINE, _TABLE)
_BANDS = Bands(_CUBE, _TABLE, _TABLE, _REAL)
_KNOWN = Known(_CUBE, _CUBE)
_BY_TURNS = _KNOWN, _KNOWN, Opening(*3 * [_REAL]), Tried(_LINE, _LINE, _PAIRS)

GROUPS: tuple[tuple[_Ahead, ...], ...] = (
    (
        _ahead(quickest_turns, _TABLE, _TABLE, _LINE, _PAIRS, _REGION, _RIG),
        _ahead(with_shifts, _LINE, _LINE, _TABLE, _RIG),
        _ahead(quickest_transfers, _TABLE, _TABLE, _LINE, _LANES, _REGION, _RIG, _JOINING),
        _ahead(quickest_by_turns, _LINE, _LINE, _N, _LANES, *_BY_TURNS, _REGION, _RIG),
        _ahead(all_fit, _REGION, _TABLE, _TABLE, _TABLE, _RIG),
        _ahead(depths_beyond, _LINE, _TABLE, _TABLE, _REAL, _REAL, _RIG),
        _ahead(tangent_arcs, _TABLE, _TABLE, _REAL, _REAL),
        _ahead(path_points, _TABLE, _TABLE, _TABLE, _REAL, _REAL),
        _ahead(shortest_each, _TABLE, _TABLE, _REAL),
        _ahead(region_of, _TABLE, _WHICH),
        _ahead(all_inside, _REGION, _TABLE),
        _ahead(inside, _REGION, _REAL, _REAL),
        _ahead(reached, _REGION, _CHAINS, _REAL, _REAL, _REAL),
        _ahead(at_corners, _CHAINS, _TABLE, _TABLE, _WHICH, _REGION, _REGION, Bounds(*5 * [_REAL]), _RIG),
        _ahead(sees, _REGION, _REAL, _REAL, _REAL, _REAL),
        _ahead(over_corners, _REGION, _TABLE, _SEEN, _LINE, _LINE),
        _ahead(seen_between, _REGION, _REAL, _REAL, _REAL, _REAL),
    ),
    (
        _ahead(runs_along, _TABLE, _TABLE, _REAL, _FLAGS, Least(_REAL, _REAL, _REAL)),
        _ahead(passes_along, _WHICH, _WHICH, _LINE, _LINE, _LINE, _WHICH, _DRIVING),
        _ahead(layouts_driven_s, _PASSES, _WHICH, _TABLE, _ORDERS, _WAYS, _DRIVING),
        _ahead(columns_of, _WHICH, _LINE, _LINE),
        _ahead(columns_in_turn, _CUBE, _WHICH, _WHICH, _WHICH, _LINE),
        _ahead(rounds_in_turn, _TABLE, _TABLE, _WHICH, _WHICH, _LINE),
        _ahead(turns_about, _CUBE, _N, _LEVEL, _REAL, _REAL),
        _ahead(mitred, _CHAINS, _REAL),
        _ahead(arcs_s, _OUTLINES, _N, *4 * [_REAL]),
        _ahead(ends_s, _OUTLINES, _TABLE, _REAL, _TABLE, _N, _REAL),
        _ahead(overlaid_m2, _TABLE, _WHICH, _LINE, _N),
        _ahead(alone_m2, _TABLE, _WHICH, _N, _FLAGS),
        _ahead(edges_of, _TABLE, _WHICH, _WHICH),
        _ahead(between_corners, _CHAINS, _REAL, _REAL, Sweep(_REAL, _REAL), *3 * [_REAL]),
        _ahead(tight_bends, _TABLE, Sweep(_REAL, _REAL)),
        _ahead(with_arcs, _CHAINS, *5 * [_REAL]),
        _ahead(cut_at_ends, _CHAINS, _LINE, _LINE),
        _ahead(stretched, _CHAINS, _LINE, _LINE),
        _ahead(poses_either_way, _CHAINS),
        _ahead(poses_of, _CHAINS),
        _ahead(bought_back, _TABLE, _TABLE, _WHICH, _REAL, _REAL),
        _ahead(improved_order, _WHICH, _CUBE, _N),
        _ahead(exact_order, _CUBE),
        _ahead(order_s, _WHICH, _CUBE),
        _ahead(exact_tour, _OPTIONS),
        _ahead(improved_tour, _WHICH, _OPTIONS),
        _ahead(followed_stretches, _BANDS, _N, _TABLE, Followed(*4 * [_REAL])),
        _ahead(drawn_stretches, _CUBE, _WHICH, _LINE, _LINE),
        _ahead(nearest_stations, _TABLE, _LINE, _WHICH, _TABLE, _WHICH),
        _ahead(to_left_m, _TABLE, _TABLE, _LINE, _TABLE, _LINE),
        _ahead(quickest_stops, _LINE, _LINE, _LINE),
        _ahead(straight_trips_s, _TABLE, _TABLE, _TABLE, _REAL),
        _ahead(seed_from_s, _CUBE, _TABLE, _TABLE, _LINE, _LINE, _LINE, _REAL, _REAL),
        _ahead(found_next, _WHICH, _CUBE, _CUBE, _WHICH, _FLAGS, _YES, _REAL),
        _ahead(nearest_line, _TABLE, _TABLE, _WHICH),
        _ahead(most_repeated, _WHICH),
    ),
)  # fmt: skip
"""What is compiled one after the other by a process of its own: kernels that share others stand together."""


def make_ready(told: Callable[[], object] = lambda: None) -> None:
    """Compile what plans call, unless that is kept from an earlier run.

    Where nothing can be kept, or a process cannot be begun, each run compiles what it calls.

    Parameters
    ----------
    told
        Called first if there is something to be compiled: it takes a while.
    """
    folder = kept_in()
    if folder is None or (folder / _READY).exists():
        return
    told()
    try:
        lock = hold(folder / _LOCK, _LONGEST_S)
    except OSError:
        return
    try:
        if not (folder / _READY).exists() and _compiled_by_processes():
            (folder / _READY).touch()
    except OSError:
        pass
    finally:
        release(lock)


def _compiled_by_processes() -> bool:
    """Whether one process for each group has compiled all of it."""
    here = {**os.environ, "PYTHONPATH": os.pathsep.join(place or str(Path.cwd()) for place in sys.path)}
    silent, runs = subprocess.DEVNULL, list[subprocess.Popen[bytes]]()
    try:
        for group in range(len(GROUPS)):
            command = [sys.executable, "-P", "-m", __name__, str(group)]
            runs.append(subprocess.Popen(command, env=here, stdin=silent, stdout=silent, stderr=silent))
        codes = [run.wait() for run in runs]
        return not any(codes)
    finally:
        for run in runs:  # those that go on when this one is interrupted
            run.kill()
            run.wait()


def compile_group(group: int) -> None:
    """Compile a group in this process."""
    for kernel, given in GROUPS[group]:
        kernel.compile(tuple(_typeof(one) for one in given))


if __name__ == "__main__":
    compile_group(int(sys.argv[1]))
