"""Spreadsheets: text stays text, and the same content gives the same bytes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import Any

from fieldplan.errors import MissingExtra
from fieldplan.facts import fact

_FIXED_DATE = datetime(2000, 1, 1)


@contextmanager
def workbook(path: Path, title: str) -> Iterator[Any]:
    """A workbook that is written when the block ends.

    Raises
    ------
    MissingExtra
        If the writer is not installed.
    """
    try:
        import xlsxwriter
    except ImportError:
        raise MissingExtra.named("sheets", fact("extra-for/spreadsheet")) from None
    made = (
        BytesIO()
    )  # the library would keep its parts in a folder for temporary files, where they stay when it is killed
    book = xlsxwriter.Workbook(
        made,
        {
            "in_memory": True,
            "strings_to_formulas": False,
            "strings_to_urls": False,
            "strings_to_numbers": False,
        },
    )
    book.set_properties({"title": title, "created": _FIXED_DATE})
    yield book
    book.close()
    path.write_bytes(made.getvalue())
