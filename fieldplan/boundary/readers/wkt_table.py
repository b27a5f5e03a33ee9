"""CSV with a column of outlines as well-known text (WKT; OGC 06-103r4), with or without ``SRID=…;``."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import shapely

from fieldplan.boundary.guard import (
    BOUNDARY_FILE,
    LARGEST_TEXT_BYTES,
    MAX_FEATURES,
    MAX_FILE_VERTICES,
    refuse_features,
    refuse_vertices,
)
from fieldplan.boundary.layer import MAX_NESTED, Feature, Layer, MisspelledError, declared_crs
from fieldplan.boundary.readers.curves import STRAIGHTENED
from fieldplan.boundary.readers.wkt_curves import CURVED, straightened
from fieldplan.errors import BoundaryError
from fieldplan.facts import Fact, fact
from fieldplan.files import content_of

_DELIMITERS = ",;\t|"
_WKT = re.compile(
    r"\s{0,4}(SRID\s{0,4}=\s{0,4}(?P<srid>\d{1,9})\s{0,4};\s{0,4})?"
    r"(?P<kind>(MULTI)?(POLYGON|LINESTRING|POINT|SURFACE|CURVE)|CURVEPOLYGON|COMPOUNDCURVE|CIRCULARSTRING|GEOMETRYCOLLECTION)\s{0,4}(?P<more>ZM|Z|M)?\s{0,4}(?P<rest>\(.*|EMPTY.*)",
    re.IGNORECASE | re.DOTALL,
)
_OUTLINE = re.compile(
    r"\b(MULTI)?(POLYGON|SURFACE)\s{0,4}(ZM|Z|M)?\s{0,4}\(|\bCURVEPOLYGON\b", re.IGNORECASE
)
_SRID = re.compile(r"\s{0,4}SRID\s{0,4}=\s{0,4}\d{1,9}\s{0,4}", re.IGNORECASE)


def layers(path: Path, name: str, folder: Path, encoding: str | None) -> Iterator[Layer]:
    """The one layer of a table: the column with most outlines is the geometry, the rest attributes."""
    del folder
    header, *records = _rows(path, encoding)
    if any(_WKT.match(cell) for cell in header.cells):  # no names above the columns
        records = [header, *records]
        header = _Row(0, [f"column {i}" for i in range(1, len(header.cells) + 1)])
    column = _geometry_column([row.cells for row in records])
    if column is None:
        raise BoundaryError.of("table-no-wkt")
    if len(records) > MAX_FEATURES:
        refuse_features()
    srids = {
        found["srid"]
        for row in records
        if column < len(row.cells) and (found := _WKT.match(row.cells[column])) and found["srid"]
    }
    if len(srids) > 1:
        raise BoundaryError.of("crs-mixed/rows", srids=tuple(sorted(srids)))
    crs, statement = declared_crs(f"EPSG:{srids.pop()}" if srids else None)
    features = tuple(_feature(header.cells, row, column) for row in records)
    curved = any(CURVED.search(row.cells[column]) for row in records if column < len(row.cells))
    yield Layer(
        name=name,
        crs=crs,
        crs_statement=statement,
        features=features,
        remarks=(STRAIGHTENED,) if curved else (),
    )


@dataclass(frozen=True, slots=True)
class _Row:
    """A row and the line of the file where it begins; ``broken_off`` if the file ends within it."""

    line: int
    cells: list[str]
    broken_off: bool = False


def _rows(path: Path, encoding: str | None) -> list[_Row]:
    content = content_of(path, replace(BOUNDARY_FILE, max_bytes=LARGEST_TEXT_BYTES))
    assumed = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    csv.field_size_limit(2**31 - 1)
    try:
        text = content.decode(encoding or assumed).replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError:
        raise BoundaryError.of("encoding-unknown/text", encoding=encoding or "UTF-8") from None
    if text.count(",") > 2 * MAX_FILE_VERTICES:
        refuse_vertices()
    first = text.partition("\n")[0]
    delimiter = max(_DELIMITERS, key=re.sub(r"\(.*\)", "", first).count)
    rows = list(_split(text, delimiter))
    first_record = next((i for i, row in enumerate(rows) if any(_WKT.match(cell) for cell in row.cells)), 1)
    return rows[max(0, first_record - 1) :]  # there may be titles above the names of the columns


def _split(text: str, delimiter: str) -> Iterator[_Row]:
    """The rows that are not blank; a quote that is not closed or is out of place raises an error."""
    reader = csv.reader(text.splitlines(keepends=True), delimiter=delimiter, strict=True)
    lines, n_lines = 1, text.count("\n")
    try:
        for row in reader:
            cells = _rejoined(row, delimiter)
            if any(cell.strip() for cell in cells):
                yield _Row(lines, cells, broken_off=reader.line_num > n_lines)
            lines = reader.line_num + 1
    except csv.Error:
        raise BoundaryError.of("table-quotes", line=lines) from None


def _rejoined(row: list[str], delimiter: str) -> list[str]:
    """A row whose outlines, written without quotes, were split at the delimiter, put together again."""
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


def _wrong_with(header: list[str], row: _Row, column: int) -> Fact | None:
    """What shows that a row is damaged: a stray quote or separator, or the end of the file."""
    if column >= len(row.cells) or any(cell.strip() for cell in row.cells[len(header) :]):
        return fact("row/cells", line=row.line, n_cells=len(row.cells), n_columns=len(header))
    outline = next((i for i, cell in enumerate(row.cells) if i != column and _OUTLINE.search(cell)), None)
    if outline is not None:
        return fact("row/two-outlines", line=row.line, column=header[outline].strip()[:40])
    if row.broken_off and not row.cells[column].strip():
        return fact("row/broken-off", line=row.line)
    return None


def _feature(header: list[str], row: _Row, column: int) -> Feature:
    attributes = {
        key.strip(): cell
        for i, (key, cell) in enumerate(zip(header, row.cells, strict=False))
        if i != column
    }
    wrong = _wrong_with(header, row, column)
    if wrong:
        return Feature(attributes=attributes, geometry=None, unreadable=wrong)
    cell = row.cells[column].strip()
    if not cell:
        return Feature(attributes=attributes, geometry=None)
    if cell.upper().count("GEOMETRYCOLLECTION") > MAX_NESTED:
        return Feature(attributes=attributes, geometry=None, unreadable=fact("misspelt/too-deep"))
    if CURVED.search(cell):
        return _curved_feature(attributes, cell, row.line)
    return _straight_feature(attributes, cell)


def _curved_feature(attributes: dict[str, str], cell: str, line: int) -> Feature:
    why: Fact | str
    try:
        drawn = straightened(cell.partition(";")[2] if _SRID.match(cell) else cell)
        return Feature(attributes=attributes, geometry=drawn)
    except MisspelledError as misspelled:
        why = misspelled.why
    except (ValueError, shapely.errors.ShapelyError) as problem:
        why = str(problem)
    return Feature(attributes=attributes, geometry=None, unreadable=fact("row/curve", line=line, why=why))


def _straight_feature(attributes: dict[str, str], cell: str) -> Feature:
    match = _WKT.match(cell)
    text = f"{match['kind']} {match['more'] or ''} {match['rest']}" if match else cell
    try:
        return Feature(attributes=attributes, geometry=shapely.from_wkt(text))
    except (shapely.errors.ShapelyError, NotImplementedError):
        pass
    try:  # GEOS can close a ring that is open, and does not report it
        mended = shapely.from_wkt(text, on_invalid="fix")
    except (shapely.errors.ShapelyError, NotImplementedError) as problem:
        return Feature(attributes=attributes, geometry=None, unreadable=str(problem).splitlines()[0])
    if mended is None:
        return Feature(attributes=attributes, geometry=None, unreadable=fact("wkt/unread"))
    return Feature(attributes=attributes, geometry=mended, ring_unclosed=True)
