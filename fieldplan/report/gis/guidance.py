"""The guidance line of a block, for handhelds and cab terminals."""

from __future__ import annotations

import math

import shapely

from fieldplan.model.coverage import Array, Block
from fieldplan.plane.frame import Frame


def guidance_line(block: Block, frame: Frame) -> Array:
    """A and B of a block: the ends of its longest pass, so that A to B runs along the block's heading.

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
    longest = block.runs.lines[shapely.length(block.runs.lines).argmax()]
    a, b = shapely.get_coordinates(longest)
    # the pass may be drawn against the heading: then more than 90° lie between the two
    against = math.cos(math.radians(frame.true_azimuth_deg(tuple(a), tuple(b)) - block.heading_deg)) < 0
    return shapely.get_coordinates(frame.to_lonlat(longest))[:: -1 if against else 1]
