"""Opening files that the user names; no other module opens files to read them, which a test checks.

Only a regular file on this machine is opened, within a size limit, once and without waiting: never a
device, a pipe, a folder or an address. Each error says what the file is needed for.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from fieldplan.errors import InputError, Problem
from fieldplan.facts import Value, fact, parted

_ADDRESS = re.compile(r"[a-z][a-z0-9+.-]+:/|/vsi", re.IGNORECASE)
_WITHOUT_WAITING = (
    getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_NOCTTY", 0)
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_BINARY", 0)
)
_NOT_THROUGH_LINKS = getattr(os, "O_NOFOLLOW", 0)
_UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")
_SPELLING, _AS_UTF8 = fact("try/spelling"), fact("try/utf8")
_NO_FILES = {
    stat.S_IFDIR: fact("there/folder"),
    stat.S_IFIFO: fact("there/pipe"),
    stat.S_IFLNK: fact("there/link"),
    stat.S_IFSOCK: fact("there/socket"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Purpose:
    """What a file is opened for.

    Parameters
    ----------
    what
        What the file is called, such as "rate card".
    code
        First part of the codes of its errors.
    max_bytes
        A larger file is refused.
    error
        Class of its errors.
    hint, of_text
        What to try if it is missing, and if it is not text.
    through_links
        Whether a symbolic link is followed.
    """

    what: Value
    code: str
    max_bytes: int
    error: type[InputError] = InputError
    hint: Value = _SPELLING
    of_text: Value = _AS_UTF8
    through_links: bool = True

    def fault(self, kind: str, path: Path | str, **values: Value) -> InputError:
        """The error of one kind.

        Parameters
        ----------
        kind
            Last part of its code.
        values
            What its sentence names.
        """
        code, case = parted(f"{self.code}-{kind}")
        return self.error(
            Problem(code=code, case=case, file=str(path), values={"what": self.what, **values})
        )


_only_within: ContextVar[tuple[Path, ...]] = ContextVar("_only_within", default=())


@contextmanager
def only_within(*folders: Path) -> Iterator[None]:
    """Refuse files outside of these folders for a ``with`` block; links are followed before one is looked for."""
    before = _only_within.set(tuple(folder.resolve() for folder in folders))
    try:
        yield
    finally:
        _only_within.reset(before)


def _refuse_outside(path: Path, purpose: Purpose) -> None:
    homes = _only_within.get()
    try:
        inside = not homes or any(path.resolve().is_relative_to(home) for home in homes)
    except (OSError, ValueError, RuntimeError):  # no file can have that name: said when it is opened
        return
    if not inside:
        raise purpose.error.of("file-outside", file=str(path), folder=str(homes[0]), what=purpose.what)


def is_there(path: Path, purpose: Purpose) -> bool:
    """Whether there is a file at a path; anything else there is refused.

    Raises
    ------
    InputError
        If what is there is not a file, no file can have that name, or it lies outside of `only_within`.
    """
    _refuse_outside(path, purpose)
    try:
        found = path.stat(follow_symlinks=purpose.through_links)
    except (FileNotFoundError, NotADirectoryError):
        return False
    except (OSError, ValueError) as problem:
        raise _unopened(path, purpose, problem) from None
    _only_a_file(path, purpose, found)
    return True


def is_address(path: Path) -> bool:
    """Whether a path looks like an address on the network, which would be taken for folders of odd names.

    Examples
    --------
    >>> is_address(Path("https://example.org/field.kml")), is_address(Path("field.kml"))
    (True, False)
    """
    return _ADDRESS.match(str(path)) is not None


def opened(path: Path, purpose: Purpose) -> BinaryIO:
    """The file at a path, open for reading its bytes.

    Raises
    ------
    InputError
        If there is none, it is not a regular file, it is over its limit, or it cannot be opened.
    """
    if not is_there(path, purpose):
        raise _missing(path, purpose)
    try:
        number = os.open(
            path, os.O_RDONLY | _WITHOUT_WAITING | (0 if purpose.through_links else _NOT_THROUGH_LINKS)
        )
    except (OSError, ValueError) as problem:
        raise _unopened(path, purpose, problem) from None
    stream = os.fdopen(number, "rb")
    try:
        found = os.fstat(number)  # again: the file may have been replaced since
        _only_a_file(path, purpose, found)
        if found.st_size > purpose.max_bytes:
            raise _too_large(path, purpose)
    except InputError:
        stream.close()
        raise
    return stream


def content_of(path: Path, purpose: Purpose) -> bytes:
    """All bytes of a file.

    Raises
    ------
    InputError
        As `opened`, and if it cannot be read or grows past its limit.
    """
    with opened(path, purpose) as stream:
        try:
            content = stream.read(purpose.max_bytes + 1) or b""
        except OSError as problem:
            raise _unopened(path, purpose, problem) from None
    if len(content) > purpose.max_bytes:
        raise _too_large(path, purpose)
    return content


def head_of(path: Path, purpose: Purpose, n: int) -> bytes:
    """The first ``n`` bytes of a file, or all if it has fewer.

    Raises
    ------
    InputError
        As `opened`, and if it cannot be read.
    """
    with opened(path, purpose) as stream:
        try:
            return stream.read(n) or b""
        except OSError as problem:
            raise _unopened(path, purpose, problem) from None


def text_of(path: Path, purpose: Purpose) -> str:
    """The text of a file in UTF-8, without a byte-order mark.

    Raises
    ------
    InputError
        As `content_of`, and if it is not text in UTF-8.
    """
    content = content_of(path, purpose)
    if content.startswith(_UTF16_MARKS):
        raise purpose.fault("not-text/utf16", path, hint=purpose.of_text)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        raise purpose.fault("not-text", path, hint=purpose.of_text)
    return text


def _only_a_file(path: Path, purpose: Purpose, found: os.stat_result) -> None:
    if stat.S_ISREG(found.st_mode):
        return
    there = _NO_FILES.get(stat.S_IFMT(found.st_mode), fact("there/device"))
    raise purpose.error.of("not-a-file", file=str(path), there=there, what=purpose.what)


def _missing(path: Path, purpose: Purpose) -> InputError:
    if is_address(path):
        return purpose.fault("remote", path)
    return purpose.fault("not-found", path, hint=purpose.hint)


def _unopened(path: Path, purpose: Purpose, problem: Exception) -> InputError:
    if isinstance(problem, ValueError):  # a NUL, or half of a character
        return purpose.fault("not-found/name", ascii(str(path)), hint=purpose.hint)
    return purpose.fault("unreadable", path, reason=getattr(problem, "strerror", None) or str(problem))


def _too_large(path: Path, purpose: Purpose) -> InputError:
    return purpose.fault("too-large", path, most_bytes=purpose.max_bytes)
