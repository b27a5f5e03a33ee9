"""How much ground is of which kinds, where grounds of several kinds lie over each other."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.kernels.compiled import numbers
from fieldplan.kernels.overlaid import edges_of, overlaid_m2
from fieldplan.model.coverage import Array, IntArray, Lines


@dataclass(frozen=True, slots=True)
class Outlines:
    """The edges of grounds: x and y of both ends, (n, 4), and the kind of the ground to the left of each, (n,)."""

    ends: Array
    kind: IntArray

    @classmethod
    def of(cls, grounds: Polygon | MultiPolygon | Lines, kind: int | IntArray) -> Outlines:
        """Those of one ground or (k,), all of one kind or each of its own; where some of one kind lie over each other
        they count once.
        """
        parts, ground = shapely.get_parts(grounds, return_index=True)
        rings, part = shapely.get_rings(parts, return_index=True)
        points, ring = shapely.get_coordinates(rings, return_index=True)
        ends, of = edges_of(points, ring, part)
        kinds = np.full(np.asarray(grounds).size, kind, dtype=np.int64)
        return cls(ends, kinds[ground[part[of]]])

    @classmethod
    def together(cls, each: Sequence[Outlines]) -> Outlines:
        """All of them; there must be one."""
        return cls(np.concatenate([one.ends for one in each]), np.concatenate([one.kind for one in each]))


@dataclass(frozen=True, slots=True)
class Overlaid:
    """The area of each combination of kinds, (2 ** n,): that with the k-th kind has the k-th bit set.

    Examples
    --------
    >>> field = Outlines.of(shapely.box(0, 0, 100, 50), 0)
    >>> sown = Outlines.of(np.array([shapely.box(-10, 0, 90, 20), shapely.box(-10, 10, 90, 30)]), 1)
    >>> overlaid = Overlaid.of([field, sown], np.array([1.0, 0.0]), 2)
    >>> overlaid.on_m2([1]), overlaid.on_m2([0], but_on=[1])
    (3000.0, 2300.0)
    """

    m2: Array

    @classmethod
    def of(cls, each: Sequence[Outlines], along: Array, n_kinds: int) -> Overlaid:
        """That of outlines; most edges should run along a unit vector, (2,), so that few lie side by side."""
        every = Outlines.together(each)
        return cls(overlaid_m2(numbers(every.ends), every.kind, numbers(along), n_kinds))

    def only_m2(self, *kinds: int) -> float:
        """The area of what is of all of some kinds, and of no others."""
        return float(self.m2[sum(1 << kind for kind in kinds)])

    def on_m2(self, on: Iterable[int], but_on: Iterable[int] = ()) -> float:
        """The area of what is of one of some kinds, or of several of them, and of none of others."""
        some, none = sum(1 << kind for kind in on), sum(1 << kind for kind in but_on)
        each_m2: list[float] = self.m2.tolist()
        return sum(m2 for kinds, m2 in enumerate(each_m2) if kinds & some and not kinds & none)
