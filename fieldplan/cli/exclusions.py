"""The exclusion files of a command line and of a job."""

from __future__ import annotations

from pathlib import Path

from fieldplan.boundary.exclusions import ExclusionFile, exclusions_of_job, load_exclusions
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.model.job import Job


def exclusion_files(
    excluding: tuple[tuple[Path, ...], float], terms: ReadingTerms, job: Job | None = None
) -> list[ExclusionFile]:
    """Exclusion files of the command line, for all fields, then those of the job file, each for its field.

    Parameters
    ----------
    excluding
        From the reading options: the paths of ``--exclusions``, and the set-back in meters for features that
        give none of their own.
    """
    paths, set_back_m = excluding
    files = [load_exclusions(path, terms, set_back_m=set_back_m) for path in paths]
    return files + (exclusions_of_job(job, terms, set_back_m) if job else [])
