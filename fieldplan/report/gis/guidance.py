"""The line that a block is steered by, as files for handhelds and cab terminals carry it."""

from __future__ import annotations

import math

import shapely

from fieldplan.model.coverage import Array, Block
from fieldplan.plane.frame import Frame


def guidance_line(block: Block, frame: Frame) -> Array:
    """Longitude and latitude of A and B, (2, 2): the ends of the block's longest pass, from A to B along
    its heading.
    """
    longest = block.runs.lines[shapely.length(block.runs.lines).argmax()]
    a, b = shapely.get_coordinates(longest)
    against = math.cos(math.radians(frame.true_azimuth_deg(tuple(a), tuple(b)) - block.heading_deg)) < 0
    return shapely.get_coordinates(frame.to_lonlat(longest))[:: -1 if against else 1]
