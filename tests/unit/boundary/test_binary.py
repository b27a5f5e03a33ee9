"""Curves as well-known binary are drawn as the same curves as text, in every spelling of the binary."""

from __future__ import annotations

import struct
from typing import Any

import pytest
from shapely import Polygon

from fieldplan.boundary.layer import MisspelledError
from fieldplan.boundary.readers import binary, curves
from fieldplan.boundary.readers.wkt_curves import straightened as from_text

Spelled = tuple[str, Any]
_KINDS = {
    "POINT": 1,
    "LINESTRING": 2,
    "POLYGON": 3,
    "GEOMETRYCOLLECTION": 7,
    "CIRCULARSTRING": 8,
    "COMPOUNDCURVE": 9,
    "CURVEPOLYGON": 10,
    "MULTICURVE": 11,
    "MULTISURFACE": 12,
}
CIRCLE: Spelled = ("CIRCULARSTRING", [(0, 0), (1, 1), (2, 0), (1, -1), (0, 0)])
HOLE: Spelled = ("LINESTRING", [(0.9, 0), (1.1, 0), (1, 0.2), (0.9, 0)])
BULGE: Spelled = (
    "COMPOUNDCURVE",
    [
        ("LINESTRING", [(4, 0), (5, 0)]),
        ("CIRCULARSTRING", [(5, 0), (5.5, 0.5), (5, 1)]),
        ("LINESTRING", [(5, 1), (4, 0)]),
    ],
)
SQUARE: Spelled = ("POLYGON", [[(8, 0), (9, 0), (9, 1), (8, 0)]])
SHAPES: list[Spelled] = [
    CIRCLE,
    BULGE,
    ("CURVEPOLYGON", [CIRCLE, HOLE]),
    ("CURVEPOLYGON", [BULGE]),
    ("MULTICURVE", [CIRCLE, HOLE, BULGE]),
    ("MULTISURFACE", [("CURVEPOLYGON", [CIRCLE]), SQUARE]),
    ("GEOMETRYCOLLECTION", [("CURVEPOLYGON", [BULGE]), HOLE]),
]


def _binary(shape: Spelled, order: str = "<", more: int = 0, flavor: str = "iso") -> bytes:
    """A shape as binary, with as many numbers more in each position."""
    kind, inside = shape
    said = _KINDS[kind]
    if flavor == "iso":
        said += (0, 1000, 3000)[more]
    else:
        said |= (0x80000000 if more else 0) | 0x20000000
    head = struct.pack(f"{order}BI", order == "<", said)
    if flavor != "iso":
        head += struct.pack(f"{order}I", 4326)

    def places(given: Any) -> bytes:
        return b"".join(struct.pack(f"{order}{2 + more}d", *place, *[300.0] * more) for place in given)

    head += struct.pack(f"{order}I", len(inside))
    if kind in ("LINESTRING", "CIRCULARSTRING"):
        return head + places(inside)
    if kind == "POLYGON":
        return head + b"".join(struct.pack(f"{order}I", len(ring)) + places(ring) for ring in inside)
    return head + b"".join(_binary(part, order, more, flavor) for part in inside)


def _text(shape: Spelled) -> str:
    kind, inside = shape

    def places(given: Any) -> str:
        return ", ".join(f"{x} {y}" for x, y in given)

    if kind in ("LINESTRING", "CIRCULARSTRING"):
        return f"{kind} ({places(inside)})"
    if kind == "POLYGON":
        return f"{kind} ({', '.join(f'({places(ring)})' for ring in inside)})"
    return f"{kind} ({', '.join(_text(part) for part in inside)})"


@pytest.mark.parametrize("shape", SHAPES, ids=[_text(shape)[:40] for shape in SHAPES])
@pytest.mark.parametrize(
    ("order", "more", "flavor"), [("<", 0, "iso"), (">", 1, "iso"), ("<", 2, "iso"), (">", 1, "extended")]
)
def test_binary_is_drawn_as_text_is(shape: Spelled, order: str, more: int, flavor: str) -> None:
    """Both byte orders, with heights and measures, as the standard and as databases write them."""
    drawn = binary.straightened(_binary(shape, order, more, flavor))
    assert drawn.equals_exact(from_text(_text(shape)), 0)


def test_straight_shapes_beside_curves_are_read() -> None:
    """A point in a collection of curves."""
    (read,) = binary.read_rows(
        [
            _binary(("GEOMETRYCOLLECTION", [("CURVEPOLYGON", [CIRCLE])]))[:5]
            + struct.pack("<I", 2)
            + _binary(("CURVEPOLYGON", [CIRCLE]))
            + struct.pack("<BIdd", 1, 1, 3, 4)
        ]
    )
    assert [part.geom_type for part in read.geometry.geoms] == ["Polygon", "Point"]
    assert read.curved


def test_a_curve_among_others_changes_none_of_them() -> None:
    """Nor what is said of them: rows without curves and without a geometry stand beside it."""
    square = Polygon([(0, 0), (1, 0), (1, 1)])
    rows = binary.read_rows([square.wkb, _binary(("CURVEPOLYGON", [CIRCLE])), None, b"nonsense"])
    assert [row.curved for row in rows] == [False, True, False, False]
    assert rows[0].geometry == square
    assert [row.unreadable is None for row in rows] == [True, True, True, False]


def test_parts_that_do_not_meet_are_no_line() -> None:
    """A compound curve."""
    apart = ("COMPOUNDCURVE", [("LINESTRING", [(0, 0), (1, 0)]), ("LINESTRING", [(2, 0), (3, 0)])])
    with pytest.raises(MisspelledError) as caught:
        binary.straightened(_binary(apart))
    assert caught.value.why.code == "curve/apart"


def test_few_bytes_cannot_ask_for_more_edges_than_fit(monkeypatch: pytest.MonkeyPatch) -> None:
    """Arcs count together, in all the parts of a geometry and in both spellings."""
    monkeypatch.setattr(curves, "MAX_VERTICES", 2 * curves.EDGES_OF_CIRCLE)
    many = ("MULTICURVE", [CIRCLE, CIRCLE, CIRCLE])
    for read in (lambda: binary.straightened(_binary(many)), lambda: from_text(_text(many))):
        with pytest.raises(MisspelledError) as caught:
            read()
        assert caught.value.why.code == "curve/too-many"
    assert binary.straightened(_binary(("MULTICURVE", [CIRCLE, CIRCLE]))).length > 12
