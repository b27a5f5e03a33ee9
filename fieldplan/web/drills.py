"""Drills to choose from: those of a district's job files in a folder, of other jobs, or of files handed over."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from fieldplan.errors import FieldplanError
from fieldplan.files import only_within
from fieldplan.jobfile.load import JOB_FILE, read_toml
from fieldplan.jobfile.toml_faults import parsed

DRILLS = "drills"
"""The folder beside the jobs in which the job files of a district's drills are looked for."""
MOST_FILES = 200
"""Job files of a folder that are looked into."""


def known(jobs: Path, besides: str = "") -> dict[str, Mapping[str, Any]]:
    """The drills that are known beside some jobs, by name; files that cannot be read are passed over.

    Parameters
    ----------
    jobs
        The folder of jobs: job files in its folder ``drills`` come first, then the jobs themselves.
    besides
        The name of a job to leave out.
    """
    if not jobs.is_dir():
        return {}
    paths = (*sorted((jobs / DRILLS).glob("*.toml")), *sorted(jobs.glob("*/job.toml")))
    wanted = [path for path in paths if path.parent.name != besides][:MOST_FILES]
    with only_within(jobs):
        return together(of_file(path) for path in wanted)


def of_file(path: Path) -> dict[str, Mapping[str, Any]]:
    """The drill of a job file, by its name; nothing if it cannot be read or has none."""
    try:
        return _drill_in(read_toml(path), path.stem)
    except (FieldplanError, OSError):
        return {}


def of_text(name: str, text: str) -> dict[str, Mapping[str, Any]]:
    """The drill of a job file that was handed over, by its name; nothing if it cannot be read or has none.

    Parameters
    ----------
    name
        The name of the file.
    text
        What stands in it.
    """
    try:
        return _drill_in(
            parsed(text.encode("utf-8", "replace"), Path(Path(name).name or "job.toml"), JOB_FILE), name
        )
    except FieldplanError:
        return {}


def together(found: Iterable[Mapping[str, Mapping[str, Any]]]) -> dict[str, Mapping[str, Any]]:
    """All drills that were found; of those with one name and the same keys one is kept, else each has its file's name."""
    drills: dict[str, Mapping[str, Any]] = {}
    for one in found:
        for name, table in one.items():
            called = name
            k = 2
            while called in drills and drills[called] != table:
                called, k = f"{name} ({k})", k + 1
            drills[called] = table
    return drills


def _drill_in(document: Mapping[str, Any], file: str) -> dict[str, Mapping[str, Any]]:
    table = document.get("drill")
    if not isinstance(table, Mapping) or "use" in table:
        return {}
    return {str(table.get("name") or file): table}
