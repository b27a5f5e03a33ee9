"""Files of a plan in a folder: all of them or none, and nothing overwritten unless asked.

All files are first written into a hidden folder inside the target folder, and so on the same disk. Then they
are moved into place, which needs no room (`moves`). If a run was killed, the next run that writes into the
folder undoes what it left half done.
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
"""The hidden folder; only the run that holds its lock writes."""
WAIT_S = 10.0


def write_files(
    folder: Path,
    writers: Mapping[str, Writer],
    *,
    force: bool,
    progress: Callable[[Iterable[str]], Iterable[str]] = iter,
) -> list[Path]:
    """Write each named file: afterwards all of them are in the folder, or the folder is as it was.

    Parameters
    ----------
    folder
        The folder to write into; it is made if it is not there.
    writers
        What writes each file, by file name.
    force
        Replace files that are there already.
    progress
        Wraps the names as their files are written, to show how far the work is.

    Returns
    -------
    list of Path
        The files, in the order of ``writers``.

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
    """Raise what would make `write_files` fail, before any long work; nothing is left behind.

    Parameters
    ----------
    folder
        The folder to write into.
    names
        Files that will be written, as far as they are known.
    force
        Replace files that are there already.

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
    """The hidden folder, empty, for one run at a time; folders made for it are removed if the block fails."""
    if is_address(folder):
        raise UsageError.of("folder-remote", file=str(folder))
    missing = _missing(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        work, lock = _taken(folder)
        try:
            if (work / JOURNAL).exists():
                roll_back(folder, work)
            _emptied(work)
            yield work
        finally:
            _give_back(work, lock)
    except BaseException:
        _take_away(missing)
        raise


def _taken(folder: Path) -> tuple[Path, int]:
    work = folder / WORK
    while True:
        try:
            # the parents too: another run that wrote nothing may just have removed them
            work.mkdir(parents=True, exist_ok=True)
            if work.is_symlink():
                raise UsageError.of("folder-unwritable/link", file=str(work))
            lock = hold(work / OWNER, WAIT_S)
        except (FileNotFoundError, FileExistsError):  # or removes them while these are made
            if any(place.is_symlink() or place.is_file() for place in (work, _nearest(folder))):
                raise
            continue
        if lock is None:
            raise UsageError.of("folder-busy", file=str(folder))
        return work, lock


def _nearest(folder: Path) -> Path:
    """The folder, or the nearest one above it that is there."""
    return next(place for place in (folder, *folder.parents, Path("/")) if os.path.lexists(place))


def _give_back(work: Path, lock: int) -> None:
    """Clear the hidden folder, unless it holds a journal that could not be followed: the next run needs that and
    the files it lists.

    The lock is removed last: only the run that holds it may remove what is inside.
    """
    done = not (work / JOURNAL).exists()
    if done:
        _emptied(work)
    release(lock)
    if done:
        with suppress(OSError):
            (work / OWNER).unlink()
            work.rmdir()


def _emptied(work: Path) -> None:
    for name in (NEW, OLD):
        shutil.rmtree(work / name, ignore_errors=True)


def _refuse_unfit(folder: Path, names: Iterable[str], *, force: bool) -> None:
    """Refuse names that are taken: by files unless ``force``, by folders and the like always."""
    taken = [name for name in names if os.path.lexists(folder / name)]
    for name in taken:
        found = (folder / name).lstat().st_mode
        if not (stat.S_ISREG(found) or stat.S_ISLNK(found)):
            raise UsageError.of("not-replaced/no-file", file=str(folder / name))
    if taken and not force:
        raise UsageError.of("file-exists", file=str(folder), names=tuple(taken))
    locked = [name for name in taken if not (folder / name).lstat().st_mode & stat.S_IWUSR]
    if locked:
        raise UsageError.of("not-replaced/read-only", file=str(folder), names=tuple(locked))


def _stage(
    place: Path, writers: Mapping[str, Writer], progress: Callable[[Iterable[str]], Iterable[str]]
) -> None:
    place.mkdir()
    for name in progress(writers):
        writers[name](place / name)
        on_disk(place / name)
