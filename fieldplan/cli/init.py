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
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@force_option
def command(folder: Path, force: bool) -> None:
    """Write a commented job file, job.toml, to start from.

    \b
    fieldplan init .
    """
    try:
        (path,) = write_files(folder, {"job.toml": write_starter}, force=force)
    except UsageError as error:
        there = any(problem.code == "file-exists" for problem in error.problems)
        raise UsageError.from_other(
            error, cure=fact("another-folder/or-force" if there else "another-folder")
        ) from None
    click.echo(
        f"Wrote {plain(str(path))}. Open it, fill in your drill, your seed tags and the rest that is marked FILL IN. "
        "Then, with the file of your field boundaries for FIELDS:"
    )
    click.echo(plain(f"fieldplan plan FIELDS --job {shlex.quote(str(path))}"))
