"""A region made ready to plan: its parcels, the jobs that plan them, and the engine that does it."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path

from fieldplan.boundary.choose import MAX_LISTED
from fieldplan.boundary.exclusions import ExclusionFile
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import UsageError
from fieldplan.model.job import Job
from fieldplan.region.cluster import planned_by_cluster
from fieldplan.region.columns import with_arrow
from fieldplan.region.crew import planned_by_processes
from fieldplan.region.dataset import chosen_by_chance, dataset_of
from fieldplan.region.parcel import Setup
from fieldplan.region.run import Engine, Run

DEFAULT_LIMIT_S = 600.0


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
        Rows to draw by chance; ``None`` for all.
    by
        Attributes that sums will be made by.

    Raises
    ------
    UsageError
        If the file has no attribute of such a name.
    BoundaryError
        If the file as a whole cannot be used.
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
    setup = Setup(
        source=source,
        kind=dataset.kind,
        layers=dataset.layers,
        aside=dataset.aside,
        terms=terms,
        jobs=jobs,
        job_field=job_field,
        exclusions=tuple(exclusions),
        with_passes=with_passes,
    )
    n_rows = sum(dataset.groups)
    chosen = None if n_sample is None or n_sample >= n_rows else chosen_by_chance(n_rows, n_sample)
    return Run(dataset=dataset, setup=setup, chosen=chosen, folder=folder)


def engine_of(n_workers: int | None, scheduler: str | None, limit_s: float | None) -> Engine:
    """What plans the parts: processes of this machine, one a processor, or the cluster of a scheduler.

    Parameters
    ----------
    limit_s
        Time that a part may take.
    """
    if scheduler:
        return partial(planned_by_cluster, address=scheduler, limit_s=limit_s or DEFAULT_LIMIT_S)
    return partial(
        planned_by_processes,
        n_workers=n_workers or os.cpu_count() or 1,
        limit_s=limit_s or DEFAULT_LIMIT_S,
    )
