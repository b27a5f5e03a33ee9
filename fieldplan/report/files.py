"""Files of a plan in a folder: all of them or none, and nothing overwritten unless asked.

Everything is first written into a hidden folder inside the one it is for, and so on the same disk. Only
then are files moved into place, which needs no room (`moves`). What a run that was killed left in a folder
is put right and cleared by the next one that writes there.
"""

from __future__ import annotations

import os
import shutil
import stat
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from fieldplan.errors import UsageError, unwritable
from fieldplan.files import is_address
from fieldplan.report.moves import JOURNAL, NEW, OLD, move, on_disk, roll_back
from fieldplan.scratch import OWNER, hold, release

Writer = Callable[[Path], None]
WORK = ".fieldplan-writing"
"""The hidden folder; who holds its lock is the only one to write."""
WAIT_S = 10.0


def write_files(
    folder: Path,
    writers: Mapping[str, Writer],
    *,
    force: bool,
    progress: Callable[[Iterable[str]], Iterable[str]] = iter,
) -> list[Path]:
    """Write each named file; either all of them stand in the folder afterwards, or it is as it was.

    Parameters
    ----------
    progress
        Wraps the names as their files are written, to show how far the work is.

    Raises
    ------
    UsageError
        If a file is there already and ``force`` is not given, the folder cannot be written to or another
        run is writing into it.
    OutputError
        If the disk is full.
    """
    try:
        with _alone_in(folder) as work:
            _refuse_unfit(folder, writers, force=force)
            _stage(work / NEW, writers, progress)
            move(folder, work, list(writers))
    except OSError as problem:
        raise unwritable(problem, str(folder)) from None
    return [folder / name for name in writers]


def refuse_early(folder: Path, names: Iterable[str], *, force: bool) -> None:
    """Raise what is known to stand in the way of `write_files`, before long work is done for it; nothing is
    left behind.

    Parameters
    ----------
    names
        Files that will be among those written, as far as they are known.

    Raises
    ------
    UsageError, OutputError
        As `write_files`.
    """
    missing = _missing(folder)
    try:
        with _alone_in(folder):
            _refuse_unfit(folder, names, force=force)
    except OSError as problem:
        raise unwritable(problem, str(folder)) from None
    finally:
        _take_away(missing)


def _missing(folder: Path) -> list[Path]:
    return [place for place in (folder, *folder.parents) if not os.path.lexists(place)]


def _take_away(folders: Iterable[Path]) -> None:
    """Remove folders that were made, the innermost first, unless something has come into them."""
    with suppress(OSError):
        for place in folders:
            place.rmdir()


@contextmanager
def _alone_in(folder: Path) -> Iterator[Path]:
    """The hidden folder, empty, for one run at a time; folders that were made for it go again if the block
    fails.
    """
    if is_address(folder):
        raise UsageError.of("folder-remote", file=str(folder))
    missing = _missing(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        work, held = _taken(folder)
        try:
            if (work / JOURNAL).exists():
                roll_back(folder, work)
            _emptied(work)
            yield work
        finally:
            _give_back(work, held)
    except BaseException:
        _take_away(missing)
        raise


def _taken(folder: Path) -> tuple[Path, int]:
    work = folder / WORK
    while True:
        work.mkdir(
            parents=True, exist_ok=True
        )  # another run that wrote nothing may just have taken the folder away
        if work.is_symlink():
            raise UsageError.of("folder-unwritable/link", file=str(work))
        try:
            held = hold(work / OWNER, WAIT_S)
        except FileNotFoundError:  # the run before has just taken its folder away
            continue
        if held is None:
            raise UsageError.of("folder-busy", file=str(folder))
        return work, held


def _give_back(work: Path, held: int) -> None:
    """Clear the hidden folder. A journal that could not be followed stays with all it speaks of, for the
    next run.

    The lock goes last: what is inside may only be removed by who holds it.
    """
    done = not (work / JOURNAL).exists()
    if done:
        _emptied(work)
    release(held)
    if done:
        with suppress(OSError):
            (work / OWNER).unlink()
            work.rmdir()


def _emptied(work: Path) -> None:
    for name in (NEW, OLD):
        shutil.rmtree(work / name, ignore_errors=True)


def _refuse_unfit(folder: Path, names: Iterable[str], *, force: bool) -> None:
    """Names that are taken, or by what no file may replace."""
    there = [name for name in names if os.path.lexists(folder / name)]
    for name in there:
        found = (folder / name).lstat().st_mode
        if not (stat.S_ISREG(found) or stat.S_ISLNK(found)):
            raise UsageError.of("not-replaced/no-file", file=str(folder / name))
    if there and not force:
        raise UsageError.of("file-exists", file=str(folder), names=tuple(there))
    locked = [name for name in there if not (folder / name).lstat().st_mode & stat.S_IWUSR]
    if locked:
        raise UsageError.of("not-replaced/read-only", file=str(folder), names=tuple(locked))


def _stage(
    place: Path, writers: Mapping[str, Writer], progress: Callable[[Iterable[str]], Iterable[str]]
) -> None:
    place.mkdir()
    for name in progress(writers):
        writers[name](place / name)
        on_disk(place / name)
