"""What no value of any option or argument may be, looked at in one place before any command sees it."""

from __future__ import annotations

import os
from collections.abc import Sequence

from fieldplan.errors import Problem, UsageError, problem

LONGEST = 10_000
"""More characters than any path, name or note has."""


def refuse_unusable(arguments: Sequence[str]) -> None:
    """Refuse a command line with values that are empty, endless or no text.

    A file that is there may have any name that the system lets it have.

    Raises
    ------
    UsageError
        Naming the option of each.
    """
    before = ["", *arguments]
    problems = tuple(
        one
        for after, argument in zip(before, arguments, strict=False)
        if (one := _problem(argument, after)) is not None
    )
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
    """Whether it holds bytes that could not be decoded, which stand in for themselves as halves of
    surrogate pairs.
    """
    return any("\ud800" <= one <= "\udfff" for one in value)
