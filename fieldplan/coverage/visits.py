"""What visiting a block takes, and small blocks that are not worth it."""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from fieldplan.coverage.driven import Driven
from fieldplan.coverage.layout import Layout
from fieldplan.coverage.passes import MIN_PATCH_FRAC
from fieldplan.coverage.route import leg_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.swept import Swept
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.worth import missed_s
from fieldplan.model.coverage import Leg, Sowing

BlockKey = tuple[int, int]
"""The number of a sowing, counted from 1, and of a block in it."""


def visits_s(legs: Sequence[Leg], rig: Rig) -> dict[BlockKey, float]:
    """Time that a route takes for each block beyond the straight way past it.

    A visit lasts from the sown line before the block to the sown line after it. What is left out of the route
    saves less than this where the way past is longer than a straight line.

    Parameters
    ----------
    legs
        All legs of a route in driving order.
    """
    visits: defaultdict[BlockKey, float] = defaultdict(float)
    until_s = [0.0, *itertools.accumulate(leg_s(leg, rig) for leg in legs)]
    sown = [i for i, leg in enumerate(legs) if leg.sown]
    grouped = itertools.groupby(sown, key=lambda i: (legs[i].sowing, legs[i].block))
    groups = [(key, list(each)) for key, each in grouped]
    if not groups:
        return {}
    # the way from the gate and back to it lies before the first group and after the last one
    before = [-1, *(each[-1] for _, each in groups[:-1])]
    after = [*(each[0] for _, each in groups[1:]), len(legs)]
    for (key, _), left, entered in zip(groups, before, after, strict=True):
        if key[1]:
            past_m = _past_m(legs[left + 1 : entered])
            visits[key] += until_s[entered] - until_s[left + 1] - past_m / rig.turn_speed_m_per_s
    return dict(visits)


def without(sowings: Sequence[Sowing], left_out: set[BlockKey]) -> tuple[Sowing, ...]:
    """Sowings without some of their blocks; the others are numbered anew."""
    kept = []
    for nth, sowing in enumerate(sowings, start=1):
        blocks = [block for block in sowing.blocks if (nth, block.block) not in left_out]
        renumbered = tuple(replace(block, block=i) for i, block in enumerate(blocks, start=1))
        kept.append(replace(sowing, blocks=renumbered))
    return tuple(kept)


def without_poor_visits(layout: Layout, driven: Driven) -> Driven:
    """The route without blocks whose visit takes longer than their ground is worth, if it is better; what it
    misses stays within `MIN_PATCH_FRAC` of the ground.
    """
    poor = _poor_visits(layout.site, driven)
    for n_left_out in sorted({len(poor), len(poor) // 2, 1} if poor else (), reverse=True):
        if n_left_out == 0:
            break
        sowings = without(driven.sowings, set(poor[:n_left_out]))
        covered = tuple(Swept(layout.headland, sowing.blocks) for sowing in sowings)
        other = driven.with_less(layout, sowings, covered)
        if other.better_than(driven):
            return min(other, other.anew(layout), key=lambda one: one.total_s)
    return driven


def _poor_visits(site: Site, driven: Driven) -> list[BlockKey]:
    """Blocks that seem not worth their visit, those that lose most first."""
    rig, spare_m2 = site.rig, MIN_PATCH_FRAC * site.ground.area * len(driven.sowings) - driven.missed_m2
    m2 = {
        (nth, block.block): float(block.ground.area)
        for nth, sowing in enumerate(driven.sowings, start=1)
        for block in sowing.blocks
    }
    if not any(block_m2 < spare_m2 for block_m2 in m2.values()):
        return []
    lost_s = {key: taken_s - missed_s(m2[key], rig) for key, taken_s in visits_s(driven.legs, rig).items()}
    poor = []
    for key in sorted(lost_s, key=lambda key: -lost_s[key]):
        if lost_s[key] > 0 and m2[key] < spare_m2:
            poor.append(key)
            spare_m2 -= m2[key]
    return poor


def _past_m(legs: Sequence[Leg]) -> float:
    """How far the end of a stretch of the route is from its start."""
    ends = [shapely.get_point(legs[0].line, 0), shapely.get_point(legs[-1].line, -1)]
    return float(np.hypot(*np.diff(shapely.get_coordinates(ends), axis=0)[0]))
