"""Where lines are entered and left, and in which direction."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString

from fieldplan.kernels.segments import poses_of
from fieldplan.model.coverage import Array, Lines
from fieldplan.plane.chains import chains_of
from fieldplan.plane.ragged import begins, ends


def poses(lines: Lines) -> tuple[Array, Array]:
    """The poses at which lines are entered and left.

    Returns
    -------
    enter, leave
        (n, 3) each: x and y in meters and the angle of the first and of the last step, in radians
        counter-clockwise from +x.
    """
    return poses_of(chains_of(lines))


def ends_of(lines: Lines) -> Array:
    """Where lines start and end, and their first and last steps, (n, 2, 4)."""
    points, line_of = shapely.get_coordinates(lines, return_index=True)
    first, last = begins(line_of).nonzero()[0], ends(line_of).nonzero()[0]
    found = np.empty((len(first), 2, 4))
    found[:, 0, :2], found[:, 1, :2] = points[first], points[last]
    found[:, 0, 2:] = points[first + 1] - found[:, 0, :2]
    found[:, 1, 2:] = found[:, 1, :2] - points[last - 1]
    return found


def pose_after(line: LineString) -> Array:
    """The pose in which the drill leaves a line, (3,), as in `poses`."""
    return np.asarray(poses(np.array([line], dtype=object))[1][0])
