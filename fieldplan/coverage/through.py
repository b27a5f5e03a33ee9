"""Ground that is driven through with the drill raised, such as a grassed waterway or a lane across a field.

It is not sown, yet it needs no headland along it: passes and headland rounds go on beyond it.
"""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely import MultiPolygon

from fieldplan.plane.offsets import offset, polygons_of

_HAIR_M = 0.01
"""Grounds that touch are joined over this much, so that no gap of rounding remains between them."""
_MOUTH_W = 4.0
"""Where such ground reaches a hard edge over up to this many of its widths, it is a mouth: it crosses the edge
rather than running along it.
"""
_BESIDE_W = 1.25
"""So many widths from a longer stretch of edge, no pass can go on beyond it."""
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
    pieces = [piece for part in parts if part.area for piece in _between(plantable, part).geoms]
    return MultiPolygon([piece for piece in pieces if piece.area >= _MIN_PIECE_M2])


def _between(plantable: MultiPolygon, part: MultiPolygon) -> MultiPolygon:
    """A part without what lies beside a long stretch of its outline that is not on plantable ground."""
    width_m = 2 * shapely.maximum_inscribed_circle(part, _HAIR_M).length
    edge = shapely.difference(part.boundary, shapely.buffer(plantable, 2 * _HAIR_M))
    stretches = shapely.get_parts(shapely.line_merge(edge))
    long = stretches[shapely.length(stretches) > _MOUTH_W * width_m]
    if not len(long):
        return part
    beside = shapely.buffer(shapely.union_all(long), _BESIDE_W * width_m)
    pieces = polygons_of(shapely.difference(part, beside)).geoms
    return MultiPolygon([piece for piece in pieces if piece.area >= width_m**2])


def joined(plantable: MultiPolygon, lifted: MultiPolygon, outline: MultiPolygon) -> MultiPolygon:
    """The plantable ground and what is driven through between, as one; ``outline`` holds both."""
    between = shapely.intersection(offset(lifted, _HAIR_M), outline)
    return polygons_of(shapely.union_all([plantable, between]))
