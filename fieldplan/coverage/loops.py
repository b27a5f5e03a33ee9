"""Loops: from a line straight on and the other way round, across that line again, onto the next one."""

from __future__ import annotations

import numpy as np

from fieldplan.coverage.handling import PARALLEL
from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.words import tangent_arcs
from fieldplan.model.coverage import Array
from fieldplan.plane.paths import Paths


def loops(leave: Array, enter: Array, radius_m: float) -> Paths:
    """The loop from each pose to another one, (n,): a straight, one arc to the other side, a straight.

    Where two lines cross at a turn of θ, a loop from the crossing and back to it is 2R·tan(θ/2) + (2π − θ)·R long. A
    turn of more arcs may be somewhat shorter, and no less deep.

    Parameters
    ----------
    leave, enter
        (n, 3) poses: x, y in meters and angle counter-clockwise from +x.

    Returns
    -------
    Paths
        Paths of five parts, two of them empty; infinite where lines do not cross, or one reaches past the arc.

    Examples
    --------
    >>> square = loops(np.array([[0, 0, 0]]), np.array([[0, 0, np.pi / 2]]), 6.0)
    >>> round(float(square.length_m[0]), 2)
    40.27
    """
    turns, parts = tangent_arcs(numbers(leave), numbers(enter), radius_m, PARALLEL)
    turn_rad = parts[:, 2] / radius_m
    parts[:, [0, 4]] += 2 * radius_m * np.tan(turn_rad / 2)[:, None]
    parts[:, 2] = radius_m * (2 * np.pi - turn_rad)
    parts[~(parts >= 0).all(axis=1)] = np.inf
    return Paths(leave, radius_m, -turns, parts)
