"""What a boundary file really is, by its first bytes, and what is refused before a library opens it.

Only a regular file on this machine is opened (or a folder that is a File
Geodatabase), its format is told from its content, and formats that point at other files or addresses are
refused.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Literal, NoReturn

from fieldplan.boundary.markup import POINTERS, refuse_pointer, root_of
from fieldplan.boundary.unread import is_web_page, kind_of_unread
from fieldplan.errors import BoundaryError
from fieldplan.facts import fact
from fieldplan.files import Purpose, opened

Format = Literal[
    "GeoJSON",
    "GeoPackage",
    "Shapefile",
    "zip",
    "KML",
    "FlatGeobuf",
    "GeoParquet",
    "GML",
    "GPX",
    "DXF",
    "CSV",
    "File Geodatabase",
]

LARGEST_FILE_BYTES = 1_000_000_000
LARGEST_UNPACKED_BYTES = 512_000_000
LARGEST_TEXT_BYTES = 512_000_000
MAX_FEATURES = 200_000
MAX_FILE_VERTICES = 5_000_000
"""Of one file, all its fields together; kept in memory only while it is read."""
BOUNDARY_FILE = Purpose(
    what=fact("called/boundary"), code="file", max_bytes=LARGEST_FILE_BYTES, error=BoundaryError
)
"""How boundary files, their parts and their copies are opened."""
COMPANION = replace(BOUNDARY_FILE, what=fact("called/companion"), through_links=False)
"""How files beside a boundary file are opened: never through a link, which could lead anywhere."""
_SNIFF_BYTES = 65_536
_MAGIC: tuple[tuple[bytes, Format], ...] = (
    (b"PK\x03\x04", "zip"),
    (b"SQLite format 3\x00", "GeoPackage"),
    (b"\x00\x00\x27\x0a", "Shapefile"),
    (b"fgb\x03fgb", "FlatGeobuf"),
    (b"PAR1", "GeoParquet"),
)
_SHX_FIRST_OFFSET = (50).to_bytes(4, "big")
_SPATIAL_INDEX = b"\xff\xff\xfe\x70"
"""What an .sbn and an .sbx have after the mark that they share with the .shp."""
_COMPANIONS = (".dbf", ".shx", ".prj", ".cpg", ".sbn", ".sbx", ".qpj")
_WKT = re.compile(
    r"\b(POLYGON|MULTIPOLYGON|CURVEPOLYGON|MULTISURFACE|COMPOUNDCURVE|CIRCULARSTRING|MULTICURVE|LINESTRING|MULTILINESTRING|GEOMETRYCOLLECTION)[ \t]{0,4}(ZM|Z|M)?[ \t]{0,4}(\(|EMPTY)",
    re.IGNORECASE,
)
_GEOJSON = re.compile(
    r'"type"\s*:\s*"(FeatureCollection|Feature|GeometryCollection|(Multi)?(Polygon|LineString|Point))"',
    re.IGNORECASE,
)
_DXF = re.compile(r"\A(?:[ \t]*999[ \t]*\r?\n[^\n]*\n)*[ \t]*0[ \t]*\r?\nSECTION[ \t]*\r?\n", re.IGNORECASE)
GEODATABASE_MEMBER = re.compile(
    r"a[0-9a-f]{8}\.(gdbtable|gdbtablx|gdbindexes|[a-z0-9_.]*atx|spx|freelist|horizon|cdf)|gdb|timestamps|.*\.(lock|xml|txt)"
    r"|\..*|desktop\.ini|thumbs\.db",
    re.IGNORECASE,
)


def recognized_format(path: Path, purpose: Purpose = BOUNDARY_FILE) -> Format:
    """The format of a file, by its content.

    Parameters
    ----------
    path
        A file, or a folder that is a File Geodatabase.
    purpose
        What the file is for, for the error if it is missing or too large.

    Raises
    ------
    BoundaryError
        If there is no such file, its format is not read, or its format can point to other files or
        addresses.
    """
    if _is_folder(path):
        return _check_folder(path, path.resolve())
    try:
        with opened(path, purpose) as stream:
            head = stream.read(_SNIFF_BYTES)
    except OSError as problem:
        raise BoundaryError.of(
            "file-unreadable/read", file=str(path), reason=str(problem.strerror)
        ) from None
    if not head:
        raise BoundaryError.of("file-empty", file=str(path), what=purpose.what)
    return _format_of(path, head)


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except (OSError, ValueError):  # reported where it is opened
        return False


def _format_of(path: Path, head: bytes) -> Format:
    for magic, kind in _MAGIC:
        if head.startswith(magic):
            if kind == "Shapefile" and (head[100:104] == _SHX_FIRST_OFFSET or head[4:8] == _SPATIAL_INDEX):
                raise _companion(path)
            return kind
    if any(mark in head for mark in POINTERS):
        refuse_pointer(path)
    text = _as_text(head)
    start = text.lstrip()
    if start.startswith("<") and not is_web_page(start):
        return _markup_format(path)
    if start.startswith("{"):
        return _json_format(path, start)
    if _DXF.match(text):
        return "DXF"
    if path.suffix.lower() in _COMPANIONS:
        raise _companion(path)
    if _WKT.search(text):
        return "CSV"
    raise _unknown(path, kind_of_unread(head, text))


def _as_text(head: bytes) -> str:
    for mark, encoding in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if head.startswith(mark):
            return head.decode(encoding, errors="replace")
    return head.decode("utf-8-sig", errors="replace")


def _markup_format(path: Path) -> Format:
    root, namespaces = root_of(path, BOUNDARY_FILE)
    if root == "kml":
        return "KML"
    if root == "gpx":
        return "GPX"
    if any("opengis.net/gml" in address or "opengis.net/wfs" in address for address in namespaces):
        return "GML"
    raise _unknown(path, "task-data" if root.upper().startswith("ISO11783") else "")


def _json_format(path: Path, start: str) -> Format:
    if _GEOJSON.search(start):
        return "GeoJSON"
    if re.search(r'"type"\s*:\s*"Topology"', start):
        raise BoundaryError.of("format-unknown/topojson", file=str(path))
    if '"esriGeometry' in start or ('"rings"' in start and '"coordinates"' not in start):
        raise BoundaryError.of("format-unknown/map-server", file=str(path))
    raise _unknown(path)


def _check_folder(path: Path, real: Path) -> Format:
    """Whether a folder is a File Geodatabase with no member that could lead elsewhere."""
    try:
        members = sorted(real.iterdir())
    except OSError as problem:
        raise BoundaryError.of(
            "file-unreadable/folder", file=str(path), reason=str(problem.strerror)
        ) from None
    if real.suffix.lower() != ".gdb":
        inside = [
            member.name
            for member in members
            if member.suffix.lower()
            in (".shp", ".gpkg", ".geojson", ".parquet", ".kml", ".kmz", ".gdb", ".zip")
        ]
        cure = fact("try/file-inside", inside=str(path / inside[0])) if inside else None
        raise BoundaryError.of("not-a-file/folder", file=str(path), cure=cure)
    for member in members:
        if member.is_symlink() or not member.is_file() or not GEODATABASE_MEMBER.fullmatch(member.name):
            raise BoundaryError.of("folder-refused", file=str(path), member=member.name)
    if sum(member.stat().st_size for member in members) > LARGEST_FILE_BYTES:
        raise BoundaryError.of("file-too-large/folder", file=str(path), most_bytes=LARGEST_FILE_BYTES)
    if not any(member.suffix.lower() == ".gdbtable" for member in members):
        raise BoundaryError.of("file-empty/no-tables", file=str(path))
    return "File Geodatabase"


def _companion(path: Path) -> BoundaryError:
    return BoundaryError.of("shapefile-part", file=str(path), shp=path.with_suffix(".shp").name)


def _unknown(path: Path, kind: str = "") -> BoundaryError:
    return BoundaryError.of(f"format-unknown/{kind}" if kind else "format-unknown", file=str(path))


def refuse_vertices() -> NoReturn:
    """Refuse a file of more vertices than `MAX_FILE_VERTICES`."""
    raise BoundaryError.of("too-many-vertices/of-file", n_most=MAX_FILE_VERTICES)


def refuse_features() -> NoReturn:
    """Refuse a file of more features than `MAX_FEATURES`."""
    raise BoundaryError.of("too-many-features/of-file", n_most=MAX_FEATURES)
