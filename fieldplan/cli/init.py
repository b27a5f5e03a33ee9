"""``fieldplan init``: the job file to start from."""

from __future__ import annotations

import shlex
from pathlib import Path

import click

from fieldplan.cli.options import force_option
from fieldplan.errors import UsageError
from fieldplan.facts import fact
from fieldplan.jobfile.starter import write_starter
from fieldplan.report.files import write_files
from fieldplan.report.words.plain import plain


@click.command("init")
@click.argument("folder", metavar="[DIR]", type=click.Path(path_type=Path), default=".")
@force_option
def command(folder: Path, force: bool) -> None:
    """Write job.toml, a job file with comments to fill in, into the folder DIR: this folder if none is given.

    A job.toml that is there already stays as it is, unless you say --force.

    Lines marked FILL IN ask for what only you know: the drill, the seed tags, the chance of a fieldwork day.
    Every quantity is written with its unit, such as "7.5 in" or "12 lb/ac PLS". `fieldplan plan` lists what
    is still missing.

    \b
    fieldplan init
    fieldplan init north-farm
    """
    try:
        (path,) = write_files(folder, {"job.toml": write_starter}, force=force)
    except UsageError as error:
        exists = any(problem.code == "file-exists" for problem in error.problems)
        raise UsageError.from_other(
            error, cure=fact("another-folder/or-force" if exists else "another-folder")
        ) from None
    click.echo(
        f"Wrote {plain(str(path))}. Open it and fill in the lines marked FILL IN: your drill, your seed tags and the rest. "
        "Then run this, with your boundary file in place of FIELDS:"
    )
    click.echo(plain(f"fieldplan plan FIELDS --job {shlex.quote(str(path))}"))
