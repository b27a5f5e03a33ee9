"""The mix of a job that a command works on."""

from __future__ import annotations

import click

from fieldplan.errors import UsageError
from fieldplan.model.job import Job
from fieldplan.model.seed import Mix

mix_option = click.option(
    "--mix", "mix_name", metavar="NAME", help="The mix to use, if the job file has several."
)


def mix_named(job: Job, name: str | None) -> Mix:
    """The mix of that name, or the only mix.

    Raises
    ------
    UsageError
        If no mix has that name, or none was named and there are several.
    """
    names = tuple(mix.name for mix in job.mixes)
    if name is None and len(job.mixes) == 1:
        return job.mixes[0]
    if name is None:
        raise UsageError.of("mix-not-said", file=str(job.path), known=names)
    found = next((mix for mix in job.mixes if mix.name == name), None)
    if found is None:
        raise UsageError.of("mix-unknown/option", file=str(job.path), mix=name, known=names)
    return found
