"""Zip files: their limits, and copies of their boundary files under names chosen here."""

from __future__ import annotations

import lzma
import shutil
import zipfile
import zlib
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from fieldplan.boundary.guard import GEODATABASE_MEMBER, LARGEST_UNPACKED_BYTES
from fieldplan.errors import BoundaryError, disk_full
from fieldplan.facts import fact

MAX_ZIP_MEMBERS = 1_000
LARGEST_ZIP_RATIO = 200
LONGEST_MEMBER_NAME = 300
_LOCKED = 0x1
_SINGLE = frozenset(
    {
        ".geojson",
        ".json",
        ".gpkg",
        ".kml",
        ".gml",
        ".gpx",
        ".dxf",
        ".fgb",
        ".csv",
        ".parquet",
        ".geoparquet",
    }
)
"""Endings of boundary files that are one file each."""
_BROKEN = (
    zipfile.BadZipFile,
    zipfile.LargeZipFile,
    zlib.error,
    lzma.LZMAError,
    RuntimeError,
    EOFError,
    ValueError,
)
"""What the library raises for a zip that is damaged."""
_SHAPEFILE_PARTS = (".shx", ".dbf", ".prj", ".cpg")


@dataclass(frozen=True, slots=True)
class Member:
    """A boundary file found in a zip: the name it had there, with its folder if that tells it from others, and where its
    copy is.
    """

    name: str
    path: Path


def boundary_members(archive: Path, folder: Path) -> Iterator[Member]:
    """Copy each boundary file of a zip, with the files that belong to it, into a folder of its own.

    Names in the zip never become paths, except the fixed names of a File Geodatabase's tables; nothing else
    is unpacked.

    Parameters
    ----------
    archive
        The zip file.
    folder
        An empty folder for the copies.

    Raises
    ------
    BoundaryError
        If the zip is broken, locked or over a limit, has names that lead outside it, or has no boundary
        file.
    """
    try:
        with zipfile.ZipFile(archive) as source:
            names = _checked(archive, source)
            number = 0
            labels = _labels(names)
            for name in names:
                suffix = PurePosixPath(name).suffix.lower()
                if name in labels:
                    place = folder / str(number)
                    place.mkdir()
                    for part in _parts(name, names) if suffix == ".shp" else (name,):
                        _copy(source, part, place / f"boundary{PurePosixPath(part).suffix.lower()}")
                    number += 1
                    yield Member(labels[name], place / f"boundary{suffix}")
            for database, members in _geodatabases(names).items():
                place = folder / str(number) / "boundary.gdb"
                place.mkdir(parents=True)
                for name in members:
                    table = PurePosixPath(name.replace("\\", "/")).name
                    if GEODATABASE_MEMBER.fullmatch(table):
                        _copy(source, name, place / table)
                number += 1
                yield Member(PurePosixPath(database).name or archive.stem, place)
            if number == 0:
                raise _nothing_in(archive, names)
    except (*_BROKEN, OSError) as problem:
        if isinstance(problem, OSError) and disk_full(problem):  # where copies are made, not in the zip
            raise
        raise BoundaryError.of("zip-broken", file=str(archive), reason=str(problem)) from None


def _checked(archive: Path, source: zipfile.ZipFile) -> list[str]:
    """Names of the members that count, once their sizes, number and names are found safe."""
    members = source.infolist()
    unpacked = sum(member.file_size for member in members)
    if (
        unpacked > LARGEST_UNPACKED_BYTES
        or len(members) > MAX_ZIP_MEMBERS
        or unpacked > LARGEST_ZIP_RATIO * max(1, archive.stat().st_size)
    ):
        raise BoundaryError.of(
            "zip-too-large", file=str(archive), unpacked_bytes=unpacked, n_files=len(members)
        )
    for member in members:
        name = PurePosixPath(member.filename.replace("\\", "/"))
        if (
            len(member.filename) > LONGEST_MEMBER_NAME
            or ".." in name.parts
            or name.is_absolute()
            or ":" in member.filename
        ):
            raise BoundaryError.of("zip-names", file=str(archive), n_longest=LONGEST_MEMBER_NAME)
        if member.flag_bits & _LOCKED:
            raise BoundaryError.of("zip-locked", file=str(archive))
    names = [member.filename for member in members if not member.is_dir()]
    return [
        name for name in names if "__MACOSX" not in name and not PurePosixPath(name).name.startswith(".")
    ]


def _labels(names: list[str]) -> dict[str, str]:
    """What to call each boundary file: its name, or its path in the zip where another has the same name."""
    paths = {name: PurePosixPath(name.replace("\\", "/")) for name in names}
    files = {name: path for name, path in paths.items() if path.suffix.lower() in (".shp", *_SINGLE)}
    alike = Counter(path.name for path in files.values())
    return {name: str(path) if alike[path.name] > 1 else path.name for name, path in files.items()}


def _parts(shp: str, names: list[str]) -> list[str]:
    """A shapefile's own parts: same folder, same stem, whatever the case of the ending."""
    stem = PurePosixPath(shp).with_suffix("")
    beside = [name for name in names if PurePosixPath(name).suffix.lower() in _SHAPEFILE_PARTS]
    exact = [name for name in beside if PurePosixPath(name).with_suffix("") == stem]
    alike = [
        name for name in beside if str(PurePosixPath(name).with_suffix("")).lower() == str(stem).lower()
    ]
    return [shp, *(exact or alike)]


def _geodatabases(names: list[str]) -> dict[str, list[str]]:
    """Members by the folder of each File Geodatabase, whatever that folder is called."""
    parents = {name: PurePosixPath(name.replace("\\", "/")).parent for name in names}
    folders = {parents[name] for name in names if name.lower().endswith(".gdbtable")}
    found: dict[str, list[str]] = defaultdict(list)
    for name in names:
        if parents[name] in folders:
            found[str(parents[name])].append(name)
    return found


def _copy(source: zipfile.ZipFile, name: str, to: Path) -> None:
    """Copy a member; reading stops at the size that the zip declares for it."""
    with source.open(name) as stream, to.open("wb") as copy:
        shutil.copyfileobj(stream, copy)


def _nothing_in(archive: Path, names: list[str]) -> BoundaryError:
    if any(name.startswith(("xl/", "content.xml")) for name in names):
        return BoundaryError.of("zip-no-boundary/spreadsheet", file=str(archive))
    if any(PurePosixPath(name).name.upper() == "TASKDATA.XML" for name in names):
        return BoundaryError.of("format-unknown/task-data", file=str(archive))
    inner = [name for name in names if name.lower().endswith((".zip", ".kmz", ".shz"))]
    found = tuple(PurePosixPath(name).name for name in names[:8])
    cure = fact("try/unpack", inner=PurePosixPath(inner[0]).name) if inner else None
    return BoundaryError.of(
        "zip-no-boundary" if found else "zip-no-boundary/empty", file=str(archive), held=found, cure=cure
    )
