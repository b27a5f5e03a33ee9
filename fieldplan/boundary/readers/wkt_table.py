"""CSV with a column of outlines as well-known text (WKT; OGC 06-103r4), with or without its ``SRID=…;`` prefix."""

from __future__ import annotations

import csv
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import shapely

from fieldplan.boundary.layer import Feature, Layer, declared_crs
from fieldplan.errors import BoundaryError

_WKT = re.compile(
    r"\s*(SRID\s*=\s*(?P<srid>\d+)\s*;)?\s*(?P<wkt>(MULTI)?(POLYGON|LINESTRING|POINT)|GEOMETRYCOLLECTION)\b", re.IGNORECASE
)


def layers(path: Path, name: str, kind: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """The one layer of a table: the column whose cells read as WKT is the geometry, the others are attributes."""
    del kind, folder
    rows = _rows(path, encoding)
    header, records = rows[0], rows[1:]
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
    except (UnicodeDecodeError, LookupError):
        raise BoundaryError.of("encoding-unknown", f"{path}: the text is not {encoding or assumed}.",
                               "give its character set, such as --encoding CP1252") from None  # fmt: skip
    first = text.partition("\n")[0]
    delimiter = max(",;\t", key=first.count)
    return [row for row in csv.reader(text.splitlines(keepends=True), delimiter=delimiter) if row]


def _geometry_column(records: list[list[str]]) -> int | None:
    return next((i for row in records for i, cell in enumerate(row) if _WKT.match(cell)), None)


def _feature(header: list[str], row: list[str], column: int) -> Feature:
    attributes = {key.strip(): cell for i, (key, cell) in enumerate(zip(header, row, strict=False)) if i != column}
    cell = row[column].strip() if column < len(row) else ""
    if not cell:
        return Feature(attributes=attributes, geometry=None)
    try:
        return Feature(
            attributes=attributes, geometry=shapely.from_wkt(re.sub(r"^SRID\s*=\s*\d+\s*;", "", cell, flags=re.IGNORECASE))
        )
    except shapely.errors.GEOSException:
        pass
    try:  # GEOS can mend a ring that is not closed, and says nothing of it
        mended = shapely.from_wkt(re.sub(r"^SRID\s*=\s*\d+\s*;", "", cell, flags=re.IGNORECASE), on_invalid="fix")
    except shapely.errors.GEOSException as problem:
        return Feature(attributes=attributes, geometry=None, unreadable=str(problem).splitlines()[0])
    if mended is None:
        return Feature(attributes=attributes, geometry=None, unreadable="its WKT cannot be read")
    return Feature(attributes=attributes, geometry=mended, ring_unclosed=True)
