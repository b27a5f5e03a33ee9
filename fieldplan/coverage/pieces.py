"""The blocks over pieces of the ground inside the headland: straight passes, or passes along guides."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import MultiPoint, MultiPolygon, Polygon

from fieldplan.coverage.contour import Contours
from fieldplan.coverage.drive_time import Surroundings
from fieldplan.coverage.guide import Guide, continued, sides_of
from fieldplan.coverage.guided import Guided, guided_passes, left_by, n_strips, rest_of
from fieldplan.coverage.heading import best_swath_layout
from fieldplan.coverage.laid import Laid, driven_s, least_driven_s, least_s
from fieldplan.coverage.layout import Layout
from fieldplan.coverage.passes import bent_over, block_of
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.coverage.worth import missed_s
from fieldplan.model.coverage import Array
from fieldplan.plane.offsets import polygons_of

N_SETS, N_SETS_DRAWN, N_SETS_CONTOUR = 2, 4, 8
"""So many sets of passes are laid one after the other along sides, along a line that somebody has drawn, and across the
slope: each begins where the one before bends too tight, or leaves the contour."""
_DRAWN_FRAC = 1e-3
"""Bands about curves are drawn that true in area."""


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
    along_sides, most_s
        Whether passes follow curved sides of the ground, where there are any; and the time from which on they are of no
        use over a piece (`Laid.weighed_s`), so that they need not be laid out to their end.
    guides
        Lines that they follow.
    contours
        If given, they keep across the slope.
    """

    along: Array | None = None
    all_round: bool = True
    may_bend: bool = True
    along_sides: bool = False
    most_s: float = math.inf
    guides: tuple[Guide, ...] = ()
    contours: Contours | None = None

    @property
    def guided(self) -> bool:
        """Whether passes may follow a curve."""
        return self.along_sides or bool(self.guides) or self.contours is not None


def blocks_over(
    layout: Layout, pieces: Sequence[Polygon], way: Way, surroundings: Surroundings | None
) -> Laid:
    """The blocks over all pieces that have a pass, numbered from 1.

    Parameters
    ----------
    surroundings
        Where the route comes from and goes to, if the passes come after the headland.
    """
    alone = surroundings if len(pieces) == 1 else None
    laid = [_over(layout, piece, way, alone) for piece in pieces]
    blocks = [block for each in laid for block in each.blocks]
    numbered = [replace(block, block=number) for number, block in enumerate(blocks, start=1)]
    known = [each.known_m2 for each in laid]
    missed_m2 = None if None in known else sum(m2 for m2 in known if m2 is not None)
    return Laid(MultiPolygon(pieces), numbered, missed_m2)


def along_sides_s(pieces: Sequence[Polygon], rig: Rig) -> float:
    """About what passes along the sides of pieces are weighed with at least: all ground sown once, strip by strip."""
    each_s = [[_strips_s(piece, side, rig) for side in sides_of(piece, rig)] for piece in pieces]
    return sum(
        min(along_s, default=least_driven_s(piece, rig))
        for along_s, piece in zip(each_s, pieces, strict=True)
    )


def _over(layout: Layout, piece: Polygon, way: Way, surroundings: Surroundings | None) -> Laid:
    """The blocks over one piece."""
    found = _guided(layout, piece, way) if way.guided else None
    return found or _straight(layout, piece, way, surroundings)


def _straight(layout: Layout, piece: Polygon, way: Way, surroundings: Surroundings | None) -> Laid:
    """A block over a piece, with straight passes or passes that bend with narrow ground; none if it has no pass."""
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
        return bent_over(piece, block, site, layout.room)
    return Laid(piece, [block] if len(block.runs) else [])


def _guided(layout: Layout, piece: Polygon, way: Way) -> Laid | None:
    """Blocks over a piece with passes along guides, and over what those leave; ``None`` if there is nothing to follow."""
    if way.guides:
        parts = [
            _along(layout, part, [guide], N_SETS_DRAWN, way.contours)
            for guide, part in _nearest(way.guides, piece)
        ]
        blocks = [block for part in parts if part for block in part.blocks]
        return Laid(piece, blocks) if blocks else None
    if way.contours is not None:
        level = way.contours.guide(piece, layout.site.rig)
        return _along(layout, piece, [level], N_SETS_CONTOUR, way.contours) if level else None
    return _along(layout, piece, sides_of(piece, layout.site.rig), N_SETS, most_s=way.most_s)


