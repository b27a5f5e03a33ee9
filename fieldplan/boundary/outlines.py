"""The outlines in a layer's geometries: polygons, and lines where they close."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

import shapely
from shapely import GeometryCollection, LineString, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.acreage import distance_m
from fieldplan.boundary.layer import Feature
from fieldplan.boundary.lines import closed, enclosed, ends, gap_m, joined, lines_in
from fieldplan.errors import Problem
from fieldplan.model.notes import Note
from fieldplan.units import shown_distance, shown_place

SAME_GROUND_FRAC = 0.995
_KINDS = {"Point": "points", "MultiPoint": "points", "LineString": "lines", "MultiLineString": "lines", "LinearRing": "lines"}
Placed = tuple[Feature, BaseGeometry]
"""A feature and its geometry in longitude and latitude."""
Open = tuple[Feature, LineString]


@dataclass(slots=True)
class Outlines:
    """What a layer's geometries gave."""

    found: list[tuple[Feature, list[Polygon]]] = field(default_factory=list)
    left_out: Counter[str] = field(default_factory=Counter)
    remarks: list[Note] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def outlines_of(placed: Iterable[Placed], shown: str) -> Outlines:
    """Outlines of a layer.

    Polygons are outlines. So are lines that close, or whose ends are nearer than 5 m and 1 % of their length, or that
    enclose ground by crossing themselves, unless they follow the edge of a polygon. What is left open is left out of a
    layer that has polygons; in a layer without, lines of several features are joined end to end, and one that still
    encloses nothing is a problem.
    """
    result = Outlines()
    lines: list[tuple[Feature, list[LineString]]] = []
    for feature, geometry in placed:
        polygons, own_lines = polygons_in(geometry), lines_in(geometry)
        if polygons:
            result.found.append((feature, polygons))
            other = _other_parts(geometry)
            if other:
                result.left_out[f"{other} beside a polygon in one feature"] += 1
        elif own_lines:
            lines.append((feature, own_lines))
        else:
            result.left_out["without geometry" if geometry.is_empty else "points"] += 1
    has_polygons = bool(result.found)
    still_open = _lines_taken(lines, result)
    if has_polygons and still_open:
        result.left_out["lines that do not close"] += len(still_open)
    elif still_open:
        _outline_together(still_open, result, shown)
    return result


def polygons_in(geometry: BaseGeometry) -> list[Polygon]:
    """Every polygon in a geometry, however nested."""
    if isinstance(geometry, Polygon):
        return [] if geometry.is_empty else [geometry]
    if hasattr(geometry, "geoms"):
        return [polygon for part in geometry.geoms for polygon in polygons_in(part)]
    return []


def point_in(ground: BaseGeometry) -> tuple[float, float]:
    """A place on the ground, as longitude and latitude."""
    point: Point = ground.representative_point()
    return float(point.x), float(point.y)


def _other_parts(geometry: BaseGeometry) -> str:
    """What else stands in a feature that has polygons."""
    if not isinstance(geometry, GeometryCollection):
        return ""
    kinds = {_KINDS[part.geom_type] for part in geometry.geoms if part.geom_type in _KINDS}
    return " and ".join(sorted(kinds))


def _lines_taken(lines: list[tuple[Feature, list[LineString]]], result: Outlines) -> list[Open]:
    """Make outlines of features' own lines, but for those that follow an outline there is already; what stays open comes back."""
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
            result.left_out["lines that follow a polygon"] += 1
        else:
            result.found.append((feature, polygons))
    return [(feature, line) for feature, _, _, still_open in made for line in still_open]


def _outline(parts: list[LineString]) -> tuple[list[Polygon], list[Note], list[LineString]]:
    """The outlines that one feature's lines make, what is to be said of them, and what stays open."""
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


def _outline_together(still_open: list[Open], result: Outlines, shown: str) -> None:
    """Make outlines of the lines of several features, and say of those that enclose nothing where they end."""
    whole = joined([line for _, line in still_open])
    if len(whole) < len(still_open):
        text, values = "{n_lines} lines were joined end to end to {n_left}.", {"n_lines": len(still_open), "n_left": len(whole)}
        result.remarks.append(Note(code="lines-joined", told=text, values=values))
    grounds = [(line, closed(line)) for line in whole]
    polygons = [ground for _, ground in grounds if ground is not None]
    cells, loose = enclosed([line for line, ground in grounds if ground is None])
    result.remarks += [_enclosing(cell) for cell in cells]
    for polygon in (*polygons, *cells):
        owner, _ = min(still_open, key=lambda one: one[1].distance(polygon.exterior))
        result.found.append((owner, [polygon]))
    result.problems += [_open(line, shown) for line in loose]


def _same_ground(one: MultiPolygon, other: MultiPolygon) -> bool:
    """Whether two outlines are valid and the same ground, as a line along the edge of a polygon is."""
    larger = max(one.area, other.area)
    if min(one.area, other.area) <= SAME_GROUND_FRAC * larger or not (one.is_valid and other.is_valid):
        return False
    return bool(shapely.intersection(one, other).area > SAME_GROUND_FRAC * larger)


def _closing(line: LineString) -> Note:
    start, end = ends(line)
    if start == end:
        return Note(code="line-as-outline", told="A closed line at {line} was taken as outline.", places={"line": start})
    text = "A line was closed over a gap of {gap_m} at {end} and taken as outline."
    return Note(code="line-closed", told=text, values={"gap_m": gap_m(line)}, places={"end": end})


def _enclosing(polygon: Polygon) -> Note:
    return Note(code="lines-enclose", places={"inside": point_in(polygon)}, told=(
        "A line at {inside} crosses or overlaps itself or others: the ground it encloses was taken as outline, loose ends left "
        "out."))  # fmt: skip


def _open(line: LineString, shown: str) -> Problem:
    start, end = ends(line)
    return Problem(
        code="outline-open",
        told=f"{shown}: a line from {shown_place(start)} to {shown_place(end)} does not close: its ends are "
             f"{shown_distance(distance_m(start, end))} apart.",
        told_hint="close the outline where it was drawn, or leave the line out with --where or --skip-bad")  # fmt: skip
