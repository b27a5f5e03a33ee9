"""Text for a character set that lacks some of its signs: plainer signs, which keep columns aligned, or the
escapes of JSON.
"""

from __future__ import annotations

import re
import unicodedata

from fieldplan.report.words.plain import width

_PLAINER = {
    "−": "-",
    "–": "-",
    "—": "-",
    "×": "x",
    "·": ".",
    "•": "*",
    "…": "...",
    "→": ">",
    "²": "2",
    "³": "3",
    "°": "d",
    "±": "+",
    "✓": "x",
    "☐": "_",
    "□": "_",
    "█": "#",
    "─": "-",
    "│": "|",
    "‘": "'",
    "’": "'",
    "“": '"',
    "”": '"',
    "≤": "<=",
    "≥": ">=",
}
"""As wide as what they stand for; the dots at the end of a cell take the room of letters before them, and ≤ and ≥ stand in no table."""
_CUT_CELL = re.compile(r"\S\S…(?=  )")


def legible(text: str, encoding: str) -> str:
    """The text in signs that a character set has, as wide as before.

    Signs that it lacks become plainer ones, other letters ``?``.

    Parameters
    ----------
    encoding
        The name of the character set, such as ``cp1252``.

    Examples
    --------
    >>> legible("8 × 2 ≥ 16", "ascii")
    '8 x 2 >= 16'
    >>> legible("Wełna", "latin-1")
    'We?na'
    """
    if _fits(text, encoding):
        return text
    if not _fits("…", encoding):
        text = _CUT_CELL.sub("...", text)
    return "".join(
        sign if sign.isascii() or _fits(sign, encoding) else _plainer(sign, encoding) for sign in text
    )


def escaped(text: str, encoding: str) -> str:
    """JSON with escapes for the signs that a character set lacks.

    >>> escaped('{"name": "Wełna"}', "latin-1")
    '{"name": "We\\\\u0142na"}'
    """
    if _fits(text, encoding):
        return text
    return "".join(sign if sign.isascii() or _fits(sign, encoding) else _escape(sign) for sign in text)


def _plainer(character: str, encoding: str) -> str:
    plainer = _PLAINER.get(character)
    if plainer is not None:
        return plainer
    bare = unicodedata.normalize("NFKC", character)
    return bare if len(bare) == 1 and _fits(bare, encoding) else "?" * width(character)


def _escape(character: str) -> str:
    units = character.encode("utf-16-be", errors="surrogatepass")
    return "".join(f"\\u{units[n]:02x}{units[n + 1]:02x}" for n in range(0, len(units), 2))


def _fits(text: str, encoding: str) -> bool:
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True
