"""Several files moved into a folder as one step, with a journal.

The system moves one file at a time. So what each replaces is kept until all stand, and a journal, on the
disk before the first move, says which moves belong together. If one fails it is followed backwards at once;
if the program is killed, by the next run. The step is done when the journal is gone.
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
    """Move staged files from ``work`` into ``folder``, and what they replace aside; all or none.

    A link is replaced itself, and what it leads to left alone.
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
    (work / JOURNAL).unlink()  # from here on the new files stand
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
    """Undo the moves that were made; files that somebody has changed since are left as they are."""
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
    """The journal; a name in it that leads out of the folder is nobody's of ours."""
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
    """Tells a file that was moved from one that somebody has written since."""
    found = path.lstat()
    return [found.st_size, found.st_mtime_ns]


def on_disk(path: Path) -> None:
    """Return when a file, or a folder's list of names, is on the disk. Not every system can do that for
    folders.
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
