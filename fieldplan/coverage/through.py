"""Ground that is driven through with the drill raised, such as a grassed waterway or a lane across a field.

It is not sown, yet no headland is laid along it: passes and headland rounds go on beyond it.
"""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely import MultiPolygon

from fieldplan.plane.offsets import inset, offset, polygons_of

_HAIR_M = 0.01
"""Grounds that touch are joined over this much, so that no gap of rounding remains between them."""
_THIN_M = 1.0
"""Ground narrower than this on which passes could not go on is taken for part of that on which they can."""
_MIN_PIECE_M2 = 1.0


def driven_through(plantable: MultiPolygon, crossable: Sequence[MultiPolygon]) -> MultiPolygon:
    """The parts of crossable ground that have plantable ground on either side.

    Ground along the outer edge of a field or around a pond is none: no pass goes on beyond it.

    Parameters
    ----------
    plantable
        Ground to sow, in plane meters.
    crossable
        Ground in the field that may be crossed with the drill raised.

    Examples
    --------
    >>> fields, lane = MultiPolygon([shapely.box(0, 0, 90, 40), shapely.box(0, 46, 90, 90)]), shapely.box(0, 40, 90, 46)
    >>> along_edge = shapely.box(0, 90, 90, 96)
    >>> driven_through(fields, [MultiPolygon([lane, along_edge])]).bounds
    (0.0, 40.0, 90.0, 46.0)
    """
    whole = shapely.union_all([offset(ground, _HAIR_M) for ground in crossable])
    within = shapely.union_all(list(crossable))
    parts = [polygons_of(shapely.intersection(part, within)) for part in polygons_of(whole).geoms]
    pieces = [piece for part in parts for piece in _between(plantable, part).geoms]
    return MultiPolygon([piece for piece in pieces if piece.area >= _MIN_PIECE_M2])


def _between(plantable: MultiPolygon, part: MultiPolygon) -> MultiPolygon:
    """What a closing of the plantable ground by half the width of the part fills of it."""
    radius_m = shapely.maximum_inscribed_circle(part, _HAIR_M).length + 2 * _HAIR_M
    near = shapely.intersection(plantable, shapely.box(*shapely.buffer(part, 4 * radius_m).bounds))
    filled = inset(offset(near, radius_m), radius_m)
    beside = inset(polygons_of(shapely.difference(part, filled)), _THIN_M / 2)
    return polygons_of(shapely.difference(part, offset(beside, _THIN_M / 2 + _HAIR_M)))


def joined(plantable: MultiPolygon, lifted: MultiPolygon, outline: MultiPolygon) -> MultiPolygon:
    """The plantable ground and what is driven through between, as one; ``outline`` holds both."""
    between = shapely.intersection(offset(lifted, _HAIR_M), outline)
    return polygons_of(shapely.union_all([plantable, between]))
