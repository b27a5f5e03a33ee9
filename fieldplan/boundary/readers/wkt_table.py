"""CSV with a column of outlines as well-known text (WKT; OGC 06-103r4), with or without its ``SRID=…;`` prefix."""

from __future__ import annotations

import csv
import re
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import shapely

from fieldplan.boundary.layer import Feature, Layer, declared_crs
from fieldplan.errors import BoundaryError

_DELIMITERS = ",;\t|"
_WKT = re.compile(
    r"\s*(SRID\s*=\s*(?P<srid>\d+)\s*;)?\s*"
    r"(?P<kind>(MULTI)?(POLYGON|LINESTRING|POINT|SURFACE|CURVE)|CURVEPOLYGON|GEOMETRYCOLLECTION)\s*(?P<more>ZM|Z|M)?\s*(?P<rest>\(.*|EMPTY.*)",
    re.IGNORECASE | re.DOTALL,
)
_SRID = re.compile(r"\s*SRID\s*=\s*\d+\s*", re.IGNORECASE)


def layers(path: Path, name: str, kind: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """The one layer of a table: the column with most outlines is the geometry, the others are attributes."""
    del kind, folder
    header, *records = _rows(path, encoding)
    column = _geometry_column(records)
    if column is None:
        raise BoundaryError.of("table-no-wkt", f"{path}: no column holds outlines as WKT.", "name the column wkt: POLYGON((…))")
    srids = {found["srid"] for row in records if column < len(row) and (found := _WKT.match(row[column])) and found["srid"]}
    if len(srids) > 1:
        raise BoundaryError.of("crs-mixed", f"{path}: rows are in several reference systems (SRID {', '.join(sorted(srids))}).",
                               "make a file for each")  # fmt: skip
    crs, said = declared_crs(f"EPSG:{srids.pop()}" if srids else None)
    features = tuple(_feature(header, row, column) for row in records)
    yield Layer(name=name, crs=crs, crs_said=said, features=features)


def _rows(path: Path, encoding: str | None) -> list[list[str]]:
    head = path.read_bytes()[:2]
    assumed = "utf-16" if head in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    csv.field_size_limit(sys.maxsize)
    try:
        text = path.read_text(encoding=encoding or assumed)
    except UnicodeDecodeError:
        raise BoundaryError.of("encoding-unknown", f"{path}: the text is not {encoding or assumed}.",
                               "give its character set, such as --encoding CP1252") from None  # fmt: skip
    first = text.partition("\n")[0]
    if not any(mark in first for mark in _DELIMITERS):
        return [[line] for line in text.splitlines() if line.strip()]
    delimiter = max(_DELIMITERS, key=first.count)
    return [_rejoined(row, delimiter) for row in csv.reader(text.splitlines(keepends=True), delimiter=delimiter) if row]


def _rejoined(row: list[str], delimiter: str) -> list[str]:
    """A row in which ``SRID=4326;POLYGON(…)`` was taken apart at its semicolon, put together again."""
    for i in range(len(row) - 1):
        if delimiter == ";" and _SRID.fullmatch(row[i]) and _WKT.match(row[i + 1]):
            return [*row[:i], f"{row[i]};{row[i + 1]}", *row[i + 2 :]]
    return row


def _geometry_column(records: list[list[str]]) -> int | None:
    """The column with most outlines; one of points only if there is no other."""
    found: Counter[int] = Counter()
    for row in records:
        for i, cell in enumerate(row):
            match = _WKT.match(cell)
            if match:
                found[i] += 1 if match["kind"].upper().endswith("POINT") else 1 + len(records)
    return found.most_common(1)[0][0] if found else None


def _feature(header: list[str], row: list[str], column: int) -> Feature:
    attributes = {key.strip(): cell for i, (key, cell) in enumerate(zip(header, row, strict=False)) if i != column}
    cell = row[column].strip() if column < len(row) else ""
    if not cell:
        return Feature(attributes=attributes, geometry=None)
    match = _WKT.match(cell)
    text = f"{match['kind']} {match['more'] or ''} {match['rest']}" if match else cell
    try:
        return Feature(attributes=attributes, geometry=shapely.from_wkt(text))
    except shapely.errors.ShapelyError:
        pass
    try:  # GEOS can mend a ring that is not closed, and says nothing of it
        mended = shapely.from_wkt(text, on_invalid="fix")
    except shapely.errors.ShapelyError as problem:
        return Feature(attributes=attributes, geometry=None, unreadable=str(problem).splitlines()[0])
    if mended is None:
        return Feature(attributes=attributes, geometry=None, unreadable="its WKT cannot be read")
    return Feature(attributes=attributes, geometry=mended, ring_unclosed=True)
