"""Boundary files as strangers bring them, written from scratch: every place and name is invented."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import geopandas
import numpy as np
import shapely
from pyproj import Transformer
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

WEST, SOUTH = -95.70, 44.20
SIDE_LON, SIDE_LAT = 0.010, 0.007
"""About 800 m by 780 m."""
SQUARE = Polygon(
    [(WEST, SOUTH), (WEST + SIDE_LON, SOUTH), (WEST + SIDE_LON, SOUTH + SIDE_LAT), (WEST, SOUTH + SIDE_LAT)]
)
POND = Polygon(
    [(WEST + x, SOUTH + y) for x, y in ((0.003, 0.002), (0.006, 0.002), (0.006, 0.004), (0.003, 0.004))]
)


def moved(shape: BaseGeometry, east: float, north: float = 0.0) -> BaseGeometry:
    """The shape some degrees further east and north."""
    return shapely.transform(shape, lambda xy: np.add(xy, [east, north]))


def in_crs(shape: BaseGeometry, code: int | str) -> BaseGeometry:
    """The shape's vertices in another reference system."""
    turn = Transformer.from_crs(4326, code, always_xy=True).transform
    return shapely.transform(
        shape, lambda xy: shapely.get_coordinates(shapely.points(*turn(xy[:, 0], xy[:, 1])))
    )


def frame(
    shapes: Sequence[BaseGeometry], crs: Any = 4326, **columns: Sequence[Any]
) -> geopandas.GeoDataFrame:
    """Shapes with a name each, and other columns."""
    names = columns.pop("name", None) or [f"north {i}" for i in range(1, len(shapes) + 1)]
    return geopandas.GeoDataFrame({"name": names, **columns}, geometry=list(shapes), crs=crs)


def geojson(path: Path, *geometries: Any, **members: Any) -> Path:
    """GeoJSON of geometries given as shapes or as GeoJSON spells them; ``properties`` is shared, the rest
    are members.
    """
    properties = members.pop("properties", {})
    features = [
        {
            "type": "Feature",
            "properties": {"name": f"north {i}", **properties},
            "geometry": shapely.geometry.mapping(g) if isinstance(g, BaseGeometry) else g,
        }
        for i, g in enumerate(geometries, start=1)
    ]
    path.write_text(
        json.dumps({"type": "FeatureCollection", **members, "features": features}), encoding="utf-8"
    )
    return path


def shapefile(
    path: Path, *shapes: BaseGeometry, crs: Any = 4326, without: Sequence[str] = (), **columns: Any
) -> Path:
    """A Shapefile, less some of its parts."""
    frame(shapes, crs, **columns).to_file(path, driver="ESRI Shapefile")
    for ending in without:
        path.with_suffix(ending).unlink()
    return path


def vector(
    path: Path,
    *shapes: BaseGeometry,
    driver: str,
    crs: Any = 4326,
    layer: str | None = None,
    **columns: Any,
) -> Path:
    """A file of any format that the geographic library writes."""
    frame(shapes, crs, **columns).to_file(path, driver=driver, layer=layer)
    return path


def kml(path: Path, *coordinates: str, within: str = "Polygon", more: str = "") -> Path:
    """KML of coordinate texts, a placemark each."""
    rings = {
        "Polygon": ("<Polygon><outerBoundaryIs><LinearRing>", "</LinearRing></outerBoundaryIs></Polygon>"),
        "LineString": ("<LineString>", "</LineString>"),
    }
    begin, end = rings[within]
    marks = "".join(
        f"<Placemark><name>north {i}</name>{begin}<coordinates>{text}</coordinates>{end}</Placemark>"
        for i, text in enumerate(coordinates, start=1)
    )
    text = f'<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>{marks}{more}</Document></kml>'
    path.write_text(text, encoding="utf-8")
    return path


def kml_ring(shape: Polygon, *, closed: bool = True) -> str:
    """A ring as KML spells it."""
    ring = list(shape.exterior.coords)
    return " ".join(f"{x},{y},0" for x, y in (ring if closed else ring[:-1]))


def gpx(path: Path, *tracks: Sequence[tuple[float, float]]) -> Path:
    """GPX of tracks, and a waypoint."""
    text = "".join(
        f"<trk><name>drive {i}</name><trkseg>"
        + "".join(f'<trkpt lat="{y}" lon="{x}"/>' for x, y in track)
        + "</trkseg></trk>"
        for i, track in enumerate(tracks, start=1)
    )
    path.write_text(
        '<?xml version="1.0"?><gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1">'
        f'<wpt lat="{SOUTH}" lon="{WEST}"><name>gate</name></wpt>{text}</gpx>',
        encoding="utf-8",
    )
    return path


def dxf(path: Path, *lines: Sequence[tuple[float, float]]) -> Path:
    """DXF of polylines (two points make a line)."""
    rows = ["0", "SECTION", "2", "ENTITIES"]
    for line in lines:
        if len(line) == 2:
            rows += ["0", "LINE", "8", "edge"]
            for n, (x, y) in enumerate(line):
                rows += [f"1{n}", f"{x:.8f}", f"2{n}", f"{y:.8f}"]
        else:
            rows += ["0", "LWPOLYLINE", "8", "edge", "90", str(len(line)), "70", "0"]
            for x, y in line:
                rows += ["10", f"{x:.8f}", "20", f"{y:.8f}"]
    path.write_text("\n".join([*rows, "0", "ENDSEC", "0", "EOF", ""]), encoding="utf-8")
    return path


def table(path: Path, *cells: str, names: Sequence[str] = ()) -> Path:
    """CSV with a column of outlines as WKT."""
    rows = [f'{names[i] if names else f"north {i + 1}"},"{cell}"' for i, cell in enumerate(cells)]
    path.write_text("\n".join(["name,wkt", *rows, ""]), encoding="utf-8")
    return path


def zipped(path: Path, members: dict[str, Path | bytes | str]) -> Path:
    """A zip of files or contents, under names of its own; the parts of a Shapefile come along."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            if isinstance(content, Path) and content.suffix == ".shp":
                for part in sorted(content.parent.glob(f"{content.stem}.*")):
                    archive.write(part, str(Path(name).with_suffix(part.suffix)))
            elif isinstance(content, Path):
                archive.write(content, name)
            else:
                archive.writestr(name, content)
    return path


def swapped(shape: BaseGeometry) -> BaseGeometry:
    """Latitude and longitude the wrong way round."""
    return shapely.transform(shape, lambda xy: xy[:, ::-1])
