"""Files of outlines that lie in the folder of a job whose map is empty, as in a folder that was made by hand."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fieldplan.errors import InputError
from fieldplan.facts import fact
from fieldplan.files import Purpose, content_of, is_there
from fieldplan.web.arrived import LARGEST_DROP_BYTES, Arrived
from fieldplan.web.written import EXCLUSIONS, FIELDS

_OUTLINES = (
    ".shp", ".geojson", ".gpkg", ".kml", ".kmz", ".gml", ".gpx", ".dxf", ".fgb", ".parquet", ".geoparquet", ".zip",
)  # fmt: skip
"""Endings of files that hold outlines and, in the folder of a job, hardly anything else."""
_MOST_LISTED, _MOST_LOOKED_AT = 12, 500
_FILE = Purpose(
    what=fact("called/boundary"), code="file", max_bytes=LARGEST_DROP_BYTES, through_links=False
)


def outlines_beside(folder: Path | None, tables: Mapping[str, Any]) -> tuple[str, ...]:
    """The names of files that may be put on the map, in their order; those that the job names are not among them.

    Parameters
    ----------
    folder
        The folder of the job; ``None`` without one.
    tables
        The tables of its job file, which name files for other purposes.
    """
    if folder is None:
        return ()
    try:
        names = sorted(one.name for one, _ in zip(folder.iterdir(), range(_MOST_LOOKED_AT), strict=False))
    except OSError:
        return ()
    said = repr(tables)
    fitting = [
        name
        for name in names
        if Path(name).suffix.lower() in _OUTLINES
        and name not in (FIELDS, EXCLUSIONS)
        and not name.startswith(".")
        and repr(name) not in said
    ]
    return tuple(name for name in fitting if _is_file(folder / name))[:_MOST_LISTED]


def taken_from(folder: Path, name: str) -> tuple[Arrived, ...]:
    """A file as if it had been dropped, and with a Shapefile all its parts.

    Raises
    ------
    InputError
        If it cannot be read any more, or is too large.
    """
    names = [name]
    if Path(name).suffix.lower() == ".shp":
        names += sorted(
            one.name
            for one in folder.iterdir()
            if one.name != name and one.stem == Path(name).stem and _is_file(one)
        )
    return tuple(Arrived(name=one, content=content_of(folder / one, _FILE)) for one in names)


def _is_file(path: Path) -> bool:
    try:
        return is_there(path, _FILE)
    except InputError:
        return False
