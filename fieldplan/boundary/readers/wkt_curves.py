"""Well-known text with circular arcs (OGC 06-103r4, chapter 7), drawn with short straight edges.

The library at hand reads straight edges only.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.layer import MAX_NESTED, MisspelledError
from fieldplan.boundary.readers.curves import STEP_DEG
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
"""What stands in each kind if no kind is named."""
Place = tuple[float, float]


def straightened(text: str) -> BaseGeometry:
    """The geometry of a text, its arcs as edges of `STEP_DEG`.

    Raises
    ------
    MisspelledError
        If it is not as the standard has it.
    """
    tokens = _Tokens(text)
    made = _geometry(tokens, tokens.word(), 0)
    if tokens.next():
        raise MisspelledError(fact("wkt/after-end"))
    return made


class _Tokens:
    """Words, numbers and brackets, one after the other."""

    def __init__(self, text: str) -> None:
        self._all = list(self._split(text))
        self._at = 0

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
        """The next token without taking it; nothing at the end."""
        return self._all[self._at] if self._at < len(self._all) else ""

    def take(self, *wanted: str) -> str:
        """The next token, which must be one of these if any are named."""
        token = self.next()
        if not token or (wanted and token not in wanted):
            raise MisspelledError(
                fact("wkt/stands", there=token or fact("wkt/end"), wanted=wanted or (fact("wkt/more"),))
            )
        self._at += 1
        return token

    def word(self) -> str:
        """The name of a kind of geometry, without what it says of heights."""
        token = self.take()
        if not token.isalpha():
            raise MisspelledError(fact("wkt/no-kind", given=token))
        if self.next() in _DIMENSIONS:
            self.take()
        return token

    def numbers(self) -> Iterator[str]:
        """Numbers up to a comma or bracket."""
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
    """What each part of a geometry is, for it to be read next."""
    if tokens.take("(", "EMPTY") == "EMPTY":
        return
    while True:
        yield (
            (tokens.word() if tokens.next().isalpha() and tokens.next() != "EMPTY" else _STRAIGHT_IN[kind]),
            nested + 1,
        )
        if tokens.take(",", ")") == ")":
            return


def _line(tokens: _Tokens, kind: str, nested: int) -> list[Place]:
    if nested > MAX_NESTED:
        raise MisspelledError(fact("misspelt/too-deep"))
    if kind == "COMPOUNDCURVE":
        whole: list[Place] = []
        for one in _parts(tokens, kind, nested):
            part = _line(tokens, *one)
            if whole and part[0] != whole[-1]:
                raise MisspelledError(fact("wkt/apart"))
            whole += part[1:] if whole else part
        return whole
    if kind not in ("LINESTRING", "CIRCULARSTRING"):
        raise MisspelledError(fact("wkt/no-ring", kind=kind[:20]))
    tokens.take("(")
    places = [_place(tokens)]
    while tokens.take(",", ")") == ",":
        places.append(_place(tokens))
    if kind == "LINESTRING":
        return places
    if len(places) < 3 or len(places) % 2 == 0:
        raise MisspelledError(fact("wkt/no-arc", n_points=len(places)))
    drawn = places[:1]
    for i in range(0, len(places) - 2, 2):
        drawn += _arc(*places[i : i + 3])
    return drawn


def _place(tokens: _Tokens) -> Place:
    try:
        numbers = [float(number) for number in tokens.numbers()]
    except ValueError:
        raise MisspelledError(fact("wkt/no-place")) from None
    if not 2 <= len(numbers) <= 4 or not all(map(math.isfinite, numbers)):
        raise MisspelledError(fact("wkt/no-place"))
    return numbers[0], numbers[1]


def _arc(a: Place, b: Place, c: Place) -> list[Place]:
    """Places on the arc from a through b to c, without a; a whole circle if a and c are one, b being
    opposite.
    """
    (bx, by), (cx, cy) = (b[0] - a[0], b[1] - a[1]), (c[0] - a[0], c[1] - a[1])
    twice = 2 * (bx * cy - by * cx)
    if a == c:
        x, y, angle = bx / 2, by / 2, 2 * math.pi
    elif abs(twice) < 1e-12 * (bx * bx + by * by + cx * cx + cy * cy):
        return [b, c]
    else:
        b2, c2 = bx * bx + by * by, cx * cx + cy * cy
        x, y = (cy * b2 - by * c2) / twice, (bx * c2 - cx * b2) / twice
        turn = (math.atan2(cy - y, cx - x) - math.atan2(-y, -x)) % (2 * math.pi)
        angle = turn if twice > 0 else turn - 2 * math.pi
    n = max(2, math.ceil(abs(math.degrees(angle)) / STEP_DEG))
    at = math.atan2(-y, -x) + np.linspace(0, angle, n + 1)[1:-1]
    radius = math.hypot(x, y)
    return [
        *zip(
            (a[0] + x + radius * np.cos(at)).tolist(),
            (a[1] + y + radius * np.sin(at)).tolist(),
            strict=True,
        ),
        c,
    ]
