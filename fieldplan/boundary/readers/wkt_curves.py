"""Well-known text with circular arcs (OGC 06-103r4, chapter 7), drawn with short straight edges.

shapely reads straight edges only.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.layer import MAX_NESTED, MisspelledError
from fieldplan.boundary.readers.curves import Arcs, Place, end_to_end
from fieldplan.facts import fact

CURVED = re.compile(
    r"\b(CIRCULARSTRING|COMPOUNDCURVE|CURVEPOLYGON|MULTICURVE|MULTISURFACE)\b", re.IGNORECASE
)
_TOKEN = re.compile(r"\s*([A-Za-z]+|[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?|[(),])")
_DIMENSIONS = ("Z", "M", "ZM")
_STRAIGHT_IN = {
    "COMPOUNDCURVE": "LINESTRING",
    "CURVEPOLYGON": "LINESTRING",
    "POLYGON": "LINESTRING",
    "MULTICURVE": "LINESTRING",
    "MULTILINESTRING": "LINESTRING",
    "MULTISURFACE": "POLYGON",
    "MULTIPOLYGON": "POLYGON",
    "GEOMETRYCOLLECTION": "",
}
"""The kind of the parts of each kind, if they do not name it."""


def straightened(text: str) -> BaseGeometry:
    """The geometry of a text, with arcs drawn as edges of `STEP_DEG` degrees each.

    Raises
    ------
    MisspelledError
        If it does not follow the standard.

    Examples
    --------
    A circle of radius 1, through (1, 0) and (-1, 0) and back:

    >>> circle = straightened("CURVEPOLYGON (CIRCULARSTRING (1 0, -1 0, 1 0))")
    >>> abs(circle.area / math.pi - 1) < 1e-6
    True
    """
    tokens = _Tokens(text)
    geometry = _geometry(tokens, tokens.word(), 0)
    if tokens.next():
        raise MisspelledError(fact("wkt/after-end"))
    return geometry


class _Tokens:
    """The words, numbers and brackets of a text, taken one after the other."""

    def __init__(self, text: str) -> None:
        self._all = list(self._split(text))
        self._at = 0
        self.arcs = Arcs()

    @staticmethod
    def _split(text: str) -> Iterator[str]:
        at, end = 0, len(text.rstrip())
        while at < end:
            match = _TOKEN.match(text, at)
            if match is None:
                raise MisspelledError(fact("wkt/unread-at", given=text[at : at + 20]))
            yield match[1].upper()
            at = match.end()

    def next(self) -> str:
        """The next token without taking it; empty at the end."""
        return self._all[self._at] if self._at < len(self._all) else ""

    def take(self, *wanted: str) -> str:
        """Take the next token.

        Raises
        ------
        MisspelledError
            If there is none, or it is none of those wanted.
        """
        token = self.next()
        if not token or (wanted and token not in wanted):
            found = token or fact("wkt/end")
            raise MisspelledError(fact("wkt/stands", there=found, wanted=wanted or (fact("wkt/more"),)))
        self._at += 1
        return token

    def word(self) -> str:
        """Take the name of a kind of geometry, and what follows it about heights and measures."""
        token = self.take()
        if not token.isalpha():
            raise MisspelledError(fact("wkt/no-kind", given=token))
        if self.next() in _DIMENSIONS:
            self.take()
        return token

    def numbers(self) -> Iterator[str]:
        """Take numbers up to a comma or bracket."""
        while self.next() not in ("", ",", "(", ")"):
            yield self.take()


def _geometry(tokens: _Tokens, kind: str, nested: int) -> BaseGeometry:
    if nested > MAX_NESTED:
        raise MisspelledError(fact("misspelt/too-deep"))
    if kind in ("LINESTRING", "CIRCULARSTRING", "COMPOUNDCURVE"):
        return shapely.LineString(_line(tokens, kind, nested))
    if kind in ("POLYGON", "CURVEPOLYGON"):
        rings = [_line(tokens, *part) for part in _parts(tokens, kind, nested)]
        return shapely.Polygon(rings[0], rings[1:]) if rings else shapely.Polygon()
    if kind in _STRAIGHT_IN:
        return shapely.GeometryCollection(
            [_geometry(tokens, *part) for part in _parts(tokens, kind, nested)]
        )
    raise MisspelledError(fact("wkt/beside-curves", kind=kind[:20]))


def _parts(tokens: _Tokens, kind: str, nested: int) -> Iterator[tuple[str, int]]:
    """Kind and depth of each part of a geometry; the caller reads the part before it asks for the next."""
    if tokens.take("(", "EMPTY") == "EMPTY":
        return
    while True:
        names_kind = tokens.next().isalpha() and tokens.next() != "EMPTY"
        yield (tokens.word() if names_kind else _STRAIGHT_IN[kind]), nested + 1
        if tokens.take(",", ")") == ")":
            return


def _line(tokens: _Tokens, kind: str, nested: int) -> list[Place]:
    if nested > MAX_NESTED:
        raise MisspelledError(fact("misspelt/too-deep"))
    if kind == "COMPOUNDCURVE":
        return end_to_end([_line(tokens, *part) for part in _parts(tokens, kind, nested)])
    if kind not in ("LINESTRING", "CIRCULARSTRING"):
        raise MisspelledError(fact("curve/no-ring", kind=kind[:20]))
    tokens.take("(")
    places = [_place(tokens)]
    while tokens.take(",", ")") == ",":
        places.append(_place(tokens))
    return places if kind == "LINESTRING" else tokens.arcs.along(places)


def _place(tokens: _Tokens) -> Place:
    try:
        numbers = [float(number) for number in tokens.numbers()]
    except ValueError:
        raise MisspelledError(fact("wkt/no-place")) from None
    if not 2 <= len(numbers) <= 4 or not all(map(math.isfinite, numbers)):
        raise MisspelledError(fact("wkt/no-place"))
    return numbers[0], numbers[1]
