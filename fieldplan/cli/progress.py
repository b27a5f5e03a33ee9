"""How far a long job is, on stderr."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator

import click

from fieldplan.model.field import Field


def with_progress(fields: Iterable[Field]) -> Iterator[Field]:
    """The fields, with a progress bar on a terminal where there are several."""
    fields = tuple(fields)
    if len(fields) < 3 or not sys.stderr.isatty():
        yield from fields
        return
    with click.progressbar(fields, label="Planning", file=sys.stderr) as bar:
        yield from bar
