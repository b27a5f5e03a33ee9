"""What a program over a region would ask of the drills of a season, from the sums of the region's folder."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from fieldplan.errors import InputError
from fieldplan.files import Purpose, text_of
from fieldplan.model.capacity import KindDemand, RegionDemand, RegionFound, RegionWork, Served
from fieldplan.model.rental_program import SeasonDrill
from fieldplan.model.season import Season
from fieldplan.season.weather import skies_of
from fieldplan.season.windows import working_days
from fieldplan.work.triangular import prob_done

_FROM_HERE = "the folder of fieldplan region --out DIR"
SUMMARY = "summary.json"
SUMMARY_FILE = Purpose(
    what="sums of a region", code="region-sums", max_bytes=500_000_000, hint=_FROM_HERE, of_text=_FROM_HERE
)
_SAME_WIDTH_M = 0.01
_HALVINGS = 60
_Numbers = npt.NDArray[np.float64]


def read_region(source: Path) -> RegionFound:
    """The work of a region, from the folder that ``fieldplan region`` wrote or its ``summary.json``.

    Raises
    ------
    InputError
        If its sums are not there, or not what this version writes.
    """
    path = source / SUMMARY if source.is_dir() else source
    try:
        document = json.loads(text_of(path, SUMMARY_FILE))
        whole = document["groups"][0]
        found = RegionFound(
            name=str(document["fields"]),
            n_rows=int(document["n_rows"]),
            n_drawn=None if document["n_sample"] is None else int(document["n_sample"]),
            n_refused=sum(int(n) for n in whole["refused"].values()),
            refused_m2=_amount(whole["refused_m2"]),
            error_frac=_error_frac(whole),
            works=tuple(_work(fleet) for fleet in whole["fleets"]),
        )
    except (ValueError, KeyError, TypeError, IndexError, AttributeError, RecursionError, OverflowError):
        raise InputError.of("region-sums-other", file=str(path)) from None
    if not found.ground_m2:
        raise InputError.of("region-without-work", file=str(path))
    return found


def _error_frac(whole: Mapping[str, Any]) -> float:
    error_s, work_s = whole["standard_error"].get("job_s", 0.0), _amount(whole["job_s"])
    return _amount(error_s) / work_s if work_s else 0.0


def _work(fleet: Mapping[str, Any]) -> RegionWork:
    return RegionWork(
        job=str(fleet["job"]),
        width_m=_amount(fleet["drill_width_m"]),
        boxes=tuple(sorted(str(kind) for kind in fleet["boxes"])),
        n_parcels=_amount(fleet["parcels"]),
        ground_m2=_amount(fleet["plantable_m2"]),
        work_s=_amount(fleet["work_s"]),
    )


def _amount(given: object) -> float:
    """A number that is not below zero."""
    if isinstance(given, bool) or not isinstance(given, int | float):
        raise TypeError
    if not math.isfinite(given) or given < 0:
        raise ValueError
    return float(given)


def demand_of(
    found: RegionFound,
    season: Season,
    n_drawn: int,
    generator: np.random.Generator,
    ground_m2: float | None = None,
) -> RegionDemand:
    """What a program over a region would ask, and what the season's drills give.

    Drills that can do a kind of work share it evenly; all have one weather, as in
    `season.weather`. The work of all parcels together is as uncertain as that of one (the same drill, the same
    assumptions), so in a weather that leaves the hours C it is done with the probability that a triangular
    distribution about its likeliest hours gives to C; the odds are the mean of that over the weathers.

    Parameters
    ----------
    season
        The planned season; its bookings keep their days.
    n_drawn
        Weathers to simulate, where the drills have no record of years.
    ground_m2
        Ground that the program sows, in proportion from all of the region; ``None`` for all there is.
    """
    share = 1.0 if ground_m2 is None else ground_m2 / found.ground_m2
    hours_s = _hours(season, n_drawn, generator)
    kinds: dict[tuple[float, tuple[str, ...]], RegionWork] = {}
    jobs: dict[tuple[float, tuple[str, ...]], list[str]] = {}
    for work in found.works:
        key = next(
            (one for one in kinds if one[1] == work.boxes and abs(one[0] - work.width_m) < _SAME_WIDTH_M),
            (work.width_m, work.boxes),
        )
        jobs.setdefault(key, []).append(work.job)
        before = kinds.get(key, replace(work, n_parcels=0.0, ground_m2=0.0, work_s=0.0))
        kinds[key] = replace(
            before,
            n_parcels=before.n_parcels + share * work.n_parcels,
            ground_m2=before.ground_m2 + share * work.ground_m2,
            work_s=before.work_s + share * work.work_s,
        )
    return RegionDemand(
        found=found,
        share_frac=share,
        kinds=tuple(_kind(tuple(jobs[key]), work, season, hours_s) for key, work in kinds.items()),
    )


_Hours = Mapping[str, tuple[list[date], _Numbers]]
"""Of each drill its working days, and the seconds of work on each, of shape (days, weathers)."""


def _hours(season: Season, n_drawn: int, generator: np.random.Generator) -> _Hours:
    program = season.program
    _, fit = skies_of(program, n_drawn, generator)
    hours: dict[str, tuple[list[date], _Numbers]] = {}
    for drill, fit_days in zip(program.drills, fit, strict=True):
        days = working_days(drill, program)
        at = [(day - program.terms.opens).days for day in days]
        hours[drill.name] = days, fit_days[at].astype(np.float64) * drill.job.booking.day_s
    return hours


def _kind(jobs: tuple[str, ...], work: RegionWork, season: Season, hours_s: _Hours) -> KindDemand:
    drills = season.program.drills
    able = [
        drill
        for drill in drills
        if abs(drill.job.drill.effective_width_m - work.width_m) < _SAME_WIDTH_M
        and set(work.boxes) <= {box.kind for box in drill.job.drill.boxes}
    ]
    day_s = float(np.mean([drill.job.booking.day_s for drill in able or drills[:1]]))
    booked = {
        drill.name: {day for one in season.placements if one.drill == drill.name for day in one.days}
        for drill in drills
    }
    return KindDemand(
        jobs=jobs,
        width_m=work.width_m,
        boxes=work.boxes,
        n_parcels=work.n_parcels,
        ground_m2=work.ground_m2,
        work_s=work.work_s,
        fieldwork_days=work.work_s / day_s,
        drills=tuple(drill.name for drill in able),
        free=_served(work, able, season, hours_s, {}),
        beside=_served(work, able, season, hours_s, booked),
    )


def _served(
    work: RegionWork,
    able: Sequence[SeasonDrill],
    season: Season,
    hours_s: _Hours,
    booked: Mapping[str, set[date]],
) -> Served:
    """What drills give on the days that are not booked."""
    if not able:
        return Served(drill_days=0, fieldwork_days=0.0, done_prob=0.0, ground_m2=0.0, needed=None)
    n_days, fieldwork_days = 0, 0.0
    worked_s: _Numbers = np.zeros(1)
    for drill in able:
        days, of_drill_s = hours_s[drill.name]
        open_days = [k for k, day in enumerate(days) if day not in booked.get(drill.name, ())]
        n_days += len(open_days)
        fieldwork_days += len(open_days) * drill.job.booking.chance_prob
        worked_s = worked_s + of_drill_s[open_days].sum(axis=0)
    another_s = hours_s[able[0].name][1].sum(axis=0)
    wanted_prob, uncertainty = season.program.terms.confidence_prob, able[0].job.booking.uncertainty_frac

    def prob(job_s: float, in_s: _Numbers) -> float:
        return float(prob_done(in_s, job_s, uncertainty).mean())

    return Served(
        drill_days=n_days,
        fieldwork_days=fieldwork_days,
        done_prob=prob(work.work_s, worked_s),
        ground_m2=work.ground_m2 * _share(lambda share: prob(share * work.work_s, worked_s) >= wanted_prob),
        needed=_needed(
            len(able), lambda more: prob(work.work_s, worked_s + more * another_s) >= wanted_prob, another_s
        ),
    )


def _share(is_done: Callable[[float], bool]) -> float:
    """The largest share of the work that is sure enough, to a millionth of a millionth."""
    if is_done(1.0):
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if is_done(middle) else (low, middle)
    return low


def _needed(n_able: int, is_done: Callable[[int], bool], another_s: _Numbers) -> int | None:
    """The fewest drills that are done: those there are, fewer never asked for, and more like the first of them."""
    if not another_s.any():
        return n_able if is_done(0) else None
    most = 1
    while not is_done(most):
        if most > _MOST_DRILLS:
            return None
        most *= 2
    least = 0
    while least < most:
        middle = (least + most) // 2
        least, most = (least, middle) if is_done(middle) else (middle + 1, most)
    return n_able + most


_MOST_DRILLS = 1_000_000
