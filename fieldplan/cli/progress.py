"""How far a long job is, on stderr."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from typing import TypeVar

import click

from fieldplan.model.field import Field
from fieldplan.model.season import Lending, Request

T = TypeVar("T")
FEW = 3


def with_progress(fields: Iterable[Field]) -> Iterator[Field]:
    """The fields, with a progress bar on a terminal where there are several."""
    return _shown(fields, "Planning")


def with_requests(requests: Iterable[Request]) -> Iterator[Request]:
    """The requests of a season, with a progress bar on a terminal where there are several."""
    return _shown(requests, "Planning")


def with_files(names: Iterable[str]) -> Iterator[str]:
    """The names of files that are written, with a progress bar on a terminal where there are several."""
    return _shown(names, "Writing")


def with_seasons(seasons: Iterable[tuple[str, Lending]]) -> Iterator[tuple[str, Lending]]:
    """Seasons by name that are planned one after the other, with a progress bar on a terminal where there are several."""
    return _shown(seasons, "Planning")


def _shown(things: Iterable[T], label: str) -> Iterator[T]:
    things = tuple(things)
    if len(things) < FEW or not sys.stderr.isatty():
        yield from things
        return
    with click.progressbar(things, label=label, file=sys.stderr) as bar:
        yield from bar
