"""Outlines that are drawn wrong → valid ground, or a refusal; both give the acres before and after.

The winding of a ring is never a fault. A part drawn inside another part of the same field is a hole.
Everything else that makes an outline invalid is mended ring by ring. Where that changes the acres by more
than 0.5 %, only the user can know which ground was meant.
"""

from __future__ import annotations

import re

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.boundary.acreage import distance_m, geodesic_area_m2
from fieldplan.boundary.edges import crosses_too_often
from fieldplan.boundary.outlines import point_in, polygons_in
from fieldplan.errors import BoundaryError
from fieldplan.facts import Fact, fact
from fieldplan.model.notes import Note

LARGEST_CHANGE_FRAC = 0.005
MAX_CROSSINGS = 20_000
"""Of a ring with itself. Mending more takes from five seconds to hours."""
MIN_PART_M2 = 1e-3
"""Smaller parts and holes are specks left by an export, not ground."""
_SURELY_GROUND_DEG2 = 1e-8
"""Larger than a speck at any latitude where anything is drilled, so it need not be measured."""
_SAME_PART_FRAC = 0.99
_MIN_SPIKE_M = 0.01
_ON_EDGE_DEG = 1e-8
_REASON = re.compile(r"(?P<what>.*)\[(?P<x>\S+) (?P<y>\S+)\]")


def mended(parts: list[Polygon], field_id: str, *, repair: bool) -> tuple[MultiPolygon, list[Note]]:
    """Valid ground of one field from its polygons as drawn, and the notes about the mending.

    Parameters
    ----------
    parts
        The polygons, in longitude and latitude.
    repair
        Accept repairs that change the acres by more than 0.5 %.

    Raises
    ------
    BoundaryError
        If the outline encloses nothing, is too tangled to mend, or a repair would change its acres by more
        than 0.5 % and ``repair`` is false.
    """
    notes: list[Note] = []
    parts = _holes_reported(parts, field_id, notes)
    whole = MultiPolygon(parts)
    if not whole.is_valid:
        whole = _valid(whole, field_id, notes, repair=repair)
    flat = polygons_in(whole)
    kept = [_without_specks(part) for part in flat if not _speck(part)]
    if not kept:
        raise BoundaryError.of("outline-no-area")
    specks = _n_parts_and_holes(flat) - _n_parts_and_holes(kept)
    if specks:
        notes.append(Note(code="specks-left-out", field_id=field_id, values={"n_specks": specks}))
    return MultiPolygon(kept), notes


def ground_within(parts: list[Polygon]) -> MultiPolygon:
    """The ground of `mended` with ``repair``, without its notes: for an outline that is refused already."""
    whole = MultiPolygon(_holes_reported(parts, "", []))
    if not whole.is_valid:
        whole = _structured(whole)
    kept = [_without_specks(part) for part in polygons_in(whole) if not _speck(part)]
    if not kept:
        raise BoundaryError.of("outline-no-area")
    return MultiPolygon(kept)


def _n_parts_and_holes(polygons: list[Polygon]) -> int:
    return sum(1 + len(polygon.interiors) for polygon in polygons)


def _holes_reported(parts: list[Polygon], field_id: str, notes: list[Note]) -> list[Polygon]:
    """The parts, with those that lie wholly inside another part made holes of it."""
    if len(parts) == 1:
        return parts
    by_size = sorted(parts, key=lambda part: part.area, reverse=True)
    shells = [Polygon(part.exterior) for part in by_size]
    tree = shapely.STRtree(shells)
    area, sound = shapely.area(shells), shapely.is_valid(shells)
    holes: dict[int, list[int]] = {}
    drawn_holes: dict[int, shapely.STRtree] = {}
    reported: set[int] = set()
    for inner, shell in enumerate(shells):
        near = tree.query(shell) if sound[inner] else np.zeros(0, dtype=np.int64)
        near = near[(near < inner) & sound[near] & (area[inner] < _SAME_PART_FRAC * area[near])]
        smallest_first = np.sort(near)[::-1].tolist()
        outer = next((i for i in smallest_first if shells[i].contains(shell)), None)
        if outer is None:
            continue
        if outer not in drawn_holes:
            drawn_holes[outer] = shapely.STRtree([Polygon(hole) for hole in by_size[outer].interiors])
        if outer not in reported and len(drawn_holes[outer].query(shell, predicate="within")) == 0:
            holes.setdefault(outer, []).append(inner)
            reported.add(inner)
    if not holes:
        return parts
    before = sum(geodesic_area_m2(part) for part in parts)
    made = []
    for i, part in enumerate(by_size):
        if i not in reported:
            rings = [by_size[inner].exterior for inner in holes.get(i, [])]
            made.append(Polygon(part.exterior, [*part.interiors, *rings]) if rings else part)
        else:
            made += [Polygon(island) for island in part.interiors]
    after = sum(geodesic_area_m2(part) for part in made)
    cut = [by_size[i] for i in sorted(reported)]
    values = {"n_parts": len(cut), "before_m2": before, "after_m2": after}
    notes.append(
        Note(code="hole-recovered", field_id=field_id, values=values, places={"first": point_in(cut[0])})
    )
    return made


