"""The guidance line of a block, for handhelds and cab terminals."""

from __future__ import annotations

import math

import shapely

from fieldplan.model.coverage import Array, Block, longest_step
from fieldplan.plane.frame import Frame


def guidance_line(block: Block, frame: Frame) -> Array:
    """A and B of a block: the ends of its longest pass, or of the longest straight part of one where passes bend,
    so that A to B runs along the block's heading.

    Parameters
    ----------
    block
        A block in the plane of its field.
    frame
        That plane.

    Returns
    -------
    ndarray
        Longitude and latitude of A and of B in degrees, (2, 2).
    """
    longest = longest_step(block.runs.lines)
    a, b = shapely.get_coordinates(longest)
    # the pass may be drawn against the heading: then more than 90° lie between the two
    against = math.cos(math.radians(frame.true_azimuth_deg(tuple(a), tuple(b)) - block.heading_deg)) < 0
    return shapely.get_coordinates(frame.to_lonlat(longest))[:: -1 if against else 1]
