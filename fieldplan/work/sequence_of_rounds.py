"""Headland rounds in the order in which they are driven."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

import numpy as np
import shapely
from shapely import MultiPoint

from fieldplan.kernels.led import nearest_line
from fieldplan.model.coverage import Array, HeadlandRound, Leg
from fieldplan.model.field import Field
from fieldplan.model.sequence import RoundsDriven
from fieldplan.plane.frame import Frame

SET_OUT_M = 30.0
"""Which way a round sets out is read off so much of it."""
HOLE = "hole"
"""What is gone around where the field has a hole and nobody says why."""


def rounds_driven(
    field: Field, rounds: Sequence[HeadlandRound], sowing: int, legs: Sequence[Leg], frame: Frame
) -> Iterator[RoundsDriven]:
    """Rounds one after the other; those that follow on the same edge, one further in, are one.

    Parameters
    ----------
    field
        The field, for why ground within it is left out.
    rounds
        The rounds of the sowing.
    sowing
        Which sowing it is, from 1.
    legs
        Their segments in driving order.
    frame
        The plane of the route.
    """
    points, line = shapely.get_coordinates(
        np.concatenate([one.segments.lines for one in rounds]), return_index=True
    )
    ring_of = np.repeat(np.arange(len(rounds)), [len(one.segments) for one in rounds])
    middles = shapely.line_interpolate_point([leg.line for leg in legs], 0.5, normalized=True)
    ring = ring_of[nearest_line(shapely.get_coordinates(middles), points, line)].tolist()
    so_far: RoundsDriven | None = None
    for which, some in groupby(zip(legs, ring, strict=True), key=lambda one: one[1]):
        one = _driven(field, rounds[which], sowing, [leg for leg, _ in some], frame)
        if so_far is not None and _follows(so_far, one):
            so_far = replace(so_far, rounds=(*so_far.rounds, *one.rounds), last=one.last)
            continue
        if so_far is not None:
            yield so_far
        so_far = one
    if so_far is not None:
        yield so_far


def _follows(before: RoundsDriven, one: RoundsDriven) -> bool:
    return before.around == one.around and abs(one.rounds[0] - before.rounds[-1]) == 1


def _driven(
    field: Field, ring: HeadlandRound, sowing: int, legs: Sequence[Leg], frame: Frame
) -> RoundsDriven:
    points = shapely.get_coordinates([leg.line for leg in legs])
    first = legs[0].line
    ahead = first.interpolate(min(SET_OUT_M, first.length))
    start, middle = (
        tuple(points[0].tolist()),
        tuple(((points.min(axis=0) + points.max(axis=0)) / 2).tolist()),
    )
    return RoundsDriven(
        sowing=sowing,
        rounds=(ring.round,),
        around=_around(field, points, frame) if ring.obstacle else "",
        first=legs[0].number,
        last=legs[-1].number,
        start_lonlat=frame.point_to_lonlat(*start),
        begins_at_deg=frame.true_azimuth_deg(middle, start),
        toward_deg=frame.true_azimuth_deg(start, (ahead.x, ahead.y)),
    )


def _around(field: Field, points: Array, frame: Frame) -> str:
    """Why the ground within a round is left out."""
    within = MultiPoint(points).convex_hull
    inside = (piece for piece in field.excluded if within.intersects(frame.to_plane(piece.ground)))
    return next((piece.reason for piece in inside), HOLE)
