"""The one way in which a file that somebody names is opened.

Only a regular file on this machine, not over a stated size, opened once and without waiting: never a device, a pipe, a folder or an
address. Each error says what the file was wanted for. A test holds that nothing else in the package opens files to read them.
"""

from __future__ import annotations

import os
import re
import stat
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from fieldplan.errors import InputError
from fieldplan.facts import Value

_ADDRESS = re.compile(r"[a-z][a-z0-9+.-]+:/|/vsi", re.IGNORECASE)
_WITHOUT_WAITING = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOCTTY", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)  # fmt: skip
_NOT_THROUGH_LINKS = getattr(os, "O_NOFOLLOW", 0)
_UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")


@dataclass(frozen=True, slots=True, kw_only=True)
class Purpose:
    """What a file is opened for: ``what`` in words, ``code`` begins the codes of its errors, which are of class ``error``."""

    what: Value
    code: str
    most_bytes: int
    error: type[InputError] = InputError
    hint: Value = "check the spelling"
    of_text: Value = "save it as UTF-8 text"
    through_links: bool = True

    def fault(self, kind: str, text: str, hint: Value = "") -> InputError:
        """The error of one ``kind``."""
        return self.error.of(f"{self.code}-{kind}", text, str(hint))


def is_there(path: Path, purpose: Purpose) -> bool:
    """Whether a file stands at a path; anything else there that is no regular file is refused.

    Raises
    ------
    InputError
        If what is there is no file, or no file could have that name.
    """
    try:
        found = path.stat(follow_symlinks=purpose.through_links)
    except (FileNotFoundError, NotADirectoryError):
        return False
    except (OSError, ValueError) as problem:
        raise _unopened(path, purpose, problem) from None
    _only_a_file(path, purpose, found)
    return True


def is_address(path: Path) -> bool:
    """Whether a path looks like a place on the network: it would be taken for folders of odd names."""
    return _ADDRESS.match(str(path)) is not None


def opened(path: Path, purpose: Purpose) -> BinaryIO:
    """The file at a path, open for reading its bytes.

    Raises
    ------
    InputError
        If there is none, it is no regular file, it is over its limit, or it cannot be opened.
    """
    if not is_there(path, purpose):
        raise _missing(path, purpose)
    try:
        number = os.open(path, os.O_RDONLY | _WITHOUT_WAITING | (0 if purpose.through_links else _NOT_THROUGH_LINKS))
    except (OSError, ValueError) as problem:
        raise _unopened(path, purpose, problem) from None
    stream = os.fdopen(number, "rb")
    try:
        found = os.fstat(number)  # again: what stands there may have been exchanged since
        _only_a_file(path, purpose, found)
        if found.st_size > purpose.most_bytes:
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
            content = stream.read(purpose.most_bytes + 1) or b""
        except OSError as problem:
            raise _unopened(path, purpose, problem) from None
    if len(content) > purpose.most_bytes:
        raise _too_large(path, purpose)
    return content


def head_of(path: Path, purpose: Purpose, n: int) -> bytes:
    """The first ``n`` bytes of a file, or all if it has fewer: by these one can tell what it is.

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
    """The text of a file in UTF-8, a mark at its beginning taken off.

    Raises
    ------
    InputError
        As `content_of`, and if it is no text in UTF-8.
    """
    content = content_of(path, purpose)
    if content.startswith(_UTF16_MARKS):
        raise purpose.fault("not-text", f"{path}: is text in UTF-16; the {purpose.what} must be in UTF-8.", purpose.of_text)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        raise purpose.fault("not-text", f"{path}: the {purpose.what} is no text file in UTF-8.", purpose.of_text)
    return text


def _only_a_file(path: Path, purpose: Purpose, found: os.stat_result) -> None:
    if stat.S_ISREG(found.st_mode):
        return
    is_what = {stat.S_IFDIR: "a folder", stat.S_IFIFO: "a pipe", stat.S_IFLNK: "a link", stat.S_IFSOCK: "a socket"}
    there = is_what.get(stat.S_IFMT(found.st_mode), "a device")
    raise purpose.error.of("not-a-file", f"{path}: this is {there}, not a file; the {purpose.what} must be a file.",
                           f"name the {purpose.what} itself")  # fmt: skip


def _missing(path: Path, purpose: Purpose) -> InputError:
    if is_address(path):
        return purpose.fault("remote", f"{path}: only files on this machine are read.", "download it first, then name the file")
    return purpose.fault("not-found", f"{path}: there is no such file; it was to be the {purpose.what}.", purpose.hint)


def _unopened(path: Path, purpose: Purpose, problem: Exception) -> InputError:
    if isinstance(problem, ValueError):  # a NUL, or half of a character
        return purpose.fault(
            "not-found", f"{str(path)!a}: no file can have such a name; it was to be the {purpose.what}.", purpose.hint
        )
    reason = getattr(problem, "strerror", None) or str(problem)
    return purpose.fault("unreadable", f"{path}: the {purpose.what} cannot be opened ({reason}).")


def _too_large(path: Path, purpose: Purpose) -> InputError:
    return purpose.fault("too-large", f"{path}: is over {_bytes_shown(purpose.most_bytes)}, too large for a {purpose.what}.",
                         f"check that this is the {purpose.what}")  # fmt: skip


def _bytes_shown(n: int) -> str:
    return f"{n / 1e9:g} GB" if n >= 1e9 else f"{n / 1e6:g} MB"
