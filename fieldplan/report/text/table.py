"""Plain-text tables and paragraphs for a terminal: columns as wide as their content, numbers to the right."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from fieldplan.report.words.plain import cell, plain, width

WIDTH = 96


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


def paragraph(text: str, *, bullet: str = "", indent: int = 2) -> list[str]:
    """Lines of a paragraph, wrapped to 96 columns, with a hanging bullet.

    Parameters
    ----------
    text
        One paragraph; control characters are taken out.
    bullet
        What stands before the first line; later lines begin below the text behind it.
    indent
        Spaces before the bullet.
    """
    first = " " * indent + bullet
    return wrap(
        plain(text),
        WIDTH,
        initial_indent=first,
        subsequent_indent=" " * len(first),
        break_long_words=False,
        break_on_hyphens=False,
    )
