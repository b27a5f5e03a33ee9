"""Values that no option or argument may have, checked in one place before any command sees them."""

from __future__ import annotations

import os
from collections.abc import Sequence

from fieldplan.errors import Problem, UsageError, problem

LONGEST = 10_000
"""More characters than any path, name or note has."""


def refuse_unusable(arguments: Sequence[str]) -> None:
    """Refuse a command line with values that are empty, far too long or not text.

    An existing file may have any name that the system allows.

    Parameters
    ----------
    arguments
        The words of the command line after the program's name.

    Raises
    ------
    UsageError
        With a problem for each such value, naming its option.
    """
    before = ["", *arguments]
    found = (_problem(argument, after) for after, argument in zip(before, arguments, strict=False))
    problems = tuple(problem for problem in found if problem is not None)
    if problems:
        raise UsageError(problems)


def _problem(argument: str, after: str) -> Problem | None:
    option, equals, value = argument.partition("=")
    if not (equals and option.startswith("--")):
        value = argument
        option = f"What follows {after}" if after.startswith("-") and "=" not in after else "An argument"
    if "\0" in value:
        return problem("value-null", about=option)
    if not value.strip():
        return problem("value-empty", about=option)
    if len(value) > LONGEST:
        return problem("value-long", about=option, n_characters=len(value), n_most=LONGEST)
    if _is_no_text(value) and not os.path.lexists(value):
        return problem("value-no-text", about=option, given=value)
    return None


def _is_no_text(value: str) -> bool:
    """Whether it holds bytes that could not be decoded: the system hands them on as halves of surrogate
    pairs.
    """
    return any("\ud800" <= character <= "\udfff" for character in value)
