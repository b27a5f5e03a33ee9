"""Files that somebody dropped, copied into a private folder under names chosen here: a name from outside is only shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from fieldplan.errors import InputError

MAX_FILES = 64
LARGEST_DROP_BYTES = 64_000_000
"""Of all files of one drop together; a county's parcels are planned from the command line."""
_LONGEST_LABEL = 80
_ENDINGS = (
    ".shp", ".shx", ".dbf", ".prj", ".cpg", ".geojson", ".json", ".gpkg", ".kml", ".kmz", ".gml", ".gpx",
    ".dxf", ".fgb", ".csv", ".parquet", ".geoparquet", ".zip", ".txt",
)  # fmt: skip
_SHAPEFILE = (".shp", ".shx", ".dbf", ".prj", ".cpg")
_DATABASE = (".gdbtable", ".gdbtablx", ".gdbindexes", ".atx", ".spx", ".freelist", ".horizon", ".cdf")
_IN_DATABASE = ("gdb", "timestamps")


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrived:
    """A file as it came: the name it had, which is only shown, and what is in it."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A boundary in the private folder: its file or File Geodatabase, and what the person calls it."""

    label: str
    path: Path

    @property
    def n_bytes(self) -> int:
        """The size of all its files together."""
        parts = self.path.iterdir() if self.path.is_dir() else self.path.parent.iterdir()
        return sum(part.stat().st_size for part in parts)


def sources_in(files: Sequence[Arrived], folder: Path) -> tuple[Source, ...]:
    """Copy dropped files into an empty private folder, those of one boundary together.

    The parts of a Shapefile are one source, and so are the tables of a File Geodatabase; every other file is its own.

    Raises
    ------
    InputError
        If there is none, or too much, or part of a Shapefile came without its ``.shp``.
    """
    if not files:
        raise InputError.of("dropped-nothing")
    if len(files) > MAX_FILES:
        raise InputError.of("dropped-too-many", n_most=MAX_FILES)
    if sum(len(one.content) for one in files) > LARGEST_DROP_BYTES:
        raise InputError.of("dropped-too-large", most_bytes=LARGEST_DROP_BYTES)
    sources: list[Source] = []
    left = list(files)
    database = [one for one in left if _in_database(one.name)]
    if any(_ending(one.name) == ".gdbtable" for one in database):
        left = [one for one in left if not _in_database(one.name)]
        left = [one for one in left if not _lock_of_database(one.name)]
        sources.append(_database(database, folder / "database"))
    shapes = [one for one in left if _ending(one.name) == ".shp"]
    parts = [one for one in left if _ending(one.name) in _SHAPEFILE]
    for number, shape in enumerate(shapes):
        place = folder / f"shape{number}"
        place.mkdir()
        own = [one for one in parts if _stem(one.name) == _stem(shape.name)]
        for part in reversed(own):  # of two of one name the first counts
            (place / f"boundary{_ending(part.name)}").write_bytes(part.content)
        parts = [part for part in parts if part not in own]
        sources.append(Source(label=label_of(shape.name), path=place / "boundary.shp"))
    if parts:
        raise InputError.of("dropped-shp-missing", file=label_of(parts[0].name))
    others = [one for one in left if _ending(one.name) not in (*_SHAPEFILE, *_BESIDE_SHAPEFILE)]
    for number, one in enumerate(others):
        place = folder / f"file{number}"
        place.mkdir()
        path = place / f"boundary{_ending(one.name)}"
        path.write_bytes(one.content)
        sources.append(Source(label=label_of(one.name), path=path))
    if not sources:
        raise InputError.of("dropped-shp-missing", file=label_of(files[0].name))
    return tuple(sources)


_BESIDE_SHAPEFILE = (".sbn", ".sbx", ".qpj", ".qix", ".qmd")
"""What lies beside a Shapefile and is not read."""


def label_of(name: str) -> str:
    """A name from outside as it is shown: its last part, on one line, of a limited length.

    Examples
    --------
    >>> label_of("../../etc/passwd"), label_of("C:\\\\farm\\\\north.shp"), label_of("a\\x00b\\nc.kml")
    ('passwd', 'north.shp', 'abc.kml')
    """
    last = PurePosixPath(name.replace("\\", "/")).name
    shown = "".join(sign for sign in last if sign.isprintable()).strip()
    return shown[:_LONGEST_LABEL] or "file"


def _ending(name: str) -> str:
    """The ending of a name if it is a known one, in small letters; else nothing."""
    ending = PurePosixPath(label_of(name)).suffix.lower()
    return ending if ending in (*_ENDINGS, *_BESIDE_SHAPEFILE, *_DATABASE) else ""


def _stem(name: str) -> str:
    return PurePosixPath(label_of(name)).stem.casefold()


def _in_database(name: str) -> bool:
    return _ending(name) in _DATABASE or label_of(name).lower() in _IN_DATABASE


def _lock_of_database(name: str) -> bool:
    return label_of(name).lower().endswith(".lock")


def _database(files: Sequence[Arrived], place: Path) -> Source:
    """The tables of a File Geodatabase under the fixed names that they have in one."""
    from fieldplan.boundary.guard import GEODATABASE_MEMBER

    folder = place / "boundary.gdb"
    folder.mkdir(parents=True)
    for one in files:
        name = label_of(one.name).lower()
        if GEODATABASE_MEMBER.fullmatch(name) and (name in _IN_DATABASE or name.startswith("a")):
            (folder / name).write_bytes(one.content)
    return Source(label="File Geodatabase", path=folder)
