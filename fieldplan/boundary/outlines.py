"""The outlines in a layer's geometries: polygons, and lines where they close."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import GeometryCollection, LineString, MultiLineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.acreage import distance_m
from fieldplan.boundary.layer import Feature
from fieldplan.errors import Problem
from fieldplan.units import shown_distance, shown_place

LARGEST_GAP_M = 5.0
LARGEST_GAP_FRAC = 0.01
"""A line whose ends are nearer than both was driven or drawn to close."""
_JOIN_DEG = 1e-8
"""Ends of lines within about a millimetre are one place."""
_KINDS = {"Point": "points", "MultiPoint": "points", "LineString": "lines", "MultiLineString": "lines", "LinearRing": "lines"}
Placed = tuple[Feature, BaseGeometry]
"""A feature and its geometry in longitude and latitude."""


@dataclass(slots=True)
class Outlines:
    """What a layer's geometries gave."""

    found: list[tuple[Feature, list[Polygon]]] = field(default_factory=list)
    left_out: Counter[str] = field(default_factory=Counter)
    remarks: list[tuple[str, str]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def outlines_of(placed: Iterable[Placed], shown: str) -> Outlines:
    """Outlines of a layer.

    A layer that has polygons gives those; its lines and points are counted as left out. In a layer without, lines are
    outlines if they close, or if their ends are nearer than 5 m and 1 % of their length; the others are joined end to
    end, and the cells that they then enclose are taken. Lines that enclose nothing are a problem.
    """
    result = Outlines()
    placed = list(placed)
    for feature, geometry in placed:
        polygons = polygons_in(geometry)
        if polygons:
            result.found.append((feature, polygons))
            other = _other_parts(geometry)
            if other:
                result.left_out[f"{other} beside a polygon in one feature"] += 1
        elif geometry.is_empty:
            result.left_out["without geometry"] += 1
        elif geometry.geom_type in ("Point", "MultiPoint"):
            result.left_out["points"] += 1
    lines = [(f, _lines_in(g)) for f, g in placed if not polygons_in(g) and _lines_in(g)]
    if result.found and lines:
        result.left_out["lines"] += len(lines)
    elif lines:
        _close(lines, result, shown)
    return result


def polygons_in(geometry: BaseGeometry) -> list[Polygon]:
    """Every polygon in a geometry, however nested."""
    if isinstance(geometry, Polygon):
        return [] if geometry.is_empty else [geometry]
    if hasattr(geometry, "geoms"):
        return [polygon for part in geometry.geoms for polygon in polygons_in(part)]
    return []


def _lines_in(geometry: BaseGeometry) -> list[LineString]:
    if isinstance(geometry, LineString):
        return [] if geometry.is_empty or geometry.length == 0 else [LineString(geometry.coords)]
    if hasattr(geometry, "geoms"):
        return [line for part in geometry.geoms for line in _lines_in(part)]
    return []


def _other_parts(geometry: BaseGeometry) -> str:
    """What else stands in a feature that has polygons."""
    if not isinstance(geometry, GeometryCollection):
        return ""
    kinds = {_KINDS[part.geom_type] for part in geometry.geoms if part.geom_type in _KINDS}
    return " and ".join(sorted(kinds))


def _close(lines: list[tuple[Feature, list[LineString]]], result: Outlines, shown: str) -> None:
    """Make outlines of the lines of a layer that has no polygons."""
    still_open: list[tuple[Feature, LineString]] = []
    for feature, parts in lines:
        polygons = []
        for line in _joined(parts):
            polygon = _closed(line, result)
            if polygon is None:
                still_open.append((feature, line))
            else:
                polygons.append(polygon)
        if polygons:
            result.found.append((feature, polygons))
    if not still_open:
        return
    features, open_lines = zip(*still_open, strict=True)
    joined = _joined(list(open_lines))
    rest = []
    for line in joined:
        polygon = _closed(line, result)
        if polygon is None:
            rest.append(line)
        else:
            owner = next(feature for feature, part in still_open if line.distance(part) < _JOIN_DEG)
            result.found.append((owner, [polygon]))
    if len(joined) < len(open_lines):
        result.remarks.append(("lines-joined", f"{len(open_lines)} lines were joined end to end to {len(joined)}."))
    if rest:
        _enclose(rest, list(features), result, shown)


def _enclose(lines: list[LineString], features: list[Feature], result: Outlines, shown: str) -> None:
    """Take the ground that crossing lines enclose, or say why there is none."""
    cells = shapely.get_parts(shapely.polygonize(list(shapely.get_parts(shapely.unary_union(lines)))))
    if len(cells):
        outline = shapely.union_all(cells)
        result.found.append((features[0], polygons_in(outline)))
        result.remarks.append(("lines-enclose", (
            f"{len(lines)} line(s) cross or overlap: the ground they enclose was taken as outline, loose ends left out.")))  # fmt: skip
        return
    for line in lines:
        start, end = _ends(line)
        result.problems.append(Problem(
            code="outline-open",
            text=f"{shown}: a line from {shown_place(start)} to {shown_place(end)} does not close: its ends are "
                 f"{shown_distance(distance_m(start, end))} apart.",
            hint="close the outline where it was drawn, or leave the line out with --where or --skip-bad"))  # fmt: skip


def _joined(lines: list[LineString]) -> list[LineString]:
    snapped = shapely.set_precision(MultiLineString(lines), _JOIN_DEG, mode="pointwise") if len(lines) > 1 else lines[0]
    return _lines_in(shapely.line_merge(snapped))


def _closed(line: LineString, result: Outlines) -> Polygon | None:
    start, end = _ends(line)
    if len(line.coords) < (4 if start == end else 3):
        return None
    gap_m = distance_m(start, end)
    if gap_m >= LARGEST_GAP_M or gap_m >= LARGEST_GAP_FRAC * _length_m(line):
        return None
    if gap_m > 0:
        result.remarks.append(("line-closed", (
            f"A line was closed over a gap of {shown_distance(gap_m)} at {shown_place(end)} and taken as outline.")))  # fmt: skip
    else:
        result.remarks.append(("line-as-outline", f"A closed line at {shown_place(start)} was taken as outline."))
    return Polygon(line.coords)


def _ends(line: LineString) -> tuple[tuple[float, float], tuple[float, float]]:
    (x0, y0), (x1, y1) = line.coords[0][:2], line.coords[-1][:2]
    return (x0, y0), (x1, y1)


def _length_m(line: LineString) -> float:
    """Length good to a percent, which is all that the gap rule needs."""
    lon, lat = np.asarray(line.coords)[:, :2].T
    east, north = np.diff(lon) * np.cos(np.radians(lat[:-1])), np.diff(lat)
    return float(np.hypot(east, north).sum()) * 111_200.0


def point_in(ground: BaseGeometry) -> tuple[float, float]:
    """A place on the ground, as longitude and latitude."""
    point: Point = ground.representative_point()
    return float(point.x), float(point.y)
