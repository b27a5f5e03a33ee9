"""The passes of a block as stretches that one rule leads through."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from fieldplan.kernels.led import found_next, nearest_line
from fieldplan.model.coverage import Array, Block, IntArray, Leg
from fieldplan.model.sequence import PassesDriven
from fieldplan.plane.frame import Frame
from fieldplan.plane.ragged import begins, ends
from fieldplan.work.folded import folded

NEAR_M = 0.01
"""Places nearer to each other are one."""


@dataclass(frozen=True, slots=True)
class _Passes:
    """Passes as they are driven: their numbers in driving order, (k,), their places among the passes of their block,
    (k,), and where each begins and ends, (k, 2, 2).
    """

    number: IntArray
    nth: IntArray
    ends: Array


class BlockDriven:
    """The passes of one block, and which of them are not sown yet.

    Parameters
    ----------
    block
        The block.
    sowing
        Which sowing it belongs to, from 1.
    frame
        The plane of the route.
    """

    def __init__(self, block: Block, sowing: int, frame: Frame) -> None:
        self._block, self._sowing, self._frame = block, sowing, frame
        first = np.unique(block.pass_of, return_index=True)[1]
        last = np.append(first[1:], len(block.pass_of)) - 1
        self._strip = block.strip[first] - block.strip.min()
        ends_of_runs = block.ends
        self._ends = np.stack([ends_of_runs[first, 0], ends_of_runs[last, 1]], axis=1)
        apart = np.diff(np.unique(self._strip))
        # over narrow ground no strip lies beside another; along an edge or a guide bent ones do
        self._lone = block.bent and bool((apart > 1).all())
        self._along = block.along
        middles = self._ends.mean(axis=1)
        left = np.array([-self._along[1], self._along[0]])
        rising = self._strip @ (middles @ left - (middles @ left).mean()) if len(first) > 1 else 1.0
        self._away = left if rising >= 0 else -left
        self._unsown = np.ones(len(first), dtype=bool)
        self._points, self._run = shapely.get_coordinates(block.runs.lines, return_index=True)

    def stretches(self, legs: Sequence[Leg]) -> Iterator[PassesDriven]:
        """Its passes as far as one rule leads; those of an earlier visit are sown already."""
        driven = self._driven(legs)
        led = found_next(driven.nth, driven.ends, self._ends, self._strip, self._unsown, self._lone, NEAR_M)
        bounds = [0, *(np.flatnonzero(~led) + 1).tolist(), len(driven.nth)]
        for start, end in pairwise(bounds):
            yield self._stretch(driven, start, end)

    def _driven(self, legs: Sequence[Leg]) -> _Passes:
        """The passes in their order; legs of one pass, broken by gaps and stops, are one."""
        lines = np.array([leg.line for leg in legs], dtype=object)
        middles = shapely.get_coordinates(shapely.line_interpolate_point(lines, 0.5, normalized=True))
        run = nearest_line(middles, self._points, self._run)
        number, nth = np.array([leg.number for leg in legs]), self._block.pass_of[run]
        other = (np.diff(number) != 0) | (np.diff(nth) != 0)
        first = np.append(0, np.flatnonzero(other) + 1)
        last = np.append(first[1:], len(legs)) - 1
        points, line_of = shapely.get_coordinates(lines, return_index=True)
        start, end = points[begins(line_of)][first], points[ends(line_of)][last]
        return _Passes(number[first], nth[first], np.stack([start, end], axis=1))

    def _stretch(self, driven: _Passes, since: int, until: int) -> PassesDriven:
        first, start = int(driven.nth[since]), driven.ends[since, 0]
        strip = self._strip[driven.nth[since:until]]
        far = int(self._strip.max())
        low = 2 * strip[0] <= far
        counted = strip if low else far - strip
        # toward the end at which the first pass begins
        away_m = np.hypot(*(self._ends[first] - start).T)
        toward = self._along if away_m[1] < away_m[0] else -self._along
        mates = np.flatnonzero(self._strip == strip[0])
        mates = mates[np.argsort(-(self._ends[mates].mean(axis=1) @ toward), kind="stable")]
        return PassesDriven(
            sowing=self._sowing,
            block=self._block.block,
            first=int(driven.number[since]),
            last=int(driven.number[until - 1]),
            heading_deg=self._block.heading_deg,
            bent=self._lone,
            counted_from_deg=self._true_deg(start, -self._away if low else self._away),
            strip=int(counted[0]) + 1,
            alone=len(self._ends) == 1,
            part=mates.tolist().index(first) + 1,
            n_parts=len(mates),
            start_lonlat=self._frame.point_to_lonlat(*start.tolist()),
            begins_at_deg=self._true_deg(start, toward),
            steps=() if self._lone else folded(np.diff(counted).tolist()),
        )

    def _true_deg(self, at: Array, toward: Array) -> float:
        return self._frame.true_azimuth_deg(tuple(at.tolist()), tuple((at + 50.0 * toward).tolist()))
