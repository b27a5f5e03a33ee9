"""Everything that can go wrong for a reason a person can act on.

The whole tree::

    FieldplanError            exit
    ├── UsageError              2   an option or argument is wrong
    │   └── MissingExtra        2   a part that was not installed is needed
    ├── InputError              3   a file or value cannot be used
    │   ├── BoundaryError       3   the boundary file
    │   ├── JobFileError        3   the job file
    │   ├── QuantityError       3   a quantity written as text
    │   └── TableError          3   a table of this installation, which somebody has changed
    ├── OutputError             3   the disk or stream that results go to takes no more
    └── PlanError               4   the input is fine and no plan is possible

Any other exception is a bug in fieldplan.
"""

from __future__ import annotations

import errno
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Self

from fieldplan.facts import Fact, Value, in_words, parted


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing that is wrong, where, and what would be right.

    Parameters
    ----------
    case
        Which of the sentences of the code, where it has several.
    file, about, key
        The file, the table, row, feature or option in it, and the key, as far as they are known.
    values
        What is wrong with it, and what would be right.
    cure
        What to try, where that does not follow from the code.
    """

    code: str
    case: str = ""
    file: str = ""
    about: str = ""
    key: str = ""
    values: Mapping[str, Value] = field(default_factory=dict, hash=False)
    cure: Fact | None = None
    told: str = ""
    told_hint: str = ""

    @property
    def text(self) -> str:
        """What is wrong, as a sentence."""
        return in_words(self)

    @property
    def hint(self) -> str:
        """What to try; empty if there is nothing to say."""
        return in_words(self, "hint")


class FieldplanError(Exception):
    """One or more problems that stop the work; all problems of one input travel together."""

    exit_code = 1

    def __init__(self, problems: Problem | tuple[Problem, ...]) -> None:
        self.problems = (problems,) if isinstance(problems, Problem) else problems
        super().__init__(self.problems)

    def __str__(self) -> str:
        """What is wrong, a sentence a line."""
        return "\n".join(problem.text for problem in self.problems)

    @classmethod
    def of(cls, key: str, told: str = "", told_hint: str = "", /, *, cure: Fact | None = None, **values: Value) -> Self:
        """An error of this class with a single problem, ``"code"`` or ``"code/case"``; ``file``, ``about`` and ``key`` say where it is."""
        return cls(problem(key, told, told_hint, cure=cure, **values))

    @classmethod
    def from_other(
        cls, error: FieldplanError, *, file: str = "", about: str = "", key: str = "", cure: Fact | None = None
    ) -> Self:
        """An error of this class with the problems of another, with where they are and what to try as far as that is now known."""
        return cls(tuple(placed(one, file=file, about=about, key=key, cure=cure) for one in error.problems))


def problem(key: str, told: str = "", told_hint: str = "", /, *, cure: Fact | None = None, **values: Value) -> Problem:
    """A problem by ``"code"`` or ``"code/case"``; values named ``file``, ``about`` and ``key`` say where it is."""
    code, case = parted(key)
    where = {name: str(values.pop(name)) for name in ("file", "about", "key") if name in values}
    return Problem(code=code, case=case, values=values, cure=cure, told=told, told_hint=told_hint, **where)


def placed(problem: Problem, *, file: str = "", about: str = "", key: str = "", cure: Fact | None = None) -> Problem:
    """The problem with where it is, as far as it did not know that itself, and with another cure if one is given."""
    return replace(
        problem,
        file=problem.file or file,
        about=problem.about or about,
        key=problem.key or key,
        cure=cure or problem.cure,
    )


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
                told=f"{needed_for} needs the '{extra}' extra, which is not installed.",
                told_hint=f"pip install 'fieldplan[{extra}]'",
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


class TableError(InputError):
    """A row of a table of this installation cannot be used: somebody has changed it."""


class OutputError(FieldplanError):
    """The disk or stream that results go to takes no more: another option would not cure it."""

    exit_code = 3


_FULL = {
    errno.ENOSPC: "the disk is full",
    getattr(errno, "EDQUOT", errno.ENOSPC): "no more room is allowed on the disk",
    errno.EFBIG: "the disk allows no file that large",
    errno.EIO: "the disk reports an error",
}
_WRONG_PLACE = {
    errno.EACCES: "writing is not permitted",
    errno.EPERM: "writing is not permitted",
    errno.EROFS: "the disk can only be read",
    errno.ENOTDIR: "it is a file, or lies under one",
    errno.EEXIST: "it is a file, or a link to nowhere",
    errno.ENAMETOOLONG: "the name is too long",
    errno.ENOENT: "the folder above it is missing",
    errno.ELOOP: "links lead in a circle",
    errno.EBADF: "it is closed, or can only be read",
}


def why_unwritable(problem: OSError) -> str:
    """Why the system refused to write, in words."""
    number = problem.errno or 0
    return _FULL.get(number) or _WRONG_PLACE.get(number) or problem.strerror or str(problem)


def disk_full(problem: OSError) -> bool:
    """Whether the system refused to write because there is no room, and not because of the place."""
    return problem.errno in _FULL


def unwritable(what: str, problem: OSError, elsewhere: str) -> FieldplanError:
    """The error for a place that cannot be written to, in words.

    Parameters
    ----------
    what
        The place, as the reader knows it.
    elsewhere
        What to try where another place would do.
    """
    text = f"{what}: cannot be written ({why_unwritable(problem)})."
    if disk_full(problem):
        return OutputError.of("disk-full", text, f"make room, or {elsewhere}")
    return UsageError.of("folder-unwritable", text, elsewhere)


class PlanError(FieldplanError):
    """The input is fine and no plan is possible."""

    exit_code = 4
