"""The outlines in a layer's geometries: polygons, and lines where they close."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

import shapely
from shapely import GeometryCollection, LineString, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.layer import Feature
from fieldplan.boundary.lines import (
    closed,
    enclosed,
    ends,
    gap_m,
    in_gap_m2,
    joined,
    lines_in,
    nearly_closed,
)
from fieldplan.errors import Problem, problem
from fieldplan.facts import Fact, fact
from fieldplan.model.notes import Note

SAME_GROUND_FRAC = 0.995
_POINTS = ("Point", "MultiPoint")
_LINES = ("LineString", "MultiLineString", "LinearRing")
Placed = tuple[Feature, BaseGeometry]
"""A feature and its geometry in longitude and latitude."""
OpenLine = tuple[Feature, LineString]


@dataclass(slots=True)
class Outlines:
    """The outlines of a layer, and what happened to the rest of its geometries.

    Parameters
    ----------
    found
        Features with the polygons of their outlines.
    left_out
        How many features were left out, by the reason.
    """

    found: list[tuple[Feature, list[Polygon]]] = field(default_factory=list)
    left_out: Counter[Fact] = field(default_factory=Counter)
    remarks: list[Note] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def outlines_of(placed: Iterable[Placed]) -> Outlines:
    """The outlines of a layer.

    Polygons are outlines. So are lines that close, lines whose ends are nearer than 5 m and 1 % of their
    length, and lines that enclose ground by crossing themselves, unless they follow the edge of a polygon.
    A line that stays open is left out of a layer that has polygons. In a layer without polygons, lines of
    several features are joined end to end, a line whose gap is small against it is closed with a warning, and
    one that still encloses nothing is a problem.
    """
    result = Outlines()
    lines: list[tuple[Feature, list[LineString]]] = []
    for feature, geometry in placed:
        polygons, drawn_lines = polygons_in(geometry), lines_in(geometry)
        if polygons:
            result.found.append((feature, polygons))
            other = _other_parts(geometry)
            if other is not None:
                result.left_out[other] += 1
        elif drawn_lines:
            lines.append((feature, drawn_lines))
        else:
            result.left_out[fact("left-out/no-geometry" if geometry.is_empty else "left-out/points")] += 1
    has_polygons = bool(result.found)
    still_open = _lines_taken(lines, result)
    if has_polygons and still_open:
        result.left_out[fact("left-out/open-lines")] += len(still_open)
    elif still_open:
        _outline_together(still_open, result)
    return result


def polygons_in(geometry: BaseGeometry) -> list[Polygon]:
    """Every polygon in a geometry, however nested."""
    if isinstance(geometry, Polygon):
        return [] if geometry.is_empty else [geometry]
    if hasattr(geometry, "geoms"):
        return [polygon for part in geometry.geoms for polygon in polygons_in(part)]
    return []


def point_in(ground: BaseGeometry) -> tuple[float, float]:
    """Longitude and latitude of a place that surely lies on the ground."""
    point: Point = ground.representative_point()
    return float(point.x), float(point.y)


def _other_parts(geometry: BaseGeometry) -> Fact | None:
    """What else a feature with polygons has."""
    if not isinstance(geometry, GeometryCollection):
        return None
    kinds = {part.geom_type for part in geometry.geoms}
    lines, points = not kinds.isdisjoint(_LINES), not kinds.isdisjoint(_POINTS)
    if lines and points:
        return fact("left-out/lines-and-points-beside")
    if lines:
        return fact("left-out/lines-beside")
    return fact("left-out/points-beside") if points else None


def _lines_taken(lines: list[tuple[Feature, list[LineString]]], result: Outlines) -> list[OpenLine]:
    """Make outlines of each feature's lines, unless they follow an outline found already.

    Returns the lines that stay open.
    """
    if not lines:
        return []
    made = [(feature, *_outline(parts)) for feature, parts in lines]
    grounds = [MultiPolygon(polygons) for _, polygons in result.found]
    grounds += [MultiPolygon(polygons) for _, polygons, _, _ in made]
    before, tree, followed = len(result.found), shapely.STRtree(grounds), set[int]()
    for i, (feature, polygons, remarks, _) in enumerate(made, start=before):
        result.remarks += remarks
        if not polygons:
            continue
        earlier = [k for k in tree.query(grounds[i]).tolist() if k < i and k not in followed]
        if any(_same_ground(grounds[i], grounds[k]) for k in earlier):
            followed.add(i)
            result.left_out[fact("left-out/following-lines")] += 1
        else:
            result.found.append((feature, polygons))
    return [(feature, line) for feature, _, _, still_open in made for line in still_open]


def _outline(parts: list[LineString]) -> tuple[list[Polygon], list[Note], list[LineString]]:
    """The outlines that one feature's lines make, the notes about them, and the lines that stay open."""
    polygons, remarks, still_open = list[Polygon](), list[Note](), list[LineString]()
    for line in joined(parts):
        polygon = closed(line)
        if polygon is None:
            still_open.append(line)
        else:
            polygons.append(polygon)
            remarks.append(_closing(line))
    if not polygons:
        polygons, still_open = enclosed(still_open)
        remarks = [_enclosing(polygon) for polygon in polygons]
    return polygons, remarks, still_open


def _outline_together(still_open: list[OpenLine], result: Outlines) -> None:
    """Make outlines of the open lines of several features; lines that enclose nothing are problems."""
    whole = joined([line for _, line in still_open])
    if len(whole) < len(still_open):
        result.remarks.append(
            Note(code="lines-joined", values={"n_lines": len(still_open), "n_left": len(whole)})
        )
    grounds = [(line, closed(line)) for line in whole]
    polygons = [ground for _, ground in grounds if ground is not None]
    cells, loose = enclosed([line for line, ground in grounds if ground is None])
    result.remarks += [_enclosing(cell) for cell in cells]
    nearly = [(line, nearly_closed(line)) for line in loose]
    walked = [ground for _, ground in nearly if ground is not None]
    result.remarks += [_closing_widely(line) for line, ground in nearly if ground is not None]
    for polygon in (*polygons, *cells, *walked):
        owner, _ = min(still_open, key=lambda open_line: open_line[1].distance(polygon.exterior))
        result.found.append((owner, [polygon]))
    result.problems += [_open(line) for line, ground in nearly if ground is None]


def _same_ground(first: MultiPolygon, second: MultiPolygon) -> bool:
    """Whether two outlines are valid and the same ground, as a line along the edge of a polygon is."""
    larger = max(first.area, second.area)
    if min(first.area, second.area) <= SAME_GROUND_FRAC * larger or not (
        first.is_valid and second.is_valid
    ):
        return False
    return bool(shapely.intersection(first, second).area > SAME_GROUND_FRAC * larger)


def _closing(line: LineString) -> Note:
    start, end = ends(line)
    if start == end:
        return Note(code="line-as-outline", places={"line": start})
    return Note(code="line-closed", values={"gap_m": gap_m(line)}, places={"end": end})


def _closing_widely(line: LineString) -> Note:
    start, end = ends(line)
    return Note(
        code="line-closed",
        case="wide",
        warning=True,
        values={"gap_m": gap_m(line), "in_gap_m2": in_gap_m2(line)},
        places={"start": start, "end": end},
    )


def _enclosing(polygon: Polygon) -> Note:
    return Note(code="lines-enclose", places={"inside": point_in(polygon)})


def _open(line: LineString) -> Problem:
    start, end = ends(line)
    return problem("outline-open", start_lonlat=start, end_lonlat=end, gap_m=gap_m(line))
