"""A job file, or a mapping of its tables, for a notebook."""

from __future__ import annotations

from collections.abc import Mapping
from os import PathLike, fspath
from pathlib import Path
from typing import Any

from fieldplan.api.reader import hints
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
            return job_of(_as_toml(job), Path("job"))
        if isinstance(job, str | PathLike):
            return load_job(job)
    raise TypeError(f"job must be a path, a mapping or a Job, not {type(job).__name__}")


def _as_toml(value: Any) -> Any:
    """A value in the types in which TOML would give it, as far as it is of another that means the same."""
    if isinstance(value, Mapping):
        strange = next((key for key in value if not isinstance(key, str)), None)
        if strange is not None:
            raise TypeError(f"keys of a job must be text, not {strange!r}")
        return {key: _as_toml(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_as_toml(inner) for inner in value]
    if isinstance(value, PathLike):
        return fspath(value)
    if hasattr(value, "dtype") and hasattr(value, "tolist"):  # numbers and arrays of numpy
        return _as_toml(value.tolist())
    return value
