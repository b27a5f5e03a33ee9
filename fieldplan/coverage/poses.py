"""Where lines are entered and left, and which way."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString

from fieldplan.model.coverage import Array, Lines
from fieldplan.plane.ragged import begins, ends


def poses(lines: Lines) -> tuple[Array, Array]:
    """Where lines are entered and left, (n, 3) each: x, y and the direction of the first and the last
    step.
    """
    points, of = shapely.get_coordinates(lines, return_index=True)
    first, last = begins(of).nonzero()[0], ends(of).nonzero()[0]
    into, out = points[first + 1] - points[first], points[last] - points[last - 1]
    return (
        np.concatenate([points[first], np.arctan2(into[:, 1:], into[:, :1])], axis=1),
        np.concatenate([points[last], np.arctan2(out[:, 1:], out[:, :1])], axis=1),
    )


def pose_after(line: LineString) -> Array:
    """Where the drill is after a line, (3,): x, y and the direction of its last step."""
    return np.asarray(poses(np.array([line], dtype=object))[1][0])
