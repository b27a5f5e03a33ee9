"""A file cut short or changed in a byte is refused, or gives every field that was written, with every hole
and corner of it.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import boundary_builders as s
import pytest
import shapely
from boundary_builders import POND, SQUARE
from shapely import Polygon

from fieldplan.boundary.load import examine
from fieldplan.boundary.terms import ReadingTerms

N = 40
N_CUTS, N_FLIPS = 5, 6
PLACES = [(0.011 * (i % 8), 0.008 * (i // 8)) for i in range(N)]
FIELDS = [
    s.moved(SQUARE.difference(POND) if i % 3 == 0 else SQUARE, *place) for i, place in enumerate(PLACES)
]
RINGS = [list(field.exterior.coords) for field in FIELDS]
TERMS = {"dxf": ReadingTerms(crs="EPSG:4326")}


def _parquet(folder: Path) -> Path:
    s.frame(FIELDS).to_parquet(folder / "a.parquet")
    return folder / "a.parquet"


def _kml(folder: Path) -> Path:
    return s.kml(folder / "a.kml", *[s.kml_ring(Polygon(ring)) for ring in RINGS])


WHOLE: dict[str, Callable[[Path], Path]] = {
    "geojson": lambda f: s.geojson(f / "a.geojson", *FIELDS),
    "gpkg": lambda f: s.vector(f / "a.gpkg", *FIELDS, driver="GPKG"),
    "shp": lambda f: s.shapefile(f / "a.shp", *FIELDS),
    "zip": lambda f: s.zipped(f / "a.zip", {"b.shp": s.shapefile(f / "b.shp", *FIELDS)}),
    "fgb": lambda f: s.vector(f / "a.fgb", *FIELDS, driver="FlatGeobuf"),
    "gml": lambda f: s.vector(f / "a.gml", *FIELDS, driver="GML"),
    "gdb": lambda f: s.vector(f / "a.gdb", *FIELDS, driver="OpenFileGDB"),
    "kml": _kml,
    "kmz": lambda f: s.zipped(f / "a.kmz", {"doc.kml": _kml(f)}),
    "gpx": lambda f: s.gpx(f / "a.gpx", *RINGS),
    "dxf": lambda f: s.dxf(f / "a.dxf", *RINGS),
    "csv": lambda f: s.table(f / "a.csv", *[f"SRID=4326;{field.wkt}" for field in FIELDS]),
    "parquet": _parquet,
}


def _found(path: Path, kind: str) -> tuple[int, int, int, int] | None:
    """Fields, holes, corners, and rings that a changed coordinate opened; or nothing if the file is
    refused.
    """
    found = examine(path, TERMS.get(kind))
    if found.problems:
        return None
    grounds = [field.ground for field in found.fields]
    n_opened = sum(note.code in ("ring-closed", "line-closed") for note in found.notes)
    n_holes = sum(len(part.interiors) for ground in grounds for part in ground.geoms)
    return (
        len(grounds),
        n_holes,
        int(sum(shapely.get_num_coordinates(ground) for ground in grounds)),
        n_opened,
    )


def _parts(path: Path, kind: str) -> list[Path]:
    if kind == "gdb":
        return [path / f"a00000009.{ending}" for ending in ("gdbtable", "gdbtablx")]
    return [path.with_suffix(ending) for ending in (".shp", ".shx", ".dbf")] if kind == "shp" else [path]


@pytest.mark.parametrize("kind", WHOLE)
def test_a_damaged_file_never_loses_a_field_in_silence(kind: str, tmp_path: Path) -> None:
    """Cut at any byte, or with any byte changed."""
    path = WHOLE[kind](tmp_path)
    whole = _found(path, kind)
    assert whole is not None
    assert whole[0] == N
    chance = random.Random(kind)
    for part in _parts(path, kind):
        content = part.read_bytes()
        damaged = [content[: chance.randrange(len(content) // 2, len(content) - 1)] for _ in range(N_CUTS)]
        for _ in range(N_FLIPS):
            at = chance.randrange(len(content))
            damaged.append(
                content[:at] + bytes([content[at] ^ 1 << chance.randrange(8)]) + content[at + 1 :]
            )
        for one in damaged:
            part.write_bytes(one)
            found = _found(path, kind)
            if found is not None:
                assert found[:2] == whole[:2], (part.name, len(one), len(content))
                assert abs(found[2] - whole[2]) <= found[3], (part.name, len(one), len(content))
        part.write_bytes(content)
