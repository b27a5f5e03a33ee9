"""Folders that a run keeps things in while it works, and what runs that were killed left of them.

Who owns such a folder is told by a lock that the system drops when its holder ends, however it ends.
Process numbers would not do: they are given out anew, and mean nothing to another container that shares the
disk.
"""

from __future__ import annotations

import os
import shutil
import stat
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Literal

from fieldplan.errors import OutputError, unwritable

OWNER = ".owner"
"""The file of a folder that its owner holds locked."""
PREFIX = "fieldplan-"
HIDDEN_PREFIX = ".fieldplan-"
_FORGOTTEN_S = 24 * 3600.0
"""A folder whose owner cannot be told is taken for left behind when nobody has touched it for so long."""
_LONGEST_LOOK_S = 5.0
"""How long another run may take to see that a new folder is in use."""
_LOOK_AGAIN_S = 0.02
_NEW_FILE = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0)

Lock = Literal["mine", "another's", "unknown"]


@contextmanager
def working_folder(parent: Path | None = None) -> Iterator[Path]:
    """A new folder for the time of a block, in the system's place for temporary files or hidden in
    ``parent``.

    What dead runs left in the same place is cleared first.

    Raises
    ------
    FieldplanError
        If no folder can be made in the system's place. In ``parent`` that is an `OSError`, for its owner
        knows what it is.
    """
    place, held = None, None
    try:
        try:
            home = _system_home() if parent is None else parent
            prefix = PREFIX if parent is None else HIDDEN_PREFIX
            clear_left_behind(home, prefix)
            place = Path(tempfile.mkdtemp(prefix=prefix, dir=home))
            held = hold(place / OWNER, _LONGEST_LOOK_S)
        except OSError as problem:
            if parent is not None:
                raise
            raise unwritable(problem) from None
        yield place
    finally:
        release(held)
        if place is not None:
            shutil.rmtree(place, ignore_errors=True)


def _system_home() -> Path:
    try:
        return Path(tempfile.gettempdir())
    except FileNotFoundError:  # it tries each by writing to it
        raise OutputError.of("temporary-unwritable") from None


def clear_left_behind(home: Path, prefix: str) -> None:
    """Remove folders in ``home`` that begin with ``prefix`` and whose owner is gone; never one that is in
    use or somebody else's.
    """
    with suppress(OSError):
        for place in sorted(home.glob(f"{prefix}*")):
            if _is_left_behind(place):
                shutil.rmtree(place, ignore_errors=True)


def hold(path: Path, wait_s: float = 0.0) -> int | None:
    """A lock on a file, made if need be, as an open descriptor for `release`; ``None`` if another still
    holds it after the wait.

    Where the disk knows no locks, it is given without one.
    """
    until = time.monotonic() + wait_s
    while True:
        held = os.open(path, _NEW_FILE, 0o666)
        try:
            lock = _lock(held)
            if lock != "another's" and _still_there(held, path):
                with suppress(
                    OSError
                ):  # on a full disk it is not told from one that is being made, and cleared after a day
                    os.write(held, b"in use\n")
                return held
        except BaseException:
            os.close(held)
            raise
        os.close(held)
        if lock == "another's":
            if time.monotonic() >= until:
                return None
            time.sleep(_LOOK_AGAIN_S)


def release(held: int | None) -> None:
    """Give a lock back."""
    if held is not None:
        os.close(held)


def _is_left_behind(place: Path) -> bool:
    found = place.lstat()
    if not stat.S_ISDIR(found.st_mode) or (hasattr(os, "getuid") and found.st_uid != os.getuid()):
        return False
    try:
        held = os.open(place / OWNER, _NEW_FILE & ~os.O_CREAT)
    except OSError:  # its owner is about to make it, or was killed before
        return time.time() - found.st_mtime > _FORGOTTEN_S
    lock = _lock(held) if os.fstat(held).st_size else "unknown"
    os.close(held)
    return lock == "mine" or (lock == "unknown" and time.time() - found.st_mtime > _FORGOTTEN_S)


def _still_there(held: int, path: Path) -> bool:
    """Whether the locked file is the one that the name leads to: the holder before may have removed it."""
    try:
        return os.path.samestat(os.fstat(held), path.lstat())
    except FileNotFoundError:
        return False


def _lock(descriptor: int) -> Lock:
    """Try to lock an open file. The system drops the lock when the descriptor is closed or its process
    ends.
    """
    try:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        else:
            import fcntl

            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return "another's"
    except (ImportError, OSError):  # a disk without locks
        return "unknown"
    return "mine"
