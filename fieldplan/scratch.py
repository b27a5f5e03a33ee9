"""Temporary folders of a run, and the removal of those that killed runs left behind.

A lock shows that a folder is in use: the system drops it when its process ends, however it ends. Process
numbers would not do: they are reused, and mean nothing to another container that shares the disk.
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
"""The file in a folder that its owner keeps locked."""
PREFIX = "fieldplan-"
HIDDEN_PREFIX = ".fieldplan-"
_FORGOTTEN_S = 24 * 3600.0
"""A folder whose owner is unknown counts as left behind if nobody has touched it for so long."""
_LONGEST_LOOK_S = 5.0
"""How long another run may take to see that a new folder is in use."""
_LOOK_AGAIN_S = 0.02
_NEW_FILE = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0)

Lock = Literal["mine", "another's", "unknown"]


@contextmanager
def working_folder(parent: Path | None = None) -> Iterator[Path]:
    """A new folder for a ``with`` block, removed at its end.

    What killed runs left in the same place is removed first.

    Parameters
    ----------
    parent
        Where to make it, under a hidden name; ``None`` for the system's folder of temporary files.

    Raises
    ------
    FieldplanError
        If no folder can be made in the system's folder of temporary files.
    OSError
        If no folder can be made in ``parent``: the caller knows what that folder is.
    """
    place, descriptor = None, None
    try:
        try:
            home = _system_home() if parent is None else parent
            prefix = PREFIX if parent is None else HIDDEN_PREFIX
            clear_left_behind(home, prefix)
            place = Path(tempfile.mkdtemp(prefix=prefix, dir=home))
            descriptor = hold(place / OWNER, _LONGEST_LOOK_S)
        except OSError as problem:
            if parent is not None:
                raise
            raise unwritable(problem) from None
        yield place
    finally:
        release(descriptor)
        if place is not None:
            shutil.rmtree(place, ignore_errors=True)


def _system_home() -> Path:
    try:
        return Path(tempfile.gettempdir())
    except FileNotFoundError:  # it tries each by writing to it
        raise OutputError.of("temporary-unwritable") from None


def clear_left_behind(home: Path, prefix: str) -> None:
    """Remove folders in ``home`` whose names begin with ``prefix`` and whose owner is gone.

    A folder that is in use or belongs to another user is never removed.
    """
    with suppress(OSError):
        for place in sorted(home.glob(f"{prefix}*")):
            if _is_left_behind(place):
                shutil.rmtree(place, ignore_errors=True)


def hold(path: Path, wait_s: float = 0.0) -> int | None:
    """Lock a file, which is made if it does not exist.

    Parameters
    ----------
    path
        The file.
    wait_s
        How long to wait for another holder.

    Returns
    -------
    int or None
        The open descriptor, for `release`; ``None`` if another still holds the lock after the wait. On a
        disk without locks the descriptor is returned without a lock.
    """
    until = time.monotonic() + wait_s
    while True:
        descriptor = os.open(path, _NEW_FILE, 0o666)
        try:
            lock = _lock(descriptor)
            if lock != "another's" and _still_there(descriptor, path):
                with suppress(OSError):
                    # not on a full disk: left empty, the folder looks new, and is removed after a day
                    os.write(descriptor, b"in use\n")
                return descriptor
        except BaseException:
            os.close(descriptor)
            raise
        os.close(descriptor)
        if lock == "another's":
            if time.monotonic() >= until:
                return None
            time.sleep(_LOOK_AGAIN_S)


def release(descriptor: int | None) -> None:
    """Give back a lock from `hold`."""
    if descriptor is not None:
        os.close(descriptor)


def _is_left_behind(place: Path) -> bool:
    found = place.lstat()
    if not stat.S_ISDIR(found.st_mode) or (hasattr(os, "getuid") and found.st_uid != os.getuid()):
        return False
    try:
        descriptor = os.open(place / OWNER, _NEW_FILE & ~os.O_CREAT)
    except OSError:  # its owner is about to make it, or was killed before
        return time.time() - found.st_mtime > _FORGOTTEN_S
    lock = _lock(descriptor) if os.fstat(descriptor).st_size else "unknown"
    os.close(descriptor)
    return lock == "mine" or (lock == "unknown" and time.time() - found.st_mtime > _FORGOTTEN_S)


def _still_there(descriptor: int, path: Path) -> bool:
    """Whether the locked file is still the one at the path: its last holder may have removed it."""
    try:
        return os.path.samestat(os.fstat(descriptor), path.lstat())
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
