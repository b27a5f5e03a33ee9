"""Everything that can go wrong for a reason a person can act on.

The whole tree::

    FieldplanError            exit
    ├── UsageError              2   an option or argument is wrong
    │   └── MissingExtra        2   a part that was not installed is needed
    ├── InputError              3   a file or value cannot be used
    │   ├── BoundaryError       3   the boundary file
    │   ├── JobFileError        3   the job file
    │   └── QuantityError       3   a quantity written as text
    └── PlanError               4   the input is fine and no plan is possible

Any other exception is a bug in fieldplan.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing that is wrong, where, and what would be right."""

    code: str
    text: str
    hint: str = ""


class FieldplanError(Exception):
    """One or more problems that stop the work; all problems of one input travel together."""

    exit_code = 1

    def __init__(self, problems: Problem | tuple[Problem, ...]) -> None:
        self.problems = (problems,) if isinstance(problems, Problem) else problems
        super().__init__("\n".join(problem.text for problem in self.problems))

    @classmethod
    def of(cls, code: str, text: str, hint: str = "") -> Self:
        """An error of this class with a single problem."""
        return cls(Problem(code=code, text=text, hint=hint))


class UsageError(FieldplanError):
    """An option or argument is wrong."""

    exit_code = 2


class MissingExtra(UsageError):
    """A part of fieldplan is needed that was not installed."""

    @classmethod
    def named(cls, extra: str, needed_for: str) -> Self:
        """The error for an ``extra`` of the installation that ``needed_for`` asks for."""
        return cls(
            Problem(
                code="missing-extra",
                text=f"{needed_for} needs the '{extra}' extra, which is not installed.",
                hint=f"pip install 'fieldplan[{extra}]'",
            )
        )


class InputError(FieldplanError):
    """A file or value cannot be used."""

    exit_code = 3


class BoundaryError(InputError):
    """The boundary file cannot be used."""


class JobFileError(InputError):
    """The job file cannot be used."""


class QuantityError(InputError):
    """A quantity written as text cannot be understood."""


class PlanError(FieldplanError):
    """The input is fine and no plan is possible."""

    exit_code = 4
