"""The passes of a block as stretches that one rule leads through."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
import shapely

from fieldplan.model.coverage import Array, Block, Leg
from fieldplan.model.sequence import PassesDriven
from fieldplan.plane.frame import Frame
from fieldplan.work.folded import folded

NEAR_M = 0.01
"""Places nearer to each other are one."""


@dataclass(frozen=True, slots=True)
class _Pass:
    """A pass as it is driven: its number in driving order, its place among the passes of its block, and its ends."""

    number: int
    nth: int
    start: Array
    end: Array


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
        self._ends = np.stack([block.ends[first, 0], block.ends[last, 1]], axis=1)
        apart = np.diff(np.unique(self._strip))
        # over narrow ground no strip lies beside another; along an edge or a guide bent ones do
        self._lone = block.bent and bool((apart > 1).all())
        self._along = block.along
        middles = self._ends.mean(axis=1)
        left = np.array([-self._along[1], self._along[0]])
        rising = self._strip @ (middles @ left - (middles @ left).mean()) if len(first) > 1 else 1.0
        self._away = left if rising >= 0 else -left
        self._unsown = set(range(len(first)))

    def stretches(self, legs: Sequence[Leg]) -> Iterator[PassesDriven]:
        """Its passes as far as one rule leads; those of an earlier visit are sown already."""
        driven = self._driven(legs)
        since = 0
        for k, one in enumerate(driven):
            self._unsown.discard(one.nth)
            if k + 1 == len(driven) or not self._leads(one, driven[k + 1]):
                yield self._stretch(driven[since : k + 1])
                since = k + 1

    def _driven(self, legs: Sequence[Leg]) -> list[_Pass]:
        """The passes in their order; legs of one pass, broken by gaps and stops, are one."""
        middles = np.array([leg.line.interpolate(0.5, normalized=True) for leg in legs])
        run = shapely.STRtree(self._block.runs.lines).nearest(middles)
        found = []
        for (number, nth), some in groupby(
            zip(legs, self._block.pass_of[run].tolist(), strict=True),
            key=lambda one: (one[0].number, one[1]),
        ):
            parts = [leg.line for leg, _ in some]
            ends = shapely.get_coordinates(
                [shapely.get_point(parts[0], 0), shapely.get_point(parts[-1], -1)]
            )
            found.append(_Pass(number, nth, *ends))
        return found

    def _leads(self, here: _Pass, there: _Pass) -> bool:
        """Whether a driver at the end of a pass who is told the next strip finds the next pass there."""
        open_to = [nth for nth in self._unsown if self._lone or self._strip[nth] == self._strip[there.nth]]
        away = np.hypot(*(self._ends[open_to] - here.end).transpose(2, 0, 1))
        which, end = np.unravel_index(away.argmin(), away.shape)
        entered = self._ends[open_to[which], end]
        return bool(open_to[which] == there.nth and np.hypot(*(entered - there.start)) < NEAR_M)

    def _stretch(self, driven: Sequence[_Pass]) -> PassesDriven:
        first, strip = driven[0], self._strip[[one.nth for one in driven]]
        far = int(self._strip.max())
        low = 2 * strip[0] <= far
        counted = strip if low else far - strip
        # toward the end at which the first pass begins
        ends = self._ends[first.nth]
        begins = (
            self._along
            if np.hypot(*(ends[1] - first.start)) < np.hypot(*(ends[0] - first.start))
            else -self._along
        )
        mates = np.flatnonzero(self._strip == strip[0])
        mates = mates[np.argsort(-(self._ends[mates].mean(axis=1) @ begins), kind="stable")]
        return PassesDriven(
            sowing=self._sowing,
            block=self._block.block,
            first=first.number,
            last=driven[-1].number,
            heading_deg=self._block.heading_deg,
            bent=self._lone,
            counted_from_deg=self._true_deg(first.start, -self._away if low else self._away),
            strip=int(counted[0]) + 1,
            alone=len(self._ends) == 1,
            part=mates.tolist().index(first.nth) + 1,
            n_parts=len(mates),
            start_lonlat=self._frame.point_to_lonlat(*first.start.tolist()),
            begins_at_deg=self._true_deg(first.start, begins),
            steps=() if self._lone else folded(np.diff(counted).tolist()),
        )

    def _true_deg(self, at: Array, toward: Array) -> float:
        return self._frame.true_azimuth_deg(tuple(at.tolist()), tuple((at + 50.0 * toward).tolist()))
