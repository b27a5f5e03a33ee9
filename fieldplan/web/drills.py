"""Drills to choose from: those of job files that lie in a folder, or that a person hands over."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from fieldplan.errors import FieldplanError
from fieldplan.jobfile.load import JOB_FILE, read_toml
from fieldplan.jobfile.toml_faults import parsed

MOST_FILES = 200
"""Job files of a folder that are looked into."""


def known(folder: Path) -> dict[str, Mapping[str, Any]]:
    """The drills of the job files in a folder, by name; files that are none are passed over.

    Parameters
    ----------
    folder
        The folder; one that does not exist has none.
    """
    if not folder.is_dir():
        return {}
    return together(of_file(path) for path in sorted(folder.glob("*.toml"))[:MOST_FILES])


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
        return _drill_in(parsed(text.encode("utf-8", "replace"), Path(name).name or "job.toml", JOB_FILE), name)
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
