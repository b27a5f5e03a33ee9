"""How far a long job is, on stderr."""

from __future__ import annotations

import math
import sys
import threading
import time
from collections.abc import Iterable, Iterator
from typing import TypeVar

import click

from fieldplan.model.field import Field
from fieldplan.model.request import Request
from fieldplan.report.words.first_start import FIRST

T = TypeVar("T")
SIGN_OF_LIFE_S = 30.0
"""What takes longer says where it is and how long it has taken so far, and again each time this is over."""
FIRST_SIGN_S = 5.0
"""The first of these lines comes sooner: who waits wants to know that something is done."""
_said_at = [-math.inf]
"""When a line was printed last, or something long began: what follows it counts from there."""
FEW = 3
"""Below this many things no progress bar is drawn."""


def get_ready() -> None:
    """Compile what plans need where that is not done yet, and say so on stderr: it is long before a first line."""
    from fieldplan.kernels.ahead import make_ready

    make_ready(lambda: click.echo(FIRST, err=True))


def with_progress(fields: Iterable[Field]) -> Iterator[Field]:
    """The fields one after the other, with a progress bar on stderr if it is a terminal and there are several.

    Whatever stderr is, a line after some seconds, and then every half minute, says how far it is.

    Parameters
    ----------
    fields
        All fields; they are collected first, for the bar shows how many are left.
    """
    fields = tuple(fields)
    get_ready()
    return _with_signs_of_life(_with_bar(fields, "Planning"), "Planning", len(fields))


def with_requests(requests: Iterable[Request]) -> Iterator[Request]:
    """The requests of a season, with a progress bar on a terminal if there are several.

    Whatever stderr is, a line after some seconds, and then every half minute, says how far it is.
    """
    requests = tuple(requests)
    get_ready()
    return _with_signs_of_life(_with_bar(requests, "Planning"), "Planning", len(requests))


def with_files(names: Iterable[str]) -> Iterator[str]:
    """The names of files to write, with a progress bar on a terminal if there are several."""
    return _with_bar(names, "Writing")


def with_seasons(seasons: Iterable[T]) -> Iterator[T]:
    """Seasons to plan one after the other, with a progress bar on a terminal if there are several.

    Whatever stderr is, a line after some seconds, and then every half minute, says how far it is.
    """
    seasons = tuple(seasons)
    get_ready()
    return _with_signs_of_life(_with_bar(seasons, "Planning"), "Planning", len(seasons))


def with_steps(names: Iterable[T]) -> Iterator[T]:
    """The named steps of planning a season, with a progress bar on a terminal that names the step.

    Whatever stderr is, a line after some seconds, and then every half minute, names the step.
    """
    return _with_signs_of_life(_with_bar(names, "Scheduling", named=True), "Scheduling")


def _with_signs_of_life(things: Iterable[T], label: str, n_things: int | None = None) -> Iterator[T]:
    """The things one after the other; a line on stderr after some seconds, and then every half minute.

    Parameters
    ----------
    n_things
        How many there are, if lines are to say the number of the thing; else they name it.
    """
    now, done, started = [""], threading.Event(), time.monotonic()
    if started - _said_at[0] >= SIGN_OF_LIFE_S:
        _said_at[0] = started + min(FIRST_SIGN_S, SIGN_OF_LIFE_S) - SIGN_OF_LIFE_S
    watch = threading.Thread(target=_say_now_and_then, args=(label, now, done), daemon=True)
    watch.start()
    try:
        for n, thing in enumerate(things, start=1):
            now[0] = str(thing) if n_things is None else f"{n} of {n_things}"
            yield thing
    finally:
        done.set()


def _say_now_and_then(label: str, now: list[str], done: threading.Event) -> None:
    started = time.monotonic()
    while not done.wait(max(0.0, _said_at[0] + SIGN_OF_LIFE_S - time.monotonic())):
        _said_at[0] = time.monotonic()
        click.echo(f"{label}: {now[0]}, for {_said_at[0] - started:.0f} s so far.", err=True)


def _with_bar(things: Iterable[T], label: str, *, named: bool = False) -> Iterator[T]:
    things = tuple(things)
    if len(things) < FEW or not sys.stderr.isatty():
        yield from things
        return

    def name(thing: T | None) -> str:
        return "" if thing is None or not named else str(thing)

    with click.progressbar(things, label=label, file=sys.stderr, item_show_func=name) as bar:
        yield from bar
