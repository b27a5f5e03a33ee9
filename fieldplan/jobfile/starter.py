"""The commented job file that a newcomer starts from."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path


def write_starter(path: Path) -> None:
    """Write the starter job file to ``path``, replacing what is there."""
    path.write_text(
        files("fieldplan.jobfile").joinpath("starter.toml").read_text(encoding="utf-8"), encoding="utf-8"
    )
