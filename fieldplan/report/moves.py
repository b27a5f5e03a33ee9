"""Several files moved into a folder as one step, with a journal.

The system moves one file at a time. So every file that is replaced is kept until all moves are done, and a
journal, on the disk before the first move, lists the moves that belong together. If a move fails, they are
undone at once; if the program is killed, the next run undoes them. The step is done when the journal is gone.
"""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from pathlib import Path

from fieldplan.errors import UsageError

NEW, OLD, JOURNAL = "new", "old", "moving.json"
"""In the hidden folder: files that were made, files that they replace, and which of them are being moved."""


def move(folder: Path, work: Path, names: Sequence[str]) -> None:
    """Move staged files from ``work`` into ``folder``, and the files they replace aside; all or none.

    A link is itself replaced; the file that it leads to is left alone.

    Parameters
    ----------
    folder
        Where the files are to be.
    work
        The hidden folder, with the staged files in ``new``.
    names
        Their file names.

    Raises
    ------
    OSError
        If a move fails; the moves before it are undone.
    """
    _note(work, folder, names)
    try:
        for name in names:
            if os.path.lexists(folder / name):
                (folder / name).replace(work / OLD / name)
            (work / NEW / name).replace(folder / name)
        on_disk(folder)
    except BaseException:
        roll_back(folder, work)
        raise
    (work / JOURNAL).unlink()  # from here on the new files are valid
    on_disk(work)


def _note(work: Path, folder: Path, names: Sequence[str]) -> None:
    """Write down what is about to be moved, whole or not at all."""
    (work / OLD).mkdir()
    moves = {
        name: {"replaces": os.path.lexists(folder / name), "is": _mark(work / NEW / name)} for name in names
    }
    draft = work / NEW / JOURNAL
    draft.write_text(json.dumps(moves), encoding="utf-8")
    on_disk(draft)
    draft.replace(work / JOURNAL)
    on_disk(work)


def roll_back(folder: Path, work: Path) -> None:
    """Undo the moves that the journal lists; files that somebody has changed since are left as they are.

    Parameters
    ----------
    folder
        Where the files were moved to.
    work
        The hidden folder with the journal.

    Raises
    ------
    UsageError
        If the journal cannot be read.
    """
    for name, move in _noted(work).items():
        target, kept = folder / name, work / OLD / name
        if (work / NEW / name).exists() and not os.path.lexists(kept):
            continue
        ours = os.path.lexists(target) and _mark(target) == move["is"]
        if ours and not move["replaces"]:
            target.unlink()
        elif os.path.lexists(kept) and (ours or not os.path.lexists(target)):
            kept.replace(target)
    on_disk(folder)
    (work / JOURNAL).unlink()


def _noted(work: Path) -> dict[str, dict[str, object]]:
    """The moves in the journal, without names that lead out of the folder: these were not ours."""
    try:
        moves = json.loads((work / JOURNAL).read_text(encoding="utf-8"))
        return {
            name: {"replaces": move["replaces"], "is": move["is"]}
            for name, move in moves.items()
            if Path(name).name == name
        }
    except (ValueError, KeyError, TypeError, AttributeError):
        raise UsageError.of("folder-unwritable/journal", file=str(work)) from None


def _mark(path: Path) -> list[int]:
    """Size and time of a file, which differ once somebody has written it again."""
    found = path.lstat()
    return [found.st_size, found.st_mtime_ns]


def on_disk(path: Path) -> None:
    """Wait until a file, or a folder's list of names, is on the disk; not every system can do so for folders.

    Parameters
    ----------
    path
        A file or folder.

    Raises
    ------
    OSError
        If the file cannot be written to the disk.
    """
    folder = path.is_dir()
    try:
        descriptor = os.open(path, os.O_RDONLY if folder else os.O_RDWR)
    except OSError:
        if folder:
            return
        raise
    try:
        os.fsync(descriptor)
    except OSError:
        if not folder:
            raise
    finally:
        os.close(descriptor)
