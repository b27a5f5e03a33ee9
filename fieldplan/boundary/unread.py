"""What a file is that is not read, as far as its beginning tells: so that the refusal can say what to do with it."""

from __future__ import annotations

import re

_MARKS: tuple[tuple[bytes, str], ...] = (
    (b"AutoCAD Binary DXF", "binary-drawing"),
    (b"AC10", "binary-drawing"),
    (b"\x1f\x8b", "packed"),
    (b"BZh", "packed"),
    (b"7z\xbc\xaf\x27\x1c", "packed"),
    (b"Rar!", "packed"),
    (b"\xfd7zXZ", "packed"),
    (b"%PDF-", "picture"),
    (b"\x89PNG", "picture"),
    (b"\xff\xd8\xff", "picture"),
    (b"II*\0", "picture"),
    (b"MM\0*", "picture"),
    (b"\xd0\xcf\x11\xe0", "office"),
)
_TAR_MARK = slice(257, 262)
_WEB_PAGE = re.compile(r"(?:<!--.*?-->\s*)*<(?:!doctype\s+html|html)\b", re.IGNORECASE | re.DOTALL)
_BINARY_OUTLINE = re.compile(r"\b0[01]0[36]0000[02]0[0-9a-f]{40}", re.IGNORECASE)
"""Polygons and multipolygons as well-known binary in hexadecimal digits (OGC 06-103r4, with or without SRID)."""
_LATITUDE, _LONGITUDE = {"lat", "latitude", "y"}, {"lon", "long", "lng", "longitude", "x"}


def kind_of_unread(head: bytes, text: str) -> str:
    """The case of ``format-unknown`` for a file; empty if nothing is known of it.

    Parameters
    ----------
    head, text
        How it begins, and that as text.

    Examples
    --------
    >>> kind_of_unread(b"", "field,lat,lon"), kind_of_unread(b"%PDF-1.7", "%PDF-1.7"), kind_of_unread(b"x", "x")
    ('points', 'picture', '')
    """
    for mark, kind in _MARKS:
        if head.startswith(mark):
            return kind
    if head[_TAR_MARK] == b"ustar":
        return "packed"
    if is_web_page(text):
        return "web-page"
    if _BINARY_OUTLINE.search(text):
        return "wkb"
    names = {
        name.strip().strip('"').casefold()
        for name in re.split(r"[,;\t|]", text.lstrip().partition("\n")[0])
    }
    return "points" if names & _LATITUDE and names & _LONGITUDE else ""


def is_web_page(text: str) -> bool:
    """Whether a text is HTML, as a site sends it in the place of a file that asks to sign in."""
    return _WEB_PAGE.match(text.lstrip()) is not None
