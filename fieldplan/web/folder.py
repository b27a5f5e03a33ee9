"""Where the files of a job lie, as the form needs it: what a job names is looked for there and nowhere else."""

from __future__ import annotations

from pathlib import Path

from fieldplan.web.desk import Desk

NOWHERE = Path("no-folder-yet")
"""A folder that does not exist: a job that is not saved yet has no files."""


def folder_of(desk: Desk) -> Path:
    """The folder of the desk's job."""
    return desk.folder or NOWHERE


def job_path(desk: Desk) -> Path:
    """Where the job file of the desk is, or will be."""
    return folder_of(desk) / "job.toml"
