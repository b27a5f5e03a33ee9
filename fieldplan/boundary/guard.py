"""What a boundary file really is, by its first bytes, and what is refused before any library opens it.

A path is never an interface here: only a regular file on this machine is opened, its format is told from its content,
and formats that point at other files or addresses are refused.
"""

from __future__ import annotations

import zipfile
from pathlib import Path
from typing import Literal

from fieldplan.errors import BoundaryError

Format = Literal["geojson", "gpkg", "shapefile", "zip", "kml", "kmz", "flatgeobuf", "parquet"]

LARGEST_FILE_BYTES = 1_000_000_000
LARGEST_ZIP_BYTES = 512_000_000
MOST_ZIP_MEMBERS = 1_000
LARGEST_ZIP_RATIO = 200
_SNIFF_BYTES = 65_536
_READS = "GeoJSON, GeoPackage, Shapefile (loose or zipped), KML, KMZ, FlatGeobuf, GeoParquet"


def recognise(path: Path) -> Format:
    """The format of a file, told from its content.

    Raises
    ------
    BoundaryError
        If there is no such file, or it is of no format that is read, or of one that refers to other places.
    """
    try:
        real = path.resolve(strict=True)
    except (OSError, RuntimeError):
        raise BoundaryError.of("file-not-found", f"{path}: there is no such file.", "check the spelling") from None
    if not real.is_file():
        raise BoundaryError.of("not-a-file", f"{path}: this is not a file.", "name one boundary file")
    try:
        with real.open("rb") as stream:
            head = stream.read(_SNIFF_BYTES)
    except OSError as problem:
        raise BoundaryError.of("file-unreadable", f"{path}: cannot be opened ({problem.strerror}).") from None
    if not head:
        raise BoundaryError.of("file-empty", f"{path}: the file is empty.", "export it again")
    if real.stat().st_size > LARGEST_FILE_BYTES:
        raise BoundaryError.of("file-too-large", f"{path}: is over 1 GB.", "split it into smaller files")
    return _format_of(path, head)


def _format_of(path: Path, head: bytes) -> Format:
    if head.startswith(b"PK\x03\x04"):
        return _check_zip(path)
    if head.startswith(b"SQLite format 3\x00"):
        return "gpkg"
    if head.startswith(b"\x00\x00\x27\x0a"):
        return "shapefile"
    if head.startswith(b"fgb\x03fgb"):
        return "flatgeobuf"
    if head.startswith(b"PAR1"):
        return "parquet"
    text = head.decode("utf-8-sig", errors="replace").lstrip()
    if "<!DOCTYPE" in text or "<!ENTITY" in text:
        raise BoundaryError.of("file-refused", f"{path}: declares a document type, which is refused.", "export it again")
    if "<OGRVRT" in text or "gdal_streamed_alg" in text:
        raise BoundaryError.of("file-refused", f"{path}: points at other files or addresses, which is refused.",
                               "give the file that it points at")  # fmt: skip
    if text.startswith("{") and '"type"' in text and "Topology" not in text[:200]:
        return "geojson"
    if text.startswith("<") and "<kml" in text:
        return "kml"
    raise BoundaryError.of("format-unknown", f"{path}: is of no format that fieldplan reads ({_READS}).",
                           "export the boundary as GeoJSON or a zipped Shapefile")  # fmt: skip


def _check_zip(path: Path) -> Format:
    """Whether a zip is a KMZ or holds shapefiles, after a look at its sizes."""
    try:
        with zipfile.ZipFile(path) as archive:
            members = archive.infolist()
    except (zipfile.BadZipFile, OSError):
        raise BoundaryError.of("zip-broken", f"{path}: the zip file is broken.", "download or export it again") from None
    unpacked = sum(member.file_size for member in members)
    packed = max(1, sum(member.compress_size for member in members))
    if unpacked > LARGEST_ZIP_BYTES or len(members) > MOST_ZIP_MEMBERS or unpacked / packed > LARGEST_ZIP_RATIO:
        raise BoundaryError.of("zip-too-large", f"{path}: unpacks to {unpacked / 1e6:,.0f} MB in {len(members):,} files.",
                               "zip only the boundary")  # fmt: skip
    names = [member.filename.lower() for member in members]
    if any(name.endswith(".kml") for name in names):
        return "kmz"
    if any(name.endswith(".shp") for name in names):
        return "zip"
    raise BoundaryError.of("zip-no-boundary", f"{path}: the zip holds no .shp or .kml file.",
                           "zip the .shp with its .shx, .dbf and .prj")  # fmt: skip
