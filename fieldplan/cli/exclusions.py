"""The exclusion files of a command line and of a job."""

from __future__ import annotations

from pathlib import Path

from fieldplan.boundary.exclusions import ExclusionFile, load_exclusions
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
    for field_id, sentence in job.fields.items() if job else ():
        if sentence.exclusions:
            files.append(
                load_exclusions(sentence.exclusions, terms, set_back_m=set_back_m, field_id=field_id)
            )
    return files
