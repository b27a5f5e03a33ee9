"""Ground that two fields of a file share, which would be counted, seeded and paid for twice."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
import shapely
from shapely import MultiPolygon

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.outlines import point_in, polygons_in
from fieldplan.boundary.repair import LARGEST_CHANGE_FRAC, MIN_PART_M2
from fieldplan.errors import Problem, problem
from fieldplan.facts import Value
from fieldplan.model.notes import Note

NOTABLE_M2 = 10.0
MAX_QUESTIONS = 20
_WHOLE_FRAC = 0.995


def without_overlaps(
    grounds: Mapping[str, MultiPolygon], *, repair: bool
) -> tuple[dict[str, MultiPolygon], list[Note], list[Problem]]:
    """Fields without the ground they share, notes about small overlaps, and problems about large ones.

    An overlap is large if it is more than 0.5 % of the smaller field. With ``repair`` the shared ground
    stays with the field that comes first in the file and is cut from the other; a field drawn twice is kept
    once.

    Parameters
    ----------
    grounds
        Outlines in longitude and latitude by field id, in the order of the file.
    repair
        Cut large overlaps instead of reporting them.

    Returns
    -------
    tuple
        The outlines by field id after the cuts; notes; problems, at most `MAX_QUESTIONS` of them.
    """
    left = dict(grounds)
    area_m2: dict[str, float] = {}
    notes: list[Note] = []
    problems: list[Problem] = []
    asked_about: set[str] = set()
    for first, second in _pairs(grounds):
        if (
            first not in left
            or second not in left
            or second in asked_about
            or not left[first].intersects(left[second])
        ):
            continue
        for field_id in (first, second):
            if field_id not in area_m2:
                area_m2[field_id] = geodesic_area_m2(grounds[field_id])
        shared = MultiPolygon(polygons_in(shapely.intersection(left[first], left[second])))
        shared_m2 = geodesic_area_m2(shared)
        if shared_m2 <= LARGEST_CHANGE_FRAC * min(area_m2[first], area_m2[second]):
            if shared_m2 > NOTABLE_M2:
                shared_by: dict[str, Value] = {"shared_m2": shared_m2, "first": first}
                notes.append(Note(code="fields-overlap", case="small", field_id=second, values=shared_by))
        elif repair:
            notes.append(_cut(left, first, second, shared_m2))
        else:
            problems.append(_question(first, second, shared, area_m2))
            asked_about.add(second)
            if len(problems) == MAX_QUESTIONS:
                break
    return left, notes, problems


def _question(first: str, second: str, shared: MultiPolygon, area_m2: Mapping[str, float]) -> Problem:
    shared_m2 = geodesic_area_m2(shared)
    smaller_m2, larger_m2 = sorted((area_m2[first], area_m2[second]))
    same, inside = shared_m2 >= _WHOLE_FRAC * larger_m2, shared_m2 >= _WHOLE_FRAC * smaller_m2
    return problem(
        "fields-overlap/same" if same else "fields-overlap/inside" if inside else "fields-overlap",
        about=f'fields "{first}" and "{second}"',
        shared_m2=shared_m2,
        place_lonlat=point_in(shared),
    )


def _cut(left: dict[str, MultiPolygon], first: str, second: str, shared_m2: float) -> Note:
    """Cut the first field's ground off the second, or take the second out if nothing is left of it."""
    before_m2 = geodesic_area_m2(left[second])
    outside_first = polygons_in(shapely.difference(left[second], left[first]))
    parts = [part for part in outside_first if geodesic_area_m2(part) >= MIN_PART_M2]
    after_m2 = sum(geodesic_area_m2(part) for part in parts)
    if after_m2 <= (1 - _WHOLE_FRAC) * before_m2:
        del left[second]
        return Note(code="field-left-out", field_id=second, values={"shared_m2": shared_m2, "first": first})
    left[second] = MultiPolygon(parts)
    values: dict[str, Value] = {
        "shared_m2": shared_m2,
        "first": first,
        "before_m2": before_m2,
        "after_m2": after_m2,
    }
    return Note(code="field-cut", field_id=second, values=values)


def _pairs(grounds: Mapping[str, MultiPolygon]) -> Iterator[tuple[str, str]]:
    """Pairs of fields whose bounds meet, in file order, one at a time because there may be many."""
    ids = list(grounds)
    drawn = np.array([grounds[field_id] for field_id in ids], dtype=object)
    tree = shapely.STRtree(drawn)
    for second, ground in enumerate(drawn):
        for first in sorted(tree.query(ground).tolist()):
            if first < second:
                yield ids[first], ids[second]
