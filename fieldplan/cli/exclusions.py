"""The exclusion files of a command line and of a job."""

from __future__ import annotations

from pathlib import Path

from fieldplan.boundary.exclusions import ExclusionFile, exclusions_of_job, load_exclusions
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.model.job import Job


def exclusion_files(
    excluding: tuple[tuple[Path, ...], float], terms: ReadingTerms, job: Job | None = None
) -> list[ExclusionFile]:
    """Those of ``--exclusions``, for all fields, then those that the job file names, each for its field.

    ``excluding`` is what the reading options give: the paths, and the set-back in metres where a file gives
    none.
    """
    paths, set_back_m = excluding
    files = [load_exclusions(path, terms, set_back_m=set_back_m) for path in paths]
    return files + (exclusions_of_job(job, terms, set_back_m) if job else [])
