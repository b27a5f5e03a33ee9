"""Where lines are entered and left, and in which direction."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString

from fieldplan.kernels.segments import poses_of
from fieldplan.model.coverage import Array, IntArray, Lines
from fieldplan.plane.chains import chains_of
from fieldplan.plane.ragged import begins, ends


@dataclass(frozen=True, slots=True)
class BothWays:
    """The poses at which lines are entered and left at their starts and at their ends, (n, 2, 3) each."""

    enter: Array
    leave: Array

    @classmethod
    def of(cls, lines: Lines) -> BothWays:
        """Those of lines that may be driven either way."""
        found = ends_of(lines)
        place, step = found[..., :2], found[..., 2:]
        ahead = np.arctan2(step[..., 1], step[..., 0])
        back_step = 0.0 - step  # as the step of a line turned round: no zero is negative
        back = np.arctan2(back_step[..., 1], back_step[..., 0])
        enter, leave = np.empty((len(place), 2, 3)), np.empty((len(place), 2, 3))
        enter[..., :2], leave[..., :2] = place, place
        enter[:, 0, 2], enter[:, 1, 2] = ahead[:, 0], back[:, 1]
        leave[:, 0, 2], leave[:, 1, 2] = back[:, 0], ahead[:, 1]
        return cls(enter, leave)

    def only(self, which: IntArray) -> BothWays:
        """Those of some lines."""
        return BothWays(self.enter[which], self.leave[which])

    def of_rows(self, first: IntArray, last: IntArray) -> BothWays:
        """Those of rows of lines, (k,), that are driven one after the other."""
        enter, leave = self.enter[first], self.leave[first]
        enter[:, 1], leave[:, 1] = self.enter[last, 1], self.leave[last, 1]
        return BothWays(enter, leave)


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
