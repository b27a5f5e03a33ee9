"""Plain-text tables and paragraphs for a terminal: columns as wide as their content, numbers to the right."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from fieldplan.report.words.plain import cell, fitted, plain, width

WIDTH = 96
NARROW = 79
"""Columns of a page that fits the smallest terminals."""
LEAST_NAME = 8
"""Columns that are left of the names in the first column of a table, however narrow it must be."""


def table(
    header: Sequence[str], rows: Sequence[Sequence[str]], *, left: int = 1, indent: int = 2
) -> list[str]:
    """Lines of a table: columns of text on the left, columns of numbers aligned to the right.

    Parameters
    ----------
    header, rows
        Cells, the same number in each.
    left
        Columns of text; the columns after them are numbers.
    indent
        Spaces before each line.

    Examples
    --------
    >>> print("\\n".join(table(("box", "lb"), [("grain", "9,600"), ("small", "599")])))
      box       lb
      grain  9,600
      small    599
    """
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


def fitted_table(
    header: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    left: int = 1,
    spared: Sequence[str] = (),
    maximum: int = NARROW,
) -> list[str]:
    """Lines of a table that is no wider than it may be.

    Parameters
    ----------
    header, rows
        Cells, the same number in each.
    left
        Columns of text; the columns after them are numbers.
    spared
        Heads of columns that may be left out, first those that are missed least. If that is not enough, the first
        column is cut.
    maximum
        Terminal columns.

    Examples
    --------
    >>> print("\\n".join(fitted_table(("field", "turns", "h"), [("north forty", "12", "3")], spared=["turns"], maximum=18)))
      field        h
      north forty  3
    """
    columns, n_left = list(range(len(header))), left
    for name in (None, *spared):
        if name is not None and name in header:
            gone = header.index(name)
            columns.remove(gone)
            n_left -= gone < left
        kept = [[row[i] for i in columns] for row in (header, *rows)]
        lines = table(kept[0], kept[1:], left=n_left)
        over = max(map(width, lines)) - maximum
        if over <= 0:
            return lines
    longest = max(LEAST_NAME, max(width(cell(row[0])) for row in kept) - over)
    cut = [
        [fitted(row[0], longest - 1)[0] + "…" if width(row[0]) > longest else row[0], *row[1:]]
        for row in kept
    ]
    return table(cut[0], cut[1:], left=n_left)


def paragraph(text: str, *, bullet: str = "", indent: int = 2, maximum: int = WIDTH) -> list[str]:
    """Lines of a paragraph, wrapped, with a hanging bullet.

    Parameters
    ----------
    text
        One paragraph; control characters are taken out.
    bullet
        What stands before the first line; later lines begin below the text behind it.
    indent
        Spaces before the bullet.
    maximum
        Terminal columns.
    """
    first = " " * indent + bullet
    return wrap(
        plain(text),
        maximum,
        initial_indent=first,
        subsequent_indent=" " * len(first),
        break_long_words=False,
        break_on_hyphens=False,
    )
