"""The blocks over pieces of the ground inside the headland: straight passes, or passes along guides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import MultiPoint, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fieldplan.coverage.contour import Contours
from fieldplan.coverage.drive_time import Surroundings
from fieldplan.coverage.guide import Guide, continued, sides_of
from fieldplan.coverage.guided import guided_block, rest_of
from fieldplan.coverage.heading import best_swath_layout
from fieldplan.coverage.layout import Layout
from fieldplan.coverage.passes import bent_block, block_of, weighed_s
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.coverage import Array, Block
from fieldplan.plane.offsets import polygons_of

N_SETS, N_SETS_DRAWN, N_SETS_CONTOUR = 2, 4, 8
"""So many sets of passes are laid one after the other along sides, along a line that somebody has drawn, and across the
slope: each begins where the one before bends too tight, or leaves the contour."""


@dataclass(frozen=True, kw_only=True)
class Way:
    """How passes run over the ground inside the headland.

    Parameters
    ----------
    along
        The heading asked for as a unit vector, (2,); ``None`` if it is open.
    all_round
        Whether other headings than those of edges may be taken.
    may_bend
        Whether passes may bend with narrow ground.
    along_sides
        Whether passes follow curved sides of the ground, where there are any.
    guides
        Lines that they follow.
    contours
        If given, they keep across the slope.
    """

    along: Array | None = None
    all_round: bool = True
    may_bend: bool = True
    along_sides: bool = False
    guides: tuple[Guide, ...] = ()
    contours: Contours | None = None

    @property
    def guided(self) -> bool:
        """Whether passes may follow a curve."""
        return self.along_sides or bool(self.guides) or self.contours is not None


def blocks_over(
    layout: Layout, pieces: Sequence[Polygon], way: Way, surroundings: Surroundings | None
) -> list[Block]:
    """The blocks over all pieces that have a pass, numbered from 1.

    Parameters
    ----------
    surroundings
        Where the route comes from and goes to, if the passes come after the headland.
    """
    blocks: list[Block] = []
    alone = surroundings if len(pieces) == 1 else None
    for piece in pieces:
        found = _guided(layout, piece, way) if way.guided else []
        if not found:
            straight = _straight(layout, piece, way, alone)
            found = [straight] if len(straight.runs) else []
        blocks += found
    return [replace(block, block=number) for number, block in enumerate(blocks, start=1)]


def _straight(layout: Layout, piece: Polygon, way: Way, surroundings: Surroundings | None) -> Block:
    """One block over a piece, with straight passes or passes that bend with narrow ground; it may have none."""
    site = layout.site
    swath_layout = best_swath_layout(
        piece,
        site.rig,
        way.along,
        surroundings,
        all_round=way.all_round and surroundings is not None and layout.nearly_convex,
        crossed=_crossed(piece, site),
    )
    block = block_of(0, piece, swath_layout, site, layout.room, layout.depths.gone_by)
    if way.along is None and way.may_bend:
        return bent_block(piece, block, site, layout.room)
    return block


def _guided(layout: Layout, piece: Polygon, way: Way) -> list[Block]:
    """Blocks over a piece with passes along guides, and over what those leave; none if there is nothing to follow."""
    if way.guides:
        found = []
        for guide, part in _nearest(way.guides, piece):
            found += _along(layout, part, [guide], N_SETS_DRAWN, way.contours)
        return found
    if way.contours is not None:
        level = way.contours.guide(piece, layout.site.rig)
        return _along(layout, piece, [level], N_SETS_CONTOUR, way.contours) if level else []
    return _along(layout, piece, sides_of(piece, layout.site.rig), N_SETS)


def _along(
    layout: Layout,
    piece: Polygon,
    guides: Sequence[Guide],
    n_sets: int,
    contours: Contours | None = None,
) -> list[Block]:
    """The quickest set of passes along one of these guides, with what is laid out where that set ends."""
    sets = []
    for guide in guides:
        block = guided_block(0, piece, guide, layout.site, layout.room, contours)
        if block is not None:
            sets.append([block, *_over_rest(layout, piece, block, guide, n_sets - 1, contours)])
    if len(sets) < 2:
        return sets[0] if sets else []
    return min(sets, key=lambda blocks: _weighed_s(blocks, piece, layout))


def _over_rest(
    layout: Layout, piece: Polygon, block: Block, guide: Guide, n_sets: int, contours: Contours | None
) -> list[Block]:
    """What is laid out over the ground that a set of passes leaves: another set, or straight passes."""
    found: list[Block] = []
    for rest in rest_of(piece, [block], layout.site.rig.width_m):
        straight = _straight(layout, rest, Way(), None)
        best = [straight] if len(straight.runs) else []
        guides = _guides_beyond(guide, rest, layout.site.rig, contours) if n_sets > 0 else []
        another = _along(layout, rest, guides, n_sets, contours)
        if another and (
            contours is not None or _weighed_s(another, rest, layout) < _weighed_s(best, rest, layout)
        ):
            best = another
        found += best
    return found


def _guides_beyond(guide: Guide, rest: Polygon, rig: Rig, contours: Contours | None) -> list[Guide]:
    """What passes may follow beyond a set: another line of equal height, or sides and a gentler curve."""
    if contours is not None:
        another = contours.guide(rest, rig)
        return [another] if another else []
    gentler = continued(guide, rest, rig)
    return [*sides_of(rest, rig), *([gentler] if gentler else [])]


def _weighed_s(blocks: Sequence[Block], piece: Polygon, layout: Layout) -> float:
    return weighed_over(blocks, piece, layout.site.rig)


def weighed_over(blocks: Sequence[Block], pieces: BaseGeometry, rig: Rig) -> float:
    """About the time of the passes of blocks, and what their seed, and the ground of pieces that they miss, are worth."""
    return weighed_s([block.runs for block in blocks], pieces, rig)


def _nearest(guides: Sequence[Guide], piece: Polygon) -> list[tuple[Guide, Polygon]]:
    """Each guide with the parts of a piece that are nearer to it than to the others."""
    if len(guides) == 1:
        return [(guides[0], piece)]
    count = [len(guide.line.points) for guide in guides]
    points = np.concatenate([guide.line.points for guide in guides])
    cells = shapely.get_parts(shapely.voronoi_polygons(MultiPoint(points), extend_to=piece))
    inside, cell = shapely.STRtree([shapely.Point(point) for point in points]).query(
        cells, predicate="contains"
    )[::-1]
    owner = np.repeat(np.arange(len(guides)), count)
    found = []
    for number, guide in enumerate(guides):
        own = shapely.union_all(cells[cell[owner[inside] == number]])
        parts = polygons_of(shapely.intersection(own, piece)).geoms
        found += [(guide, part) for part in parts if part.area >= 1.0]
    return found


def _crossed(piece: Polygon, site: Site) -> MultiPolygon | None:
    """What of a piece is driven through without sowing it; ``None`` if there is nothing."""
    if site.lifted.is_empty:
        return None
    return polygons_of(shapely.intersection(piece, site.lifted))
