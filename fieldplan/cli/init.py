"""``fieldplan init``: the job file to start from."""

from __future__ import annotations

from pathlib import Path

import click

from fieldplan.cli.options import force_option
from fieldplan.jobfile.starter import write_starter
from fieldplan.report.files import write_files
from fieldplan.report.plain import plain


@click.command("init")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@force_option
def command(folder: Path, force: bool) -> None:
    """Write a commented job file, job.toml, to start from.

    \b
    fieldplan init .
    """
    (path,) = write_files(folder, {"job.toml": write_starter}, force=force)
    shown = plain(str(path))
    click.echo(f"Wrote {shown}. Open it, put in your drill and your seed tags, then:")
    click.echo(f"fieldplan plan FIELDS --job {shown}")