def _along(
    layout: Layout,
    piece: Polygon,
    guides: Sequence[Guide],
    n_sets: int,
    contours: Contours | None = None,
    most_s: float = math.inf,
) -> Laid | None:
    """The quickest set of passes along one of these guides, with what is laid out where that set ends; ``None`` if
    passes follow none of them.

    What is weighed with more than a time is not laid out to its end: none of it is left.
    """
    best: Laid | None = None
    over_all: Guided | None = None
    best_s, rig = math.inf, layout.site.rig
    for guide in guides:
        if best is not None and _strips_s(piece, guide, rig) > min(most_s, best_s):
            continue
        guided = guided_passes(0, piece, guide, layout.site, layout.room, contours)
        if guided is None:
            continue
        found = _with_rest(layout, piece, guided, guide, n_sets - 1, contours, min(most_s, best_s))
        if best is None or found.weighed_s(rig) < best_s:
            best, best_s = found, found.weighed_s(rig)
            over_all = guided if guided.over_all and found.blocks else None
    # the ground along its passes takes long to tell: only that of the best set is asked for
    return Laid(piece, [over_all.block], 0.0) if over_all else best


def _strips_s(piece: Polygon, guide: Guide, rig: Rig) -> float:
    """About what passes along a guide are weighed with at least: all ground sown once, strip by strip."""
    return driven_s(piece.area / rig.width_m, n_strips(piece, guide, rig), rig)


def _with_rest(
    layout: Layout,
    piece: Polygon,
    guided: Guided,
    guide: Guide,
    n_sets: int,
    contours: Contours | None,
    most_s: float,
) -> Laid:
    """A set of passes with what is laid out over the ground that it leaves: another set, or straight passes; where it
    leaves none, without the ground along its passes.
    """
    rig, bare = layout.site.rig, guided.bare.runs
    least_m = max(bare.length_m, (1 - _DRAWN_FRAC) * piece.area / rig.width_m)
    if driven_s(least_m, len(bare), rig) > most_s:
        return Laid.nothing(piece)
    first = Laid(piece, [guided.bare], 0.0)
    if guided.over_all:
        return first
    left = left_by(piece, guided.block)
    pieces = rest_of(piece, left, rig.width_m)
    seams_m2 = left.area - sum(rest.area for rest in pieces)
    about_s = first.driven_s(rig) + missed_s(seams_m2, rig) + sum(least_s(rest, rig) for rest in pieces)
    rests = list[Laid]()
    for rest in pieces:
        if about_s > most_s:
            return Laid.nothing(piece)
        rests.append(_over_rest(layout, rest, guide, n_sets, contours))
        about_s += rests[-1].weighed_s(rig) - least_s(rest, rig)
    blocks = [guided.block, *(block for rest in rests for block in rest.blocks)]
    sown_m2 = sum(rest.ground.area - rest.missed_m2 for rest in rests)
    return Laid(piece, blocks, max(0.0, left.area - sown_m2))


def _over_rest(layout: Layout, rest: Polygon, guide: Guide, n_sets: int, contours: Contours | None) -> Laid:
    """What is laid out over a piece of ground beyond a set of passes."""
    rig, straight = layout.site.rig, _straight(layout, rest, Way(), None)
    guides = _guides_beyond(guide, rest, rig, contours) if n_sets > 0 else []
    most_s = straight.weighed_s(rig) if contours is None else math.inf
    another = _along(layout, rest, guides, n_sets, contours, most_s) if guides else None
    if another and (contours is not None or another.weighed_s(rig) < most_s):
        return another
    return straight


def _guides_beyond(guide: Guide, rest: Polygon, rig: Rig, contours: Contours | None) -> list[Guide]:
    """What passes may follow beyond a set: another line of equal height, or sides and a gentler curve."""
    if contours is not None:
        another = contours.guide(rest, rig)
        return [another] if another else []
    gentler = continued(guide, rest, rig)
    return [*sides_of(rest, rig), *([gentler] if gentler else [])]


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
