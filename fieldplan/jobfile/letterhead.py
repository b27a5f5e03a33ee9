"""The letterhead of a job file or a season's file, for papers that are made without either."""

from __future__ import annotations

from pathlib import Path

from fieldplan.errors import InputError, JobFileError, placed
from fieldplan.files import Purpose
from fieldplan.jobfile.check import Checker, Placed, Table
from fieldplan.jobfile.load import placed_tables, read_toml
from fieldplan.jobfile.values import texts

LETTERHEAD_FILE = Purpose(
    what="file with the letterhead", code="season", max_bytes=1_000_000, error=JobFileError
)
_KEY = "letterhead"


def load_letterhead(path: Path) -> tuple[str, ...]:
    """The lines at the head of papers that a file gives under ``[season]``, or else under ``[drill]``.

    Parameters
    ----------
    path
        A season's file or a job file; of its other keys none is looked at.

    Raises
    ------
    JobFileError
        If it cannot be read, or has no letterhead that is a list of texts.
    """
    lines = letterhead_of(read_toml(path, LETTERHEAD_FILE), path)
    if not lines:
        raise JobFileError.of("letterhead-missing", file=str(path))
    return lines


def letterhead_of(document: Table, path: Path) -> tuple[str, ...]:
    """The letterhead that the tables of a file give; empty if they give none.

    Raises
    ------
    JobFileError
        If it is no list of texts, or a table that is named in another file cannot be read.
    """
    checker = Checker()
    found = next(
        (
            (name, table[_KEY], source)
            for name in ("season", "drill")
            for table, source in _tables(document, name, path, checker)
            if _KEY in table
        ),
        None,
    )
    if checker.problems:
        raise JobFileError(tuple(checker.problems))
    if found is None:
        return ()
    name, given, source = found
    try:
        return texts(given)
    except InputError as error:
        raise JobFileError(
            tuple(placed(fault, file=str(source), about=f"[{name}]", key=_KEY) for fault in error.problems)
        ) from None


def _tables(document: Table, name: str, path: Path, checker: Checker) -> list[Placed]:
    return placed_tables(document, name, path, checker) if name in document else []
