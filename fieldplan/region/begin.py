"""A region made ready to plan: its parcels, the jobs that plan them, and the engine that does it."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np

from fieldplan.boundary.aside import aside_of
from fieldplan.boundary.choose import MAX_LISTED, conditions
from fieldplan.boundary.exclusions import ExclusionFile
from fieldplan.boundary.layer import Feature, Layer
from fieldplan.boundary.reference import settle
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError, UsageError
from fieldplan.facts import fact
from fieldplan.model.job import Job
from fieldplan.region.cluster import planned_by_cluster
from fieldplan.region.columns import with_arrow
from fieldplan.region.crew import planned_by_processes
from fieldplan.region.dataset import Dataset, Rows, dataset_of
from fieldplan.region.draw import Draw, drawn
from fieldplan.region.parcel import Setup
from fieldplan.region.run import Engine, Run
from fieldplan.region.sizes import sizes_m2

DEFAULT_LIMIT_S = 600.0
PROBED_ROWS = 500
"""Rows that are looked at before anything is planned."""
_OF_THE_FILE = ("crs-missing", "crs-unknown", "crs-unsuitable")
"""Problems that all rows of a file share."""
_OF_EVERY_ROW = ("axes-in-doubt", "crs-not-degrees", "crs-not-metres")
"""Problems that mostly are of a file too: its axes are swapped, or its reference system is another than it says."""


def run_of(
    source: str,
    jobs: Mapping[str, Job],
    folder: Path,
    *,
    terms: ReadingTerms,
    job_field: str = "",
    exclusions: Sequence[ExclusionFile] = (),
    n_sample: int | None = None,
    with_passes: bool = False,
    by: Sequence[str] = (),
) -> Run:
    """The run that plans a file into a folder; nothing is written yet.

    Parameters
    ----------
    source
        The path of the file, or the address of a GeoParquet file in an object store.
    jobs, job_field
        As in `Setup`.
    n_sample
        Rows to draw; ``None`` for all.
    by
        Attributes that sums will be made by.

    Raises
    ------
    UsageError
        If the file has no attribute of such a name.
    BoundaryError
        If the file as a whole cannot be used, has no row, or lies nowhere in its reference system, or if what lies beside
        its outlines cannot be used.
    MissingExtra
        If the library for Parquet is not installed.
    """
    with_arrow()
    dataset, terms = dataset_of(source, terms)
    known = {name.casefold() for name in dataset.attributes}
    for name in (*by, *([job_field] if job_field else [])):
        if name.casefold() not in known:
            raise UsageError.of(
                "region-no-attribute", file=source, name=name, known=dataset.attributes[:MAX_LISTED]
            )
    conditions(Path(source), (), terms, dataset.attributes)
    aside = aside_of(Path(source), dataset.aside, terms)
    if aside.problems:  # no parcel could be planned
        raise BoundaryError(aside.problems)
    setup = Setup(
        source=source,
        kind=dataset.kind,
        layers=dataset.layers,
        aside=aside,
        attributes=dataset.attributes,
        terms=terms,
        jobs=jobs,
        job_field=job_field,
        exclusions=tuple(exclusions),
        with_passes=with_passes,
    )
    n_rows = sum(dataset.groups)
    if n_rows == 0:
        raise BoundaryError.of("no-fields", file=source, cure=None, found=fact("left-out/nothing"))
    _require_system(dataset, terms, source, n_rows)
    is_sample = n_sample is not None and n_sample < n_rows
    draw = drawn(sizes_m2(dataset), n_sample or n_rows) if is_sample else Draw.of_all(n_rows)
    return Run(dataset=dataset, setup=setup, draw=draw, is_sample=is_sample, folder=folder)


def _require_system(dataset: Dataset, terms: ReadingTerms, source: str, n_rows: int) -> None:
    """Refuse a file whose reference system is not known, or in which no row lies that is looked at: it is one question,
    not a code in each of its rows.
    """
    error = _unplaced(dataset, terms, source, np.arange(min(n_rows, PROBED_ROWS)))
    if error is None:
        return
    last = np.arange(max(0, n_rows - PROBED_ROWS), n_rows)
    if error.problems[0].code in _OF_THE_FILE or _unplaced(dataset, terms, source, last) is not None:
        raise error


def _unplaced(dataset: Dataset, terms: ReadingTerms, source: str, rows: Rows) -> BoundaryError | None:
    """Why rows of a layer lie nowhere, if none of them does or if nothing can be said of any; else ``None``."""
    by_layer: dict[int, list[Feature]] = {}
    for _, number, feature in dataset.features(rows):
        by_layer.setdefault(number, []).append(feature)
    for number, features in by_layer.items():
        layer = dataset.layers[number]
        together = _error_of(layer, features, terms, source)
        code = together.problems[0].code if together else ""
        if code in _OF_THE_FILE:
            return together
        if code in _OF_EVERY_ROW and all(
            _error_of(layer, [one], terms, source) for one in features if one.geometry is not None
        ):
            return together
    return None


def _error_of(
    layer: Layer, features: Sequence[Feature], terms: ReadingTerms, source: str
) -> BoundaryError | None:
    try:
        settle(replace(layer, features=tuple(features)), terms, source)
    except BoundaryError as error:
        return error
    return None


def engine_of(n_workers: int | None, scheduler: str | None, limit_s: float | None) -> Engine:
    """What plans the parts: processes of this machine, one a processor, or the cluster of a scheduler.

    Parameters
    ----------
    limit_s
        Time that a part may take; ``None`` for `DEFAULT_LIMIT_S`.
    """
    limit_s = DEFAULT_LIMIT_S if limit_s is None else limit_s
    if scheduler:
        return partial(planned_by_cluster, address=scheduler, limit_s=limit_s)
    return partial(
        planned_by_processes,
        n_workers=n_workers or os.cpu_count() or 1,
        limit_s=limit_s,
    )
