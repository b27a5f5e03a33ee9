"""Who reads the results: in which units, on which paper, and what they may try when something is wrong."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import get_args

from fieldplan.errors import FieldplanError
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import Quantities, System


def quantities_in(units: System) -> Quantities:
    """Quantities in US or metric units.

    Raises
    ------
    ValueError
        If ``units`` is neither "us" nor "metric".
    """
    require_choice("units", units, get_args(System))
    return Quantities(units)


def require_paper(paper: Paper) -> None:
    """Raise a ValueError unless ``paper`` is a size that sheets are made for."""
    require_choice("paper", paper, get_args(Paper))


def require_choice(name: str, given: object, choices: tuple[str, ...]) -> None:
    """Raise a ValueError that lists the choices unless one of them is given."""
    if given not in choices:
        raise ValueError(f"{name} must be {' or '.join(map(repr, choices))}, not {given!r}")


@contextmanager
def hints() -> Iterator[None]:
    """Put under an error's traceback what to try, as the command line prints it."""
    try:
        yield
    except FieldplanError as error:
        noted = getattr(error, "__notes__", [])
        for note in dict.fromkeys(f"Try: {problem.hint}" for problem in error.problems if problem.hint):
            if note not in noted:
                error.add_note(note)
        raise
