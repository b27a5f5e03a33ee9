"""Plain-text tables: columns as wide as what stands in them, numbers to the right."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from fieldplan.report.words.plain import cell, plain, width

WIDTH = 96


def table(
    header: Sequence[str], rows: Sequence[Sequence[str]], *, left: int = 1, indent: int = 2
) -> list[str]:
    """Lines of a table whose first ``left`` columns are text and the rest numbers."""
    texts = [[cell(text) for text in row] for row in (header, *rows)]
    widths = [max(map(width, column)) for column in zip(*texts, strict=True)]
    lines = []
    for row in texts:
        cells = [
            text + " " * (w - width(text)) if i < left else " " * (w - width(text)) + text
            for i, (text, w) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append((" " * indent + "  ".join(cells)).rstrip())
    return lines


def paragraph(text: str, *, bullet: str = "", indent: int = 2) -> list[str]:
    """Lines of a paragraph, wrapped, with a hanging bullet."""
    first = " " * indent + bullet
    return wrap(
        plain(text),
        WIDTH,
        initial_indent=first,
        subsequent_indent=" " * len(first),
        break_long_words=False,
        break_on_hyphens=False,
    )
