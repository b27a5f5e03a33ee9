"""Passes over a block of ground, as swaths in the plane."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.coverage.corridor import is_corridor, passes_beside
from fieldplan.coverage.go_by import NONE, GoneBy
from fieldplan.coverage.guide import sides_of
from fieldplan.coverage.guided import guided_passes
from fieldplan.coverage.heading import SwathLayout, simple_swath_layouts
from fieldplan.coverage.laid import Laid, least_driven_s
from fieldplan.coverage.narrow import is_narrow, passes_along
from fieldplan.coverage.raised import sown_stretches
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.site import Site
from fieldplan.coverage.swept import Swept
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, Block, BoolArray, IntArray, Lines, Swaths, longest_step
from fieldplan.plane.offsets import offset, polygons_of
from fieldplan.plane.strips import Runs

MIN_RUN_M = 1.0
"""A pass shorter than this is none."""
MIN_LEFT_OVER_M = 0.1
"""Ground narrower than this between two swaths is a seam, not a skip to come back for."""
MIN_GAIN_FRAC = 0.2
"""A run over left-over ground must newly sow at least this share of what it drills."""
MIN_PATCH_FRAC = 0.005
"""A patch that is this share of the field is sown however small: as much missed ground would make a note."""
_SAME_M2 = 0.01
"""Strips from either side that sow the same but for this are alike: the first ones are taken."""
MIN_BENT_SAVES_FRAC = 0.1
"""Where straight passes take no more than this share longer than any can, others are not looked for."""
SIDE_BY_SIDE_FRAC = 0.99
"""Parallels of a guide, onto which the rig turns from one to the next, take so much less than is estimated."""
MAX_OUTSIDE_FRAC = 0.02
"""A run over left-over ground may drill at most this share outside the field."""


def block_of(
    number: int,
    ground: Polygon,
    swath_layout: SwathLayout,
    site: Site,
    room: InsideFence,
    gone_by: GoneBy = NONE,
) -> Block:
    """One block with its passes in the order of their strips.

    Passes begin and end where the drill can be turned: short of an edge that it may not cross.

    Parameters
    ----------
    number
        Number of the block, counted from 1.
    ground
        The block in plane meters.
    swath_layout
        Heading and runs of its strips, in axes turned to that heading.
    gone_by
        Obstacles over which the drill is lifted and led round.
    """
    whole = reached(swath_layout, site.rig, room, gone_by)
    runs, of = gone_by.cut(whole, swath_layout.along, site.rig)
    pass_of = np.unique(whole.joined_over(site.rig.lift_over_m)[of], return_inverse=True)[1]
    if not site.lifted.is_empty:
        runs, pass_of = _raised(replace(swath_layout, runs=runs), pass_of, site)
    return Block(
        block=number,
        ground=ground,
        heading_deg=site.heading_deg(swath_layout.along),
        runs=_swaths(replace(swath_layout, runs=runs), site.rig.width_m),
        strip=runs.strip,
        pass_of=pass_of,
    )


def _raised(swath_layout: SwathLayout, pass_of: IntArray, site: Site) -> tuple[Runs, IntArray]:
    """Runs broken over ground that they are driven through, and the pass of each; a pass has those parts
    that it had when whole.
    """
    runs, width_m = swath_layout.runs, site.rig.width_m
    of, from_m, to_m = sown_stretches(_swaths(swath_layout, width_m).lines, site.lifted, width_m)
    start_m = runs.start_m[of]
    broken = Runs(runs.strip[of], start_m + from_m, start_m + to_m, runs.base_m)
    return broken, np.unique(pass_of[of], return_inverse=True)[1]


def reached(swath_layout: SwathLayout, rig: Rig, room: InsideFence, gone_by: GoneBy = NONE) -> Runs:
    """The stretches of the runs of a swath layout along which the drill may be: a run that comes too near to a hard edge
    on its way, or over trees, is two, unless it goes by those. Stretches too short to sow are left out.
    """
    runs, along = swath_layout.runs, swath_layout.along
    middle = (runs.base_m + (runs.strip + 0.5) * rig.width_m)[:, None] * np.array([-along[1], along[0]])
    start, end = (at[:, None] * along + middle for at in (runs.start_m, runs.end_m))
    lines = np.asarray(shapely.linestrings(np.stack([start, end], axis=1)), dtype=object)
    of, since_m, until_m = room.stretches_along(lines, gone_by.zones)
    whole = (since_m == 0.0) & (until_m == shapely.length(lines)[of])
    if len(of) == len(lines) and whole.all():
        return runs
    start_m = runs.start_m[of] + since_m
    end_m = np.where(whole, runs.end_m[of], runs.start_m[of] + until_m)
    kept = end_m - start_m > MIN_RUN_M
    return Runs(runs.strip[of][kept], start_m[kept], end_m[kept], runs.base_m)


def left_over_blocks(
    first_number: int,
    field: MultiPolygon,
    covered: Swept,
    given_up: Lines,
    site: Site,
    room: InsideFence,
) -> list[Block]:
    """Blocks for ground that headland and blocks miss, such as the middle of a neck between two parts.

    A patch smaller than a square of the drill's width stays missed, unless it is `MIN_PATCH_FRAC` of the
    field: coming back for it takes thirty times as long as sowing as much elsewhere. A run is kept only if
    it newly sows `MIN_GAIN_FRAC` of what it drills and has at most `MAX_OUTSIDE_FRAC` outside the field.

    Parameters
    ----------
    first_number
        Number of the first of these blocks.
    field
        Plantable ground in plane meters.
    covered
        What is covered and missed so far.
    given_up
        (n,) grounds that nobody comes back for.
    """
    rig = site.rig
    min_m2 = min(rig.width_m**2, max(MIN_GAIN_FRAC * rig.width_m**2, MIN_PATCH_FRAC * field.area))
    if covered.left_m2 < min_m2:
        return []
    parts = _at_least(min_m2, shapely.get_parts(covered.missed))
    if len(parts) == 0:
        return []
    # overlays take long: only with what is near
    near = given_up[np.unique(shapely.STRtree(given_up).query(parts)[1])]
    parts = _at_least(min_m2, shapely.get_parts(shapely.difference(parts, shapely.union_all(near))))
    if len(parts) == 0:
        return []
    # shrunk here and grown back below: that takes away the seams between swaths
    opened = polygons_of(offset(MultiPolygon(list(parts)), -MIN_LEFT_OVER_M / 2))
    blocks: list[Block] = []
    for core in shapely.get_parts(opened):
        patch = offset(core, MIN_LEFT_OVER_M / 2)
        if not isinstance(patch, Polygon) or patch.area < min_m2:
            continue
        number = first_number + len(blocks)
        patch_block = _patch_block(number, patch, field, site, room)
        blocks += bent_over(patch, patch_block, site, room).blocks
    return blocks


def bent_over(ground: Polygon, straight: Block, site: Site, room: InsideFence) -> Laid:
    """The block over narrow ground, or over a corridor, with passes that bend with it, if those are better than
    straight ones; else the block with straight ones; none if it has no pass.
    """
    best, rig = Laid(ground, [straight] if len(straight.runs) else []), site.rig
    if straight.n_passes < 2 or not site.lifted.is_empty:
        return best
    bent = [Laid(ground, [block]) for block in _bent(ground, best, site, room) if len(block.runs)]
    best_s = best.weighed_s(rig) if bent else 0.0
    for laid in bent:
        side_by_side = 1.0 if laid.blocks[0].guide is None else SIDE_BY_SIDE_FRAC
        # what is missed takes long to tell
        if side_by_side * laid.driven_s(rig) < best_s:
            about_s = side_by_side * laid.weighed_s(rig)
            if about_s < best_s:
                best, best_s = laid, about_s
    return best


def _bent(ground: Polygon, laid: Laid, site: Site, room: InsideFence) -> list[Block]:
    """Passes that bend with the ground; none where the straight ones that are laid are about as good as any can be."""
    straight, rig = laid.blocks[0], site.rig
    if is_narrow(ground, rig):
        return [_bent_along(straight, passes_along(ground, rig, room), site)]
    if not is_corridor(ground, rig):
        return []
    if laid.driven_s(rig) <= (1 + MIN_BENT_SAVES_FRAC) * least_driven_s(ground, rig):
        return []
    guided = [
        one.block
        for guide in sides_of(ground, rig)
        if (one := guided_passes(straight.block, ground, guide, site, room)) is not None
        if SIDE_BY_SIDE_FRAC * Laid(ground, [one.bare]).driven_s(rig) < laid.weighed_s(rig)
    ]
    return [*guided, *(_bent_along(straight, runs, site) for runs in passes_beside(ground, rig, room))]


def _bent_along(straight: Block, runs: Swaths, site: Site) -> Block:
    """A block with passes that bend in place of its straight ones; it may have none."""
    if not len(runs):
        return replace(straight, runs=runs, strip=straight.strip[:0], pass_of=straight.pass_of[:0])
    a, b = shapely.get_coordinates(longest_step(runs.lines))
    nth = np.arange(len(runs))
    # no strip is next to another, so that each pass is a column of its own
    return replace(
        straight, runs=runs, strip=2 * nth, pass_of=nth, bent=True, heading_deg=site.heading_deg(b - a)
    )


def _at_least(min_m2: float, parts: Lines) -> Lines:
    """The parts that are no smaller."""
    return np.asarray(parts[shapely.area(parts) >= min_m2])


def _patch_block(number: int, patch: Polygon, field: MultiPolygon, site: Site, room: InsideFence) -> Block:
    """The block over a patch, with the runs worth driving alone: strips from the side that newly sows more,
    since those from the other one may lie too near to a fence.
    """
    found: Block | None = None
    most_m2 = -1.0
    for swath_layout in simple_swath_layouts(patch, site.rig):
        block = block_of(number, patch, swath_layout, site, room)
        gain_m2 = shapely.area(shapely.intersection(block.runs.grounds, patch))
        kept = _worth_driving(block.runs, gain_m2, field)
        if gain_m2[kept].sum() > most_m2 + _SAME_M2:
            found, most_m2 = _only(block, kept), gain_m2[kept].sum()
    assert found is not None
    return found


def _only(block: Block, kept: BoolArray) -> Block:
    """A block with some of its runs; its passes are counted anew."""
    pass_of = np.unique(block.pass_of[kept], return_inverse=True)[1]
    return replace(block, runs=block.runs[kept], strip=block.strip[kept], pass_of=pass_of)


def _worth_driving(runs: Swaths, gain_m2: Array, field: MultiPolygon) -> BoolArray:
    """Whether each run, (n,), newly sows enough for what it drills and stays inside the field."""
    drilled_m2 = shapely.area(runs.grounds)
    outside_m2 = shapely.area(shapely.difference(runs.grounds, field))
    return np.asarray(
        (gain_m2 >= MIN_GAIN_FRAC * drilled_m2) & (outside_m2 <= MAX_OUTSIDE_FRAC * drilled_m2)
    )


def _swaths(swath_layout: SwathLayout, width_m: float) -> Swaths:
    """The runs of a swath layout, turned back from the axes of its strips to the plane."""
    runs, along = swath_layout.runs, swath_layout.along
    across = np.array([-along[1], along[0]])
    low_m = runs.base_m + runs.strip * width_m
    start, end = runs.start_m[:, None] * along, runs.end_m[:, None] * along
    low, middle, high = (y[:, None] * across for y in (low_m, low_m + width_m / 2, low_m + width_m))
    lines = shapely.linestrings(np.stack([start + middle, end + middle], axis=1))
    corners = np.stack([start + low, end + low, end + high, start + high], axis=1)
    return Swaths(
        lines=np.asarray(lines, dtype=object),
        grounds=np.asarray(shapely.polygons(corners), dtype=object),
    )
