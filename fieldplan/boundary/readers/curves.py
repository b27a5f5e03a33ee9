"""Arcs, which become short straight edges: how short, the edges, and the note about it.

A circle of radius r drawn with n chords of angle t = 2π/n encloses (n/2) r² sin t, which is smaller than π
r² by the fraction 1 − sin(t)/t ≈ t²/6: for 1e-5, t = 0.0077 rad = 0.44°. A lens between two arcs of angle T
is flatter: the chords cut off the fraction t²/T² of it, which at a tenth of a degree is under 1e-5 for
every lens with arcs of 32° or more, that is, wider than a seventh of its length.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fieldplan.boundary.layer import MisspelledError
from fieldplan.boundary.reference import MAX_VERTICES
from fieldplan.facts import fact

Place = tuple[float, float]
STEP_DEG = 0.1
"""Angle of an edge on a circle: t²/6 = 5e-7 of the area is lost."""
EDGES_OF_CIRCLE = round(360 / STEP_DEG)
STRAIGHTENED = fact("curves-straightened", n_edges=EDGES_OF_CIRCLE)
CURVED_WKB = (8, 9, 10, 11, 12)
"""Circular string, compound curve, curve polygon, multicurve, multisurface (OGC 06-103r4, table 7)."""


@dataclass(slots=True)
class Arcs:
    """Draws the arcs of one geometry, whose edges it counts: a few bytes can ask for more than fit in memory."""

    n_edges: int = 0

    def along(self, places: Sequence[Place]) -> list[Place]:
        """Positions on a circular string: each arc goes from one place through the next to the one after that.

        Raises
        ------
        MisspelledError
            If so many places make no arcs, one of them is not finite, or the arcs of the geometry take too many edges.
        """
        if len(places) < 3 or len(places) % 2 == 0:
            raise MisspelledError(fact("curve/no-arc", n_points=len(places)))
        if not all(math.isfinite(number) for place in places for number in place):
            raise MisspelledError(fact("wkt/no-place"))
        drawn = list(places[:1])
        for i in range(0, len(places) - 2, 2):
            arc = _arc(*places[i : i + 3])
            self.n_edges += len(arc)
            if self.n_edges > MAX_VERTICES:
                raise MisspelledError(fact("curve/too-many", n_most=MAX_VERTICES))
            drawn += arc
        return drawn


def end_to_end(parts: Sequence[Sequence[Place]]) -> list[Place]:
    """The parts of a compound curve as one line.

    Raises
    ------
    MisspelledError
        If one does not begin where the last ends.
    """
    whole: list[Place] = []
    for part in parts:
        if whole and part and part[0] != whole[-1]:
            raise MisspelledError(fact("curve/apart"))
        whole += part[1:] if whole else part
    return whole


def _arc(a: Place, b: Place, c: Place) -> list[Place]:
    """Positions on the arc from a through b to c, without a; a whole circle if a is c, with b opposite.

    The center is at equal distance from the three, found with a as the origin.
    """
    (bx, by), (cx, cy) = (b[0] - a[0], b[1] - a[1]), (c[0] - a[0], c[1] - a[1])
    twice = 2 * (bx * cy - by * cx)  # four times the area of the triangle; its sign is the direction
    if a == c:
        x, y, angle = bx / 2, by / 2, 2 * math.pi
    elif abs(twice) < 1e-12 * (bx * bx + by * by + cx * cx + cy * cy):
        return [b, c]
    else:
        b2, c2 = bx * bx + by * by, cx * cx + cy * cy
        x, y = (cy * b2 - by * c2) / twice, (bx * c2 - cx * b2) / twice
        turn = (math.atan2(cy - y, cx - x) - math.atan2(-y, -x)) % (2 * math.pi)
        angle = turn if twice > 0 else turn - 2 * math.pi
    n = max(2, math.ceil(abs(math.degrees(angle)) / STEP_DEG))
    at = math.atan2(-y, -x) + np.linspace(0, angle, n + 1)[1:-1]
    radius = math.hypot(x, y)
    xs, ys = a[0] + x + radius * np.cos(at), a[1] + y + radius * np.sin(at)
    return [*zip(xs.tolist(), ys.tolist(), strict=True), c]
