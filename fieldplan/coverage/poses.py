"""Where lines are entered and left, and in which direction."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString

from fieldplan.kernels.segments import poses_either_way, poses_of
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
        return cls(*poses_either_way(chains_of(lines)))

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
    """Where lines start and end, (n, 2, 2)."""
    points, line_of = shapely.get_coordinates(lines, return_index=True)
    return np.stack([points[begins(line_of)], points[ends(line_of)]], axis=1)


def pose_after(line: LineString) -> Array:
    """The pose in which the drill leaves a line, (3,), as in `poses`."""
    return np.asarray(poses(np.array([line], dtype=object))[1][0])
