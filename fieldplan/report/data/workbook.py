"""Spreadsheets: text stays text, and the same content gives the same bytes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import Any

from fieldplan.errors import MissingExtra
from fieldplan.facts import fact
from fieldplan.report.words.plain import head_line

_FIXED_DATE = datetime(2000, 1, 1)


LONGEST_HEAD = 200
"""Letters of a page's header; the format allows 255 with its own marks."""


def set_head(sheet: Any, letterhead: Sequence[str]) -> None:
    """Put a letterhead at the top of each printed page of a sheet."""
    if letterhead:
        sheet.set_header("&R" + head_line(letterhead)[:LONGEST_HEAD].replace("&", "&&"))


@contextmanager
def workbook(path: Path, title: str) -> Iterator[Any]:
    """A workbook that is written when the block ends.

    Parameters
    ----------
    path
        The file to write.
    title
        The title among the properties of the file.

    Yields
    ------
    xlsxwriter.Workbook
        Empty, and dated 2000-01-01 so that the same content gives the same bytes.

    Raises
    ------
    MissingExtra
        If the writer is not installed.
    """
    try:
        import xlsxwriter
    except ImportError:
        raise MissingExtra.named("sheets", fact("extra-for/spreadsheet")) from None
    # in memory: the library's temporary files would be left behind if the program is killed
    made = BytesIO()
    as_text = dict.fromkeys(("strings_to_formulas", "strings_to_urls", "strings_to_numbers"), False)
    book = xlsxwriter.Workbook(made, {"in_memory": True, **as_text})
    book.set_properties({"title": title, "created": _FIXED_DATE})
    yield book
    book.close()
    path.write_bytes(made.getvalue())
