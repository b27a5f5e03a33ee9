"""A job file, or a mapping of its tables, for a notebook."""

from __future__ import annotations

from collections.abc import Mapping
from os import PathLike
from pathlib import Path
from typing import Any

from fieldplan.api.reader import hints
from fieldplan.api.tables import as_toml
from fieldplan.jobfile.load import job_of, load_job
from fieldplan.model.job import Job

JobSource = str | PathLike[str] | Mapping[str, Any] | Job


def read_job(job: JobSource) -> Job:
    """Read and check a job: drill, tractor, mixes, working and booking terms.

    Parameters
    ----------
    job
        The path of a job file, or a mapping with the same tables and keys: quantities are text with a unit,
        such as ``"7.5 in"``, tables that may stand several times are lists, days are dates. Files that a
        mapping names, such as a rate card, are looked for in the current folder. A `Job` comes back as it
        is.

    Raises
    ------
    JobFileError
        With every problem found, each naming table and key and what would be right.
    TypeError
        If it is none of these, or a key of the mapping is no text.

    Examples
    --------
    >>> import fieldplan
    >>> job = fieldplan.read_job("farm.toml")
    >>> round(job.drill.effective_width_m, 3)
    3.048
    """
    if isinstance(job, Job):
        return job
    with hints():
        if isinstance(job, Mapping):
            return job_of(as_toml(job), Path("job"))
        if isinstance(job, str | PathLike):
            return load_job(job)
    raise TypeError(f"job must be a path, a mapping or a Job, not {type(job).__name__}")
