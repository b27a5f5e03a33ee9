"""Everything that can go wrong and that the user can put right.

The whole tree::

    FieldplanError            exit
    ├── UsageError              2   an option or argument is wrong
    │   └── MissingExtra        2   a part that was not installed is needed
    ├── InputError              3   a file or value cannot be used
    │   ├── BoundaryError       3   the boundary file
    │   ├── JobFileError        3   the job file
    │   ├── QuantityError       3   a quantity written as text
    │   └── TableError          3   a table of this installation that somebody has changed
    ├── OutputError             3   the disk or stream for the results takes no more
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
    """One thing that is wrong, where it is, and what would be right.

    Parameters
    ----------
    code
        Kebab-case code of what is wrong; part of the public contract.
    values
        What is wrong with it and what would be right, as typed values.
    case
        Which sentence of the code, where it has several.
    file, about, key
        The file; the table, row, feature or option in it; and the key. Empty where unknown.
    cure
        What to try, where that does not follow from the code.
    """

    case: str = ""
    file: str = ""
    about: str = ""
    key: str = ""
    cure: Fact | None = None

    def as_fact(self) -> Fact:
        """Return what is wrong as a fact, to stand in another sentence."""
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
    """One or more problems that stop the work; all problems of one input are raised together.

    Parameters
    ----------
    problems
        What is wrong, as data; ``str()`` of the error gives it as sentences.
    """

    exit_code = 1

    def __init__(self, problems: Problem | tuple[Problem, ...]) -> None:
        self.problems = (problems,) if isinstance(problems, Problem) else problems
        super().__init__(self.problems)

    def __str__(self) -> str:
        """Return what is wrong, one sentence per line."""
        return "\n".join(problem.text for problem in self.problems)

    @classmethod
    def of(cls, key: str, /, *, cure: Fact | None = None, **values: Value) -> Self:
        """Return an error of this class with a single problem.

        Parameters
        ----------
        key
            The problem's ``"code"`` or ``"code/case"``.
        cure
            What to try, where that does not follow from the code.
        **values
            What is wrong; those named ``file``, ``about`` and ``key`` say where.
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
        """Return an error of this class with the problems of another, each with its place filled in.

        Parameters
        ----------
        error
            The error whose problems are taken over.
        file, about, key, cure
            Where they are and what to try; see `placed`.
        """
        problems = (
            placed(problem, file=file, about=about, key=key, cure=cure) for problem in error.problems
        )
        return cls(tuple(problems))


class Where(TypedDict, total=False):
    """The file of a problem and the part of it concerned, as keyword arguments of `placed` and `problem`."""

    file: str
    about: str


def problem(key: str, /, *, cure: Fact | None = None, **values: Value) -> Problem:
    """Return a problem by its ``"code"`` or ``"code/case"``.

    Parameters
    ----------
    key
        Code, and case after a slash.
    cure
        What to try, where that does not follow from the code.
    **values
        What is wrong; those named ``file``, ``about`` and ``key`` say where.
    """
    code, case = parted(key)
    where = {name: str(values.pop(name)) for name in ("file", "about", "key") if name in values}
    return Problem(code=code, case=case, values=values, cure=cure, **where)


def placed(
    problem: Problem, *, file: str = "", about: str = "", key: str = "", cure: Fact | None = None
) -> Problem:
    """Return the problem with its place filled in.

    Parameters
    ----------
    problem
        A problem that may know its place in part.
    file, about, key
        Its place; used where the problem has none of its own.
    cure
        What to try; replaces the problem's own.
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
        """Return the error for an ``extra`` of the installation, and what it is needed for."""
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
    """A table of this installation cannot be used: somebody has changed it."""


class OutputError(FieldplanError):
    """The disk or stream for the results takes no more; another option would not help."""

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
    """Return why the system refused to write, in the system's own words if the reason is an unusual one."""
    number = problem.errno or 0
    return _FULL.get(number) or _WRONG_PLACE.get(number) or problem.strerror or str(problem)


def disk_full(problem: OSError) -> bool:
    """Return whether writing failed for lack of room, not because of the place."""
    return problem.errno in _FULL


def unwritable(problem: OSError, folder: str = "") -> FieldplanError:
    """Return the error for a folder that cannot be written to.

    Parameters
    ----------
    problem
        What the system reported.
    folder
        The folder; empty means the one for temporary files.
    """
    reason = why_unwritable(problem)
    if disk_full(problem):
        return OutputError.of("disk-full" if folder else "disk-full/temporary", file=folder, why=reason)
    code = "folder-unwritable" if folder else "folder-unwritable/temporary"
    return UsageError.of(code, file=folder, why=reason)


class PlanError(FieldplanError):
    """The input is fine and no plan is possible."""

    exit_code = 4
