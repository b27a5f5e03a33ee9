"""Write files into a folder, and name them on stderr."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

import click

from fieldplan.report.files import Writer, write_files
from fieldplan.report.words.plain import plain


def write_and_say(
    folder: Path,
    writers: Mapping[str, Writer],
    *,
    force: bool,
    progress: Callable[[Iterable[str]], Iterable[str]] = iter,
) -> None:
    """Write all files or none, and print their paths on stderr.

    Parameters
    ----------
    writers
        By file name, what writes the file.
    force
        Overwrite existing files.
    progress
        Wraps the file names while they are written, for a progress bar.

    Raises
    ------
    UsageError
        If a file exists and ``force`` is not set, or the folder cannot be written to.
    OutputError
        If the disk is full.
    """
    for path in write_files(folder, writers, force=force, progress=progress):
        click.echo(f"Wrote {plain(str(path))}", err=True)
