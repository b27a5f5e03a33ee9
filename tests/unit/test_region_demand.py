"""What a program over a region asks of a season's drills: closed forms, and the binomial of a general library."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.stats import binom
from seasons import season_of

from fieldplan.errors import InputError
from fieldplan.model.capacity import RegionDemand, RegionFound, RegionWork
from fieldplan.model.season import Season
from fieldplan.season.of_region import demand_of, read_region

OPENS = date(2027, 4, 5)
WIDTH_M = 3.048
DAY_S = 8 * 3600.0
N_DRAWN = 20_000


def _season(
    prob: float, *, bookings: list[tuple[str, str, date, int]] | None = None, drills: int = 2
) -> Season:
    """Twenty days, two of them Sundays off, with independent days and hours that are certain."""
    season = season_of(OPENS, OPENS + timedelta(days=19), bookings or [], drills=drills)
    booking = replace(
        season.program.drills[0].job.booking,
        fieldwork_day_prob=prob,
        persistence_frac=0.0,
        uncertainty_frac=0.0,
        day_s=DAY_S,
        weather=None,
    )
    every = tuple(
        replace(drill, weekdays_off=frozenset({6}), job=replace(drill.job, booking=booking))
        for drill in season.program.drills
    )
    return replace(season, program=replace(season.program, drills=every))


def _found(work_days: float, width_m: float = WIDTH_M, boxes: tuple[str, ...] = ("grain",)) -> RegionFound:
    work = RegionWork(
        job="job.toml",
        width_m=width_m,
        boxes=boxes,
        n_parcels=10,
        ground_m2=1e6,
        work_s=work_days * DAY_S,
    )
    return RegionFound(
        name="county.parquet",
        n_rows=10,
        n_drawn=None,
        n_refused=0,
        refused_m2=0.0,
        error_frac=0.0,
        works=(work,),
    )


def _demand(found: RegionFound, season: Season, ground_m2: float | None = None) -> RegionDemand:
    return demand_of(found, season, N_DRAWN, np.random.default_rng(1), ground_m2)


def test_one_drill_is_done_as_the_binomial_says() -> None:
    """Eight days of work in 18 working days, each fit with 0.5: P(at least 8 of 18). Twice the standard error."""
    (kind,) = _demand(_found(8), _season(0.5, drills=1)).kinds
    wanted = binom.sf(7, 18, 0.5)
    assert kind.free.done_prob == pytest.approx(wanted, abs=2 * np.sqrt(wanted * (1 - wanted) / N_DRAWN))
    assert (kind.free.drill_days, kind.free.fieldwork_days, kind.fieldwork_days) == (18, 9.0, 8.0)


def test_two_drills_have_one_weather() -> None:
    """Sixteen days of work between two are eight for each, as sure as eight for one."""
    (alone,) = _demand(_found(8), _season(0.5, drills=1)).kinds
    (both,) = _demand(_found(16), _season(0.5, drills=2)).kinds
    assert both.free.done_prob == alone.free.done_prob


def test_ground_served_is_the_quantile_of_fieldwork_days() -> None:
    """With 80 % there are at least so many fit days; of a work of 18 days that share is done."""
    season = _season(0.5, drills=1)
    confidence = season.program.terms.confidence_prob
    n_days = max(k for k in range(19) if binom.sf(k - 1, 18, 0.5) >= confidence)
    (kind,) = _demand(_found(18), season).kinds
    assert kind.free.ground_m2 == pytest.approx(1e6 * n_days / 18, rel=1e-6)


def test_drills_needed_are_the_fewest_that_are_sure_enough() -> None:
    """Work of 50 days at n sure days in the season with 80 %: 50 / n drills, rounded up."""
    season = _season(0.5, drills=1)
    n_days = max(k for k in range(19) if binom.sf(k - 1, 18, 0.5) >= season.program.terms.confidence_prob)
    (kind,) = _demand(_found(50), season).kinds
    assert kind.free.needed == int(np.ceil(50 / n_days))


def test_booked_days_are_not_served_beside() -> None:
    """Five of 18 days are booked: 13 are left, and work of 14 days is done only without bookings."""
    season = _season(1.0, bookings=[("drill 1", "A", OPENS, 5)], drills=1)
    (kind,) = _demand(_found(14), season).kinds
    assert (kind.free.drill_days, kind.beside.drill_days) == (18, 13)
    assert (kind.free.done_prob, kind.beside.done_prob) == (1.0, 0.0)
    assert kind.beside.ground_m2 == pytest.approx(1e6 * 13 / 14, rel=1e-6)
    assert (kind.free.needed, kind.beside.needed) == (1, 2)


def test_only_drills_as_wide_with_the_boxes_count() -> None:
    """A wider drill or another box: none of the season's drills."""
    season = _season(1.0)
    for found in (_found(1, width_m=4.572), _found(1, boxes=("fertilizer",))):
        (kind,) = _demand(found, season).kinds
        assert (kind.drills, kind.free.done_prob, kind.free.needed) == ((), 0.0, None)


def test_a_program_takes_its_share_of_the_region() -> None:
    """Half the ground is half the work; jobs of one kind of drill are one kind."""
    found = _found(8)
    found = replace(found, works=(found.works[0], replace(found.works[0], job="other.toml")))
    (kind,) = _demand(found, _season(1.0), ground_m2=1e6).kinds
    assert kind.jobs == ("job.toml", "other.toml")
    assert (kind.work_s, kind.ground_m2, kind.n_parcels) == (8 * DAY_S, 1e6, 10)


SUMS: dict[str, Any] = {
    "fields": "county.parquet",
    "n_rows": 3,
    "n_sample": None,
    "groups": [
        {
            "refused": {"outline-invalid": 1},
            "refused_m2": 50.0,
            "job_s": 100.0,
            "standard_error": {},
            "fleets": [
                {
                    "job": "job.toml",
                    "drill_width_m": 3.0,
                    "boxes": ["grain"],
                    "parcels": 2,
                    "plantable_m2": 70.0,
                    "work_s": 100.0,
                }
            ],
        }
    ],
}


def test_sums_of_a_folder_are_read(tmp_path: Path) -> None:
    """With parcels that are not planned."""
    (tmp_path / "summary.json").write_text(json.dumps(SUMS), encoding="utf-8")
    found = read_region(tmp_path)
    assert (found.n_refused, found.refused_m2, found.ground_m2) == (1, 50.0, 70.0)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{}",
        json.dumps({**SUMS, "groups": []}),
        json.dumps(SUMS).replace("70.0", "-70.0"),
        json.dumps(SUMS).replace("70.0", "NaN"),
        json.dumps(SUMS).replace("70.0", "1e999"),
        json.dumps(SUMS).replace('"boxes": ["grain"]', '"boxes": 3'),
        json.dumps(SUMS).replace('"drill_width_m": 3.0', '"width": 3.0'),
        json.dumps(SUMS).replace('"plantable_m2": 70.0', '"plantable_m2": 0'),
        "[" * 100_000,
    ],
)
def test_other_files_are_refused(text: str, tmp_path: Path) -> None:
    """In words, whatever is in them."""
    (tmp_path / "summary.json").write_text(text, encoding="utf-8")
    with pytest.raises(InputError):
        read_region(tmp_path)
