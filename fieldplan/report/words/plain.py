"""Text from files made safe for terminals, spreadsheets and file names."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

LONGEST_CELL = 40
_TURNS = {*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200E, 0x200F, 0x061C}
"""Marks that turn the direction of the text around them."""


def plain(text: str) -> str:
    """The text on one line, without control characters or marks that turn its direction.

    Line breaks and tabs become spaces, control characters "�"; all else stays as it is.

    Examples
    --------
    >>> plain("north\\tforty")
    'north forty'
    """
    return "".join(
        " " if c in "\t\n\r\x0b\x0c\x85\u2028\u2029" else "�" if _commands(c) else c for c in text
    )


def head_line(letterhead: Sequence[str]) -> str:
    """The lines of a letterhead as one.

    Examples
    --------
    >>> head_line(("Thistle Flats District", "12 Depot Road"))
    'Thistle Flats District · 12 Depot Road'
    """
    return " · ".join(plain(line) for line in letterhead)


def cell(text: str) -> str:
    """`plain` text that fits a table column: at most 40 columns wide, cut short with "…"."""
    text = plain(text)
    if width(text) <= LONGEST_CELL:
        return text
    text = text[: 2 * LONGEST_CELL]
    while text and width(text) > LONGEST_CELL - 1:
        text = text[:-1]
    return text.rstrip() + "…"


def fitted(text: str, maximum: int) -> list[str]:
    """`plain` text cut into lines.

    Parameters
    ----------
    text
        The text; it may be cut within words.
    maximum
        Terminal columns of a line; lines after the first begin with four spaces.
    """
    lines, line = [], ""
    for character in plain(text):
        if width(line + character) > maximum:
            lines.append(line)
            line = "    "
        line += character
    return [*lines, line]


def width(text: str) -> int:
    """Columns that the text takes up in a terminal: two for wide characters, none for combining ones.

    Examples
    --------
    >>> width("n\\u0303u"), width("麦")
    (2, 2)
    """
    return sum(
        0
        if unicodedata.combining(c) or ord(c) in (0x200D, 0xFE0F)
        else 1 + (unicodedata.east_asian_width(c) in "WF")
        for c in text
    )


def slug(text: str) -> str:
    """A name for a file: letters without their accents, digits and dashes; at most 60, never empty.

    Examples
    --------
    >>> slug("Señor's 40 (north)")
    'senor-s-40-north'
    """
    letters = "".join(
        c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c)
    )
    return re.sub(r"[^0-9a-z]+", "-", letters).strip("-")[:60] or "x"


def slugs(texts: Sequence[str]) -> list[str]:
    """A `slug` for each text, no two the same; a number that is added never makes another text's slug.

    Examples
    --------
    >>> slugs(["North", "north", "north 2"])
    ['north', 'north-3', 'north-2']
    """
    wanted = [slug(text) for text in texts]
    unnumbered, taken = set(wanted), set[str]()
    numbers: dict[str, int] = {}
    names = []
    for name in wanted:
        free = name
        while free in taken or (free != name and free in unnumbered):
            numbers[name] = numbers.get(name, 1) + 1
            free = f"{name}-{numbers[name]}"
        taken.add(free)
        names.append(free)
    return names


def _commands(character: str) -> bool:
    return unicodedata.category(character) in ("Cc", "Cs") or ord(character) in _TURNS


_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def safe(text: str) -> str:
    """Text that a spreadsheet shows instead of calculating it as a formula.

    Examples
    --------
    >>> safe("=2+3")
    "'=2+3"
    """
    return f"'{text}" if text.startswith(_FORMULA) else text
