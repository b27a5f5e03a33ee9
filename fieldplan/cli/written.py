"""Files written into the folder that was named, and said on stderr."""

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
    """Write all files or none, and say where they are."""
    for path in write_files(folder, writers, force=force, progress=progress):
        click.echo(f"Wrote {plain(str(path))}", err=True)
