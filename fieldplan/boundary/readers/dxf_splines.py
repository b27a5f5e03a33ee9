"""Splines of a drawing, rewritten as polylines with edges short enough for exact acres.

The library draws eight edges for each control point, which takes over 0.1 % off a circle.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import numpy.typing as npt

from fieldplan.boundary.readers.dxf_scan import EDGES_OF_SPAN, Pair, damaged, pairs_of
from fieldplan.facts import fact

Values = npt.NDArray[np.float64]


def rewrite_splines(path: Path, place: Path) -> None:
    """Copy a drawing with each spline rewritten as a polyline.

    Parameters
    ----------
    path
        The drawing.
    place
        The copy to write.

    Raises
    ------
    BoundaryError
        If a spline lacks control points or knots, or has impossible weights.
    """
    with place.open("w", encoding="latin-1", newline="\n") as copy:
        spline: list[Pair] | None = None
        for code, value, line in pairs_of(path):
            if code == 0 and spline is not None:
                copy.writelines(f"{c}\n{v}\n" for c, v in _polyline(spline, line))
                spline = None
            if code == 0 and value.upper() == "SPLINE":
                spline = []
            elif spline is not None:
                spline.append((code, value))
            else:
                copy.write(f"{code}\n{value}\n")


def _polyline(pairs: list[Pair], line: int) -> Iterator[Pair]:
    places = _drawn(pairs, line)
    flag = int(next((value for code, value in pairs if code == 70), "0"))
    yield 0, "LWPOLYLINE"
    yield from ((code, value) for code, value in pairs if code in (5, 8, 6, 62, 67))
    yield 90, str(len(places))
    yield 70, str(flag & 1)
    for x, y in places.tolist():
        yield 10, repr(x)
        yield 20, repr(y)


def _drawn(pairs: list[Pair], line: int) -> Values:
    """Points along a spline, shape (n, 2), `EDGES_OF_SPAN` on each span between two knots."""
    knots, weights, xs, ys = (
        np.array([float(value) for code, value in pairs if code == wanted]) for wanted in (40, 41, 10, 20)
    )
    degree = int(next((value for code, value in pairs if code == 71), "3"))
    n = len(xs)
    points_fit = 1 <= degree < n == len(ys) and len(weights) in (0, n)
    if not (points_fit and len(knots) == n + degree + 1 and (np.diff(knots) >= 0).all()):
        raise damaged(fact("drawing/spline-points", line=line))
    weights = weights if len(weights) else np.ones(n)
    ends = np.unique(knots[degree : n + 1])
    at = np.unique(
        np.concatenate([np.linspace(a, b, EDGES_OF_SPAN + 1) for a, b in itertools.pairwise(ends)])
    )
    parts = _basis(knots, degree, n, at) * weights
    total = parts.sum(axis=1, keepdims=True)
    if not (total > 0).all():
        raise damaged(fact("drawing/spline-weights", line=line))
    places: Values = (parts / total) @ np.column_stack([xs, ys])
    return places


def _basis(knots: Values, degree: int, n: int, at: Values) -> Values:
    """B-spline basis functions by the recursion of Cox and de Boor.

    N(i, 0) is 1 between knots i and i+1, else 0, and N(i, d) is the sum of
    (t - t_i) / (t_(i+d) - t_i) N(i, d-1) and
    (t_(i+d+1) - t) / (t_(i+d+1) - t_(i+1)) N(i+1, d-1), where a quotient over no width is 0.

    A row for each parameter in ``at``, a column for each of the ``n`` control points.
    """
    last = np.flatnonzero(np.diff(knots[: n + 1]) > 0)[-1]
    basis = ((knots[:-1] <= at[:, None]) & (at[:, None] < knots[1:])).astype(float)
    basis[at >= knots[n]] = 0.0
    basis[at >= knots[n], last] = 1.0  # the end belongs to the last span that has any width
    for d in range(1, degree + 1):
        rise, fall = knots[d:-1] - knots[: -d - 1], knots[d + 1 :] - knots[1:-d]
        up = np.where(rise > 0, (at[:, None] - knots[: -d - 1]) / np.where(rise > 0, rise, 1.0), 0.0)
        down = np.where(fall > 0, (knots[d + 1 :] - at[:, None]) / np.where(fall > 0, fall, 1.0), 0.0)
        basis = up * basis[:, :-1] + down * basis[:, 1:]
    return basis
