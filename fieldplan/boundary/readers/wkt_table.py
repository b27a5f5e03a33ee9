"""CSV with a column of outlines as well-known text (WKT; OGC 06-103r4), with or without its ``SRID=…;`` prefix."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import shapely

from fieldplan.boundary.layer import MOST_NESTED, Feature, Layer, declared_crs
from fieldplan.errors import BoundaryError

_DELIMITERS = ",;\t|"
_WKT = re.compile(
    r"\s{0,4}(SRID\s{0,4}=\s{0,4}(?P<srid>\d{1,9})\s{0,4};\s{0,4})?"
    r"(?P<kind>(MULTI)?(POLYGON|LINESTRING|POINT|SURFACE|CURVE)|CURVEPOLYGON|GEOMETRYCOLLECTION)\s{0,4}(?P<more>ZM|Z|M)?\s{0,4}(?P<rest>\(.*|EMPTY.*)",
    re.IGNORECASE | re.DOTALL,
)
_SRID = re.compile(r"\s{0,4}SRID\s{0,4}=\s{0,4}\d{1,9}\s{0,4}", re.IGNORECASE)


def layers(path: Path, name: str, kind: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """The one layer of a table: the column with most outlines is the geometry, the others are attributes."""
    del kind, folder
    header, *records = _rows(path, encoding)
    if any(_WKT.match(cell) for cell in header):  # no names above the columns
        header, records = [f"column {i}" for i in range(1, len(header) + 1)], [header, *records]
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
    csv.field_size_limit(2**31 - 1)
    try:
        text = path.read_text(encoding=encoding or assumed)
    except UnicodeDecodeError:
        raise BoundaryError.of("encoding-unknown", f"{path}: the text is not {encoding or 'UTF-8'}.",
                               "give its character set, such as --encoding CP1252") from None  # fmt: skip
    first = text.partition("\n")[0]
    delimiter = max(_DELIMITERS, key=re.sub(r"\(.*\)", "", first).count)
    rows = [_rejoined(row, delimiter) for row in csv.reader(text.splitlines(keepends=True), delimiter=delimiter) if row]
    first_record = next((i for i, row in enumerate(rows) if any(_WKT.match(cell) for cell in row)), 1)
    return rows[max(0, first_record - 1) :]  # titles may stand above the names of the columns


def _rejoined(row: list[str], delimiter: str) -> list[str]:
    """A row in which outlines without quotes were taken apart at the delimiter, put together again."""
    whole: list[list[str]] = []
    still_open = 0
    for cell in row:
        if still_open or (whole and _SRID.fullmatch(whole[-1][-1])):
            whole[-1].append(cell)
        else:
            whole.append([cell])
        if still_open or _WKT.match(delimiter.join(whole[-1][-2:])):
            still_open = max(0, still_open + cell.count("(") - cell.count(")"))
    return [delimiter.join(pieces) for pieces in whole]


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
    if cell.upper().count("GEOMETRYCOLLECTION") > MOST_NESTED:
        return Feature(attributes=attributes, geometry=None, unreadable="collections nested too deep")
    match = _WKT.match(cell)
    text = f"{match['kind']} {match['more'] or ''} {match['rest']}" if match else cell
    try:
        return Feature(attributes=attributes, geometry=shapely.from_wkt(text))
    except (shapely.errors.ShapelyError, NotImplementedError):
        pass
    try:  # GEOS can mend a ring that is not closed, and says nothing of it
        mended = shapely.from_wkt(text, on_invalid="fix")
    except (shapely.errors.ShapelyError, NotImplementedError) as problem:
        return Feature(attributes=attributes, geometry=None, unreadable=str(problem).splitlines()[0])
    if mended is None:
        return Feature(attributes=attributes, geometry=None, unreadable="its WKT cannot be read")
    return Feature(attributes=attributes, geometry=mended, ring_unclosed=True)
