"""Files of a plan in a folder: all of them or none, and nothing overwritten unless asked."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from fieldplan.errors import UsageError

Writer = Callable[[Path], None]


def write_bytes(content: bytes, path: Path) -> None:
    """Write what stands ready."""
    path.write_bytes(content)


def write_files(
    folder: Path, writers: Mapping[str, Writer], *, force: bool, progress: Callable[[Iterable[str]], Iterable[str]] = iter
) -> list[Path]:
    """Write each named file under a temporary name, then move them into place together.

    Parameters
    ----------
    progress
        Wraps the names as their files are written, to show how far the work is.

    Raises
    ------
    UsageError
        If a file is there already and ``force`` is not given, or the folder cannot be written to.
    """
    there = [name for name in writers if (folder / name).exists()]
    if there and not force:
        raise UsageError.of("file-exists", f"{folder} already holds {', '.join(there)}.", "--force, or another --out folder")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".fieldplan-", dir=folder) as place:
            for name in progress(writers):
                writers[name](Path(place) / name)
            for name in writers:
                (Path(place) / name).replace(folder / name)
    except OSError as problem:
        raise UsageError.of(
            "folder-unwritable", f"{folder}: cannot be written ({problem.strerror}).", "another --out folder"
        ) from None
    return [folder / name for name in writers]
