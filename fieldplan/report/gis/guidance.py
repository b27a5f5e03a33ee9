"""The guidance line of a block, for handhelds and cab terminals."""

from __future__ import annotations

import math

import numpy as np
import shapely

from fieldplan.model.coverage import Array, Block, longest_step
from fieldplan.plane.frame import Frame


def guidance_line(block: Block, frame: Frame) -> Array:
    """The line of a block from A to B: its longest pass, or the longest straight part of one where passes bend
    without a guide, so that A to B runs along the block's heading.

    Parameters
    ----------
    block
        A block in the plane of its field.
    frame
        That plane.

    Returns
    -------
    ndarray
        Longitude and latitude in degrees, (n, 2): of A and of B, or of points from A to B along a curve.
    """
    line = longest_step(block.runs.lines)
    if block.curves:
        curved = block.runs.lines[shapely.get_num_coordinates(block.runs.lines) > 2]
        line = curved[shapely.length(curved).argmax()]
    a, b = shapely.get_coordinates(line)[[0, -1]]
    # the pass may be drawn against the heading: then more than 90° lie between the two
    against = math.cos(math.radians(frame.true_azimuth_deg(tuple(a), tuple(b)) - block.heading_deg)) < 0
    return np.asarray(shapely.get_coordinates(frame.to_lonlat(line))[:: -1 if against else 1])
