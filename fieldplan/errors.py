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
from dataclasses import dataclass, replace
from typing import Self, TypedDict

from fieldplan.facts import Fact, Value, fact, in_words, parted


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem(Fact):
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

    case: str = ""
    file: str = ""
    about: str = ""
    key: str = ""
    cure: Fact | None = None

    def as_fact(self) -> Fact:
        """What is wrong, to stand in another sentence."""
        return Fact(f"{self.code}/{self.case}" if self.case else self.code, self.values)

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
    def of(cls, key: str, /, *, cure: Fact | None = None, **values: Value) -> Self:
        """An error of this class with a single problem, ``"code"`` or ``"code/case"``; ``file``, ``about``
        and ``key`` say where it is.
        """
        return cls(problem(key, cure=cure, **values))

    @classmethod
    def from_other(
        cls,
        error: FieldplanError,
        *,
        file: str = "",
        about: str = "",
        key: str = "",
        cure: Fact | None = None,
    ) -> Self:
        """An error of this class with the problems of another, with where they are and what to try as far
        as that is now known.
        """
        return cls(tuple(placed(one, file=file, about=about, key=key, cure=cure) for one in error.problems))


class Where(TypedDict, total=False):
    """The file of a problem and what of it it is about, as keywords of `placed` and `problem`."""

    file: str
    about: str


def problem(key: str, /, *, cure: Fact | None = None, **values: Value) -> Problem:
    """A problem by ``"code"`` or ``"code/case"``; values named ``file``, ``about`` and ``key`` say where it
    is.
    """
    code, case = parted(key)
    where = {name: str(values.pop(name)) for name in ("file", "about", "key") if name in values}
    return Problem(code=code, case=case, values=values, cure=cure, **where)


def placed(
    problem: Problem, *, file: str = "", about: str = "", key: str = "", cure: Fact | None = None
) -> Problem:
    """The problem with where it is, as far as it did not know that itself, and with another cure if one is
    given.
    """
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
    def named(cls, extra: str, needed_for: Fact) -> Self:
        """The error for an ``extra`` of the installation that ``needed_for`` asks for."""
        return cls.of("missing-extra", extra=extra, needed_for=needed_for)


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
    errno.ENOSPC: fact("unwritable/full"),
    getattr(errno, "EDQUOT", errno.ENOSPC): fact("unwritable/quota"),
    errno.EFBIG: fact("unwritable/file-too-large"),
    errno.EIO: fact("unwritable/disk-error"),
}
_WRONG_PLACE = {
    errno.EACCES: fact("unwritable/not-permitted"),
    errno.EPERM: fact("unwritable/not-permitted"),
    errno.EROFS: fact("unwritable/read-only"),
    errno.ENOTDIR: fact("unwritable/under-a-file"),
    errno.EEXIST: fact("unwritable/no-folder"),
    errno.ENAMETOOLONG: fact("unwritable/name-too-long"),
    errno.ENOENT: fact("unwritable/nothing-above"),
    errno.ELOOP: fact("unwritable/circle"),
    errno.EBADF: fact("unwritable/closed"),
}


def why_unwritable(problem: OSError) -> Fact | str:
    """Why the system refused to write; in its own words, if it is for none of the usual reasons."""
    number = problem.errno or 0
    return _FULL.get(number) or _WRONG_PLACE.get(number) or problem.strerror or str(problem)


def disk_full(problem: OSError) -> bool:
    """Whether the system refused to write because there is no room, and not because of the place."""
    return problem.errno in _FULL


def unwritable(problem: OSError, folder: str = "") -> FieldplanError:
    """The error for a folder that cannot be written to; for the one of temporary files, if none is
    named.
    """
    why = why_unwritable(problem)
    if disk_full(problem):
        return OutputError.of("disk-full" if folder else "disk-full/temporary", file=folder, why=why)
    return UsageError.of(
        "folder-unwritable" if folder else "folder-unwritable/temporary", file=folder, why=why
    )


class PlanError(FieldplanError):
    """The input is fine and no plan is possible."""

    exit_code = 4