def _valid(whole: MultiPolygon, field_id: str, notes: list[Note], *, repair: bool) -> MultiPolygon:
    fixed = _structured(whole)
    before, after = geodesic_area_m2(whole), geodesic_area_m2(fixed)
    fault, at = _fault(whole, fixed, before, after)
    large = abs(after - before) > LARGEST_CHANGE_FRAC * max(before, after)
    if large and not repair:
        raise BoundaryError.of(
            "outline-invalid", fault=fault, at_lonlat=at, before_m2=before, after_m2=after
        )
    notes.append(
        Note(
            code="outline-repaired" if large else "outline-mended",
            field_id=field_id,
            values={"fault": fault, "before_m2": before, "after_m2": after},
            places={"at": at},
        )
    )
    return fixed


def _structured(whole: MultiPolygon) -> MultiPolygon:
    if any(crosses_too_often(ring, MAX_CROSSINGS) for ring in shapely.get_rings(list(whole.geoms))):
        raise BoundaryError.of("outline-tangled", n_most=MAX_CROSSINGS)
    return MultiPolygon(polygons_in(shapely.make_valid(whole, method="structure", keep_collapsed=False)))


def _fault(
    whole: MultiPolygon, fixed: MultiPolygon, before: float, after: float
) -> tuple[Fact, tuple[float, float]]:
    """What is wrong with an outline, and where."""
    spike_m, tip = _spike(whole, fixed)
    twice = bool(after) and abs(before / after - 2) < LARGEST_CHANGE_FRAC
    if not twice and spike_m > _MIN_SPIKE_M and abs(after - before) <= LARGEST_CHANGE_FRAC * before:
        return fact("outline-fault/spike", spike_m=spike_m), tip
    reason = _REASON.fullmatch(shapely.is_valid_reason(whole))
    at = (float(reason["x"]), float(reason["y"])) if reason else point_in(whole)
    return _kind_of_fault(whole, reason["what"] if reason else "", abs(after - before), twice=twice), at


def _kind_of_fault(whole: MultiPolygon, what: str, change_m2: float, *, twice: bool) -> Fact:
    """The fault by the words that GEOS has for it (``what``)."""
    if twice:
        return fact("outline-fault/traced-twice")
    if what.startswith("Hole lies outside"):
        return fact("outline-fault/hole-outside")
    if "oles" in what:
        return fact("outline-fault/holes-across")
    if len(whole.geoms) > 1 and all(part.is_valid for part in whole.geoms):
        return fact(
            "outline-fault/parts-share-edge" if change_m2 < MIN_PART_M2 else "outline-fault/parts-on-top"
        )
    if what.startswith("Nested shells"):
        return fact("outline-fault/parts-on-top")
    return fact("outline-fault/touches" if what.startswith("Ring") else "outline-fault/crosses")


def _spike(whole: MultiPolygon, fixed: MultiPolygon) -> tuple[float, tuple[float, float]]:
    """How far in m the drawn vertices stick out of the mended ground, and the one that sticks out most."""
    if fixed.is_empty:
        return 0.0, (0.0, 0.0)
    vertices = np.array(shapely.points(shapely.get_coordinates(whole)), dtype=object)
    shapely.prepare(fixed)
    vertices = vertices[~np.asarray(shapely.dwithin(fixed, vertices, _ON_EDGE_DEG), dtype=bool)]
    if len(vertices) == 0:
        return 0.0, (0.0, 0.0)
    away = np.asarray(shapely.distance(vertices, fixed))
    far = int(np.argmax(away))
    _, foot = (shapely.get_coordinates(shapely.shortest_line(vertices[far], fixed))).tolist()
    tip = (float(vertices[far].x), float(vertices[far].y))
    return distance_m(tip, (foot[0], foot[1])), tip


def _speck(polygon: Polygon) -> bool:
    return polygon.area < _SURELY_GROUND_DEG2 and geodesic_area_m2(polygon) < MIN_PART_M2


def _without_specks(polygon: Polygon) -> Polygon:
    holes = [hole for hole in polygon.interiors if not _speck(Polygon(hole))]
    return polygon if len(holes) == len(polygon.interiors) else Polygon(polygon.exterior, holes)
