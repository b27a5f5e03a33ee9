"""Plain-text tables: columns as wide as what stands in them, numbers to the right."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

WIDTH = 96


def table(header: Sequence[str], rows: Sequence[Sequence[str]], *, left: int = 1, indent: int = 2) -> list[str]:
    """Lines of a table whose first ``left`` columns are text and the rest numbers."""
    columns = list(zip(header, *rows, strict=True))
    widths = [max(map(len, column)) for column in columns]
    lines = []
    for row in (header, *rows):
        cells = [cell.ljust(w) if i < left else cell.rjust(w) for i, (cell, w) in enumerate(zip(row, widths, strict=True))]
        lines.append((" " * indent + "  ".join(cells)).rstrip())
    return lines


def paragraph(text: str, *, bullet: str = "", indent: int = 2) -> list[str]:
    """Lines of a paragraph, wrapped, with a hanging bullet."""
    first = " " * indent + bullet
    return wrap(text, WIDTH, initial_indent=first, subsequent_indent=" " * len(first), break_long_words=False,
                break_on_hyphens=False)  # fmt: skip
