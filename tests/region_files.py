"""A small county with parcels as they come: whole ones, and some of each kind that stops a plan."""

from __future__ import annotations

import os
import time
from pathlib import Path

import boundary_builders as s
import geopandas
import shapely
from conftest import SAMPLES
from shapely import Polygon

from fieldplan.boundary.aside import aside_of
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.jobfile.load import load_job
from fieldplan.region.dataset import dataset_of
from fieldplan.region.parcel import Parcel, Planned, Setup

SIDE = 0.002
"""Degrees: some 160 by 220 m."""


def _square(number: int) -> Polygon:
    west, south = s.WEST + 0.004 * number, s.SOUTH
    return Polygon([(west, south), (west + SIDE, south), (west + SIDE, south + SIDE), (west, south + SIDE)])


def _bow_tie(number: int) -> Polygon:
    west, south = s.WEST + 0.004 * number, s.SOUTH
    return Polygon([(west, south), (west + SIDE, south + SIDE), (west + SIDE, south), (west, south + SIDE)])


def _sliver(number: int) -> Polygon:
    return shapely.transform(
        _square(number), lambda xy: (xy - xy.min(axis=0)) * [0.005, 1] + xy.min(axis=0)
    )


CODES = ["", "", "", "outline-invalid", "", "no-geometry", "field-too-narrow", "", "mix-unknown", ""]
"""Of the rows of `county`."""


def county(path: Path, rows_of_group: int = 4) -> Path:
    """Ten rows in three row groups."""
    geometries = [_square(n) for n in range(10)]
    geometries[3], geometries[5], geometries[6] = _bow_tie(3), None, _sliver(6)
    frame = geopandas.GeoDataFrame(
        {
            "id": ["p0", "p1", "p2", "p3", "p4", "p5", "p6", "p1", "p8", "p9"],
            "county": ["Ash", "Ash", "Elm", "Elm", "Ash", "Elm", "Ash", "Elm", "Ash", "Elm"],
            "practice": ["hay"] * 9 + ["hay by wide drill"],
            "mix": [None] * 8 + ["clover", None],
        },
        geometry=geometries,
        crs=4326,
    )
    frame.to_parquet(path, row_group_size=rows_of_group)
    return path


def quick_job(folder: Path, name: str = "job.toml", rows: int = 16) -> Path:
    """The sample job with one heading to drive, and a season."""
    text = (SAMPLES / "farm.toml").read_text(encoding="utf-8")
    text = text.replace("[working]", '[working]\nheading = "0 deg"\nblocks = 1\norder = "plain"', 1)
    text = text.replace("[booking]", "[booking]\nstart = 2027-04-26\nfinish_by = 2027-05-21", 1)
    text = text.replace("rows = 16", f"rows = {rows}").replace("rates.toml", str(SAMPLES / "rates.toml"))
    (folder / name).write_text(text, encoding="utf-8")
    return folder / name


def setup_for(path: Path, job: Path) -> Setup:
    """What all parcels of a file have in common."""
    dataset, terms = dataset_of(str(path), ReadingTerms())
    return Setup(
        source=str(path),
        kind=dataset.kind,
        layers=dataset.layers,
        aside=aside_of(path, dataset.aside, terms),
        attributes=dataset.attributes,
        terms=terms,
        jobs={"": load_job(job)},
    )


def _named(parcel: Parcel) -> str:
    return str(parcel.feature.attributes["id"])


def rows_only(parcel: Parcel, setup: Setup) -> Planned:
    """A row without any planning: quick."""
    del setup
    return Planned(row={"row": parcel.row, "code": "", "field_id": _named(parcel)})


def ends_at_p4(parcel: Parcel, setup: Setup) -> Planned:
    """A planner that p4 crashes, as a fault in a compiled library would."""
    if _named(parcel) == "p4":
        os._exit(11)
    return rows_only(parcel, setup)


def hangs_at_p4(parcel: Parcel, setup: Setup) -> Planned:
    """A planner that never comes back from p4."""
    if _named(parcel) == "p4":
        time.sleep(600)
    return rows_only(parcel, setup)


def lingers_at_p4(parcel: Parcel, setup: Setup) -> Planned:
    """A planner that takes some seconds for p4."""
    if _named(parcel) == "p4":
        time.sleep(5)
    return rows_only(parcel, setup)


def ends_once(parcel: Parcel, setup: Setup) -> Planned:
    """A planner whose process is killed once, whatever it plans: a file beside the county says it was."""
    if _named(parcel) == "p4" and not (mark := setup.path.with_name("killed")).exists():
        mark.touch()
        os._exit(9)
    return rows_only(parcel, setup)
