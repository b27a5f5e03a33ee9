"""Where lines are entered and left, and in which direction."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString

from fieldplan.model.coverage import Array, Lines
from fieldplan.plane.ragged import begins, ends


def poses(lines: Lines) -> tuple[Array, Array]:
    """The poses at which lines are entered and left.

    Returns
    -------
    enter, leave
        (n, 3) each: x and y in meters and the angle of the first and of the last step, in radians
        counter-clockwise from +x.
    """
    points, line_of = shapely.get_coordinates(lines, return_index=True)
    first, last = begins(line_of).nonzero()[0], ends(line_of).nonzero()[0]
    into, out = points[first + 1] - points[first], points[last] - points[last - 1]
    return (
        np.concatenate([points[first], np.arctan2(into[:, 1:], into[:, :1])], axis=1),
        np.concatenate([points[last], np.arctan2(out[:, 1:], out[:, :1])], axis=1),
    )


def pose_after(line: LineString) -> Array:
    """The pose in which the drill leaves a line, (3,), as in `poses`."""
    return np.asarray(poses(np.array([line], dtype=object))[1][0])
