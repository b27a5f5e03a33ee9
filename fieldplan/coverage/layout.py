"""What all routes over a field share: the outline that they are laid out on, and the headland."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from fieldplan.coverage.apart import not_within, pockets_of
from fieldplan.coverage.corners import round_corners
from fieldplan.coverage.curved import with_bends
from fieldplan.coverage.drive_line import DriveLine, left_beside
from fieldplan.coverage.drive_time import Surroundings
from fieldplan.coverage.edges import ALONG_EDGE_M, room_m
from fieldplan.coverage.headland import ALWAYS_FOLLOWED_DEG, lay_rounds, turns_deg
from fieldplan.coverage.obstacles import Depths, depths_for
from fieldplan.coverage.poses import poses
from fieldplan.coverage.raised import raised_over
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.sequence import SegmentsInTurn, segments_in_order
from fieldplan.coverage.shortened import shortened
from fieldplan.coverage.site import Site
from fieldplan.coverage.spiral import spiralled
from fieldplan.coverage.stubs import without_stubs
from fieldplan.coverage.swept import HeadlandGround
from fieldplan.coverage.terms import Rig
from fieldplan.errors import PlanError
from fieldplan.model.coverage import Array, HeadlandRound, Lines, Swaths
from fieldplan.plane.offsets import inset, polygons_of

THIN_M = 0.01
"""The layout works on a copy of the outline thinned to this; acres and audit use the full outline."""
MAX_VERTICES = 20_000
"""An outline with more vertices than this is thinned further, up to `MAX_THINNED_M`."""
MAX_THINNED_M = 1.0
MIN_BLOCK_M2 = 1.0
_WINDS_RAD = math.radians(30.0)
"""A segment may bend so far besides, at a corner that the openers follow."""
MAX_HOLES, MAX_PARTS = 250, 1_000
"""More would take minutes to hours: paths are looked for around each hole, and between all parts."""
NEARLY_CONVEX_FRAC, ALMOST_CONVEX_FRAC = 0.98, 0.999
"""Where a field fills so much of its convex hull, headings all round are tried; where it fills almost all of it, whole
routes along some of them.
"""


@dataclass(frozen=True, kw_only=True)
class Layout:
    """A site with its headland, before any pass is laid out.

    Parameters
    ----------
    thinned, thinned_m
        A copy of the ground for the layout, and how far its edge may lie from the full outline.
    around, n_driven_over
        Where to drive: the same with the holes filled in that are too small to go around, and how many
        those are; or the ground within the line that is driven in place of its edge.
    line
        That line, if it is not the edge itself.
    rounds
        The headland rounds.
    headland_first
        Segments of the headland in driving order; ``None`` unless it is sown before the passes.
    depths
        Headland rounds asked for, or those that about the least time is driven with.
    room
        Where the middle of the drill may be while it turns.
    given_up
        (n,) ground about corners of the headland, about obstacles that passes go by, and pockets: nobody comes back
        for it.
    pockets
        Small parts to which no way as wide as the drill needs leads.
    surroundings
        Where the route then comes from before the passes and goes after them; ``None`` as above.
    """

    site: Site
    thinned: MultiPolygon
    thinned_m: float
    around: MultiPolygon
    n_driven_over: int
    depths: Depths
    room: InsideFence
    rounds: tuple[HeadlandRound, ...]
    given_up: Lines
    pockets: MultiPolygon
    headland_first: SegmentsInTurn | None
    surroundings: Surroundings | None
    line: DriveLine | None = None

    @cached_property
    def headland(self) -> HeadlandGround:
        """The field, and the ground that the headland rounds cover."""
        return HeadlandGround.of(self.site.ground, self.rounds, self.given_up)

    @property
    def n_rounds(self) -> int:
        """Headland rounds along the outer edge."""
        return self.depths.n_outer

    @property
    def almost_convex(self) -> bool:
        """Whether the field fills at least `ALMOST_CONVEX_FRAC` of its convex hull."""
        return self._filled_frac >= ALMOST_CONVEX_FRAC

    @property
    def nearly_convex(self) -> bool:
        """Whether it fills at least `NEARLY_CONVEX_FRAC` of it."""
        return self._filled_frac >= NEARLY_CONVEX_FRAC

    @cached_property
    def _filled_frac(self) -> float:
        return float(self.around.area / self.around.convex_hull.area)

    @property
    def mean_width_w(self) -> float:
        """Twice the area over the length of the edges, in drill widths."""
        return float(2 * self.around.area / self.around.length / self.site.rig.width_m)

    @cached_property
    def likely_corners(self) -> Array:
        """Corners of the outline that may stand for the gate, (n, 2)."""
        return self.room.open_to_most(gates_of(self.around))

    def inner(self) -> list[Polygon]:
        """The parts of the ground inside the headland, in plane meters.

        If no round fits and nothing remains inside, the parts of the ground on which one pass fits.
        """
        width_m = self.site.rig.width_m
        parts = [part for part in self.depths.inner(width_m).geoms if part.area >= MIN_BLOCK_M2]
        parts = [part for part in parts if not self.pockets.covers(part)]
        if parts or self.rounds:
            return parts
        return [part for part in self.around.geoms if not inset(part, width_m / 2).is_empty]


def lay_out(site: Site) -> Layout:
    """The outline to drive on and the headland of a site.

    Raises
    ------
    PlanError
        If the ground has more than `MAX_PARTS` parts or `MAX_HOLES` holes to go around: a route over it
        would take more than a minute or so to find.
    """
    thinned, thinned_m = _thinned(site.whole)
    around, n_driven_over = _gone_round(thinned, site.working.smallest_obstacle_m2, site.excluded)
    _refuse_scattered(site.field_id, around)
    hard = None if site.fenced is None else _thinned_to(site.fenced, thinned_m)
    if hard is not None and _open_all_round(thinned, hard, site.rig):
        site = replace(site, rig=replace(site.rig, beyond_edge_m=math.inf))
    sown_over = polygons_of(shapely.difference(around, thinned)) if n_driven_over else None
    room = InsideFence(thinned, site.rig, hard, sown_over)
    if site.working.headland_rounds is None:
        depths = depths_for(around, site.rig, site.along_wanted)
    else:
        depths = Depths.alike(around, site.working.headland_rounds)
    return _laid(site, thinned, thinned_m, around, n_driven_over, room, depths)


def with_rounds(layout: Layout, n_outer: int) -> Layout:
    """The same site with another number of rounds along the edge."""
    depths = depths_for(layout.around, layout.site.rig, layout.site.along_wanted, n_outer)
    return _relaid(layout, layout.around, layout.room, depths, layout.line)


def n_all_rounds(layout: Layout) -> int:
    """How many rounds along the edge leave nothing inside."""
    deepest_m = max(
        shapely.maximum_inscribed_circle(part, tolerance=layout.site.rig.width_m / 8).length
        for part in layout.around.geoms
    )
    return math.ceil(deepest_m / layout.site.rig.width_m)


def all_rounds(layout: Layout) -> Layout:
    """The same site in rounds alone, as far inward as the openers follow them."""
    depths = Depths.alike(layout.around, n_all_rounds(layout))
    every = _relaid(layout, layout.around, layout.room, depths, layout.line)
    tight = [one.round for one in every.rounds if _winds_tight(one, layout.site.rig)]
    if tight:
        depths = Depths.alike(layout.around, min(tight) - 1)
        every = _relaid(layout, layout.around, layout.room, depths, layout.line)
    if not every.site.lifted.is_empty:
        return every
    return _with(every, spiralled(every.rounds, every.site.rig))


def _winds_tight(one: HeadlandRound, rig: Rig) -> bool:
    """Whether a round, from one sharp corner to the next, winds about its middle more tightly than the openers may."""
    lines, n = one.segments.lines, len(one.segments)
    points, line_of = shapely.get_coordinates(lines, return_index=True)
    step = np.diff(points, axis=0)
    inner = (line_of[2:] == line_of[:-2]).nonzero()[0]
    bent_deg = np.bincount(line_of[inner], np.abs(turns_deg(step[inner], step[inner + 1])), minlength=n)
    enter, leave = (np.column_stack([np.cos(pose[:, 2]), np.sin(pose[:, 2])]) for pose in poses(lines))
    joined_deg = np.abs(turns_deg(leave, np.roll(enter, -1, axis=0)))
    on = (joined_deg <= ALWAYS_FOLLOWED_DEG) & (n > 1)
    bent_deg = bent_deg + np.where(on, joined_deg, 0.0)
    stretch_of = np.concatenate([[0], (~on[:-1]).cumsum()])
    if on[-1]:
        stretch_of[stretch_of == stretch_of[-1]] = 0
    length_m = np.bincount(stretch_of, shapely.length(lines))
    bent_rad = np.radians(np.bincount(stretch_of, bent_deg))
    return bool((length_m < rig.sowing_radius_m * (bent_rad - _WINDS_RAD)).any())


def none_gone_by(layout: Layout) -> Layout:
    """The same with rounds about each obstacle that straight passes go by."""
    if not len(layout.depths.gone_by.zones):
        return layout
    depths = Depths.alike(layout.around, layout.n_rounds)
    return _relaid(layout, layout.around, layout.room, depths, layout.line)


def along_line(layout: Layout, line: DriveLine) -> Layout:
    """The same site driven along a line in place of its edge, with the number of rounds that is best there."""
    site, room = layout.site, layout.room
    if site.working.headland_rounds is None:
        depths = depths_for(line.ground, site.rig, site.along_wanted)
    else:
        depths = Depths.alike(line.ground, site.working.headland_rounds)
    if line.outside_m:
        within = shapely.union_all([room.fenced, line.ground])
        room = InsideFence(layout.thinned, site.rig, polygons_of(within), room.sown_over)
    return _relaid(layout, line.ground, room, depths, line)


def _relaid(
    layout: Layout,
    around: MultiPolygon,
    room: InsideFence,
    depths: Depths,
    line: DriveLine | None,
) -> Layout:
    """The site of a layout, laid out anew."""
    laid = _laid(layout.site, layout.thinned, layout.thinned_m, around, layout.n_driven_over, room, depths)
    if line is None:
        return laid
    beside = np.array([left_beside(layout.thinned, line)], dtype=object)
    return replace(laid, line=line, given_up=np.concatenate([laid.given_up, beside]))


def _laid(
    site: Site,
    thinned: MultiPolygon,
    thinned_m: float,
    around: MultiPolygon,
    n_driven_over: int,
    room: InsideFence,
    depths: Depths,
) -> Layout:
    """The headland of a site on its outline to drive on."""
    site = replace(site, rig=replace(site.rig, headland_m=depths.n_outer * site.rig.width_m))
    rig = site.rig
    laid = lay_rounds(depths.grounds(), rig.width_m, rig.follows_bend_deg, rig.sowing_radius_m)
    laid = with_bends(laid, rig)
    pockets = pockets_of(room, site.gate_xy)
    rounded = not_within(pockets, round_corners(laid, site.rig, room))
    rounded = depths.gone_by.cut_rounds(rounded, site.rig.width_m)
    inside = depths.inner(site.rig.width_m)
    rounded = without_stubs(rounded, inside, site.rig, room)
    rounded = shortened(rounded, inside, site.rig, room, site.gate_xy)
    rounds = raised_over(rounded, site.lifted, site.rig.width_m)
    bare = Layout(
        site=site,
        thinned=thinned,
        thinned_m=thinned_m,
        around=around,
        n_driven_over=n_driven_over,
        depths=depths,
        room=room,
        rounds=(),
        given_up=np.concatenate(
            [_given_up(laid, rounded), depths.gone_by.ground_left(site.rig), shapely.get_parts(pockets)]
        ),
        pockets=pockets,
        headland_first=None,
        surroundings=None,
    )
    return _with(bare, rounds)


def _with(layout: Layout, rounds: tuple[HeadlandRound, ...]) -> Layout:
    """The same with other rounds in place of its own."""
    site = layout.site
    if not site.working.headland_first or not rounds:
        # sown last, its order would depend on where the passes end
        return replace(layout, rounds=rounds, headland_first=None, surroundings=None)
    in_order = segments_in_order(rounds, site.gate_xy)
    surroundings = _surroundings(site, layout.around, in_order)
    return replace(layout, rounds=rounds, headland_first=in_order, surroundings=surroundings)


# the library divides by zero where points coincide, and then sees that they do
@np.errstate(divide="ignore", invalid="ignore")
def _thinned_to(ground: MultiPolygon, tolerance_m: float) -> MultiPolygon:
    return polygons_of(shapely.simplify(ground, tolerance_m))


def _open_all_round(ground: MultiPolygon, hard: MultiPolygon, rig: Rig) -> bool:
    """Whether no hard edge is nearer to the ground than any turn swings out."""
    return bool(ground.distance(hard.boundary) > room_m(rig) - ALONG_EDGE_M - MAX_THINNED_M)


def _given_up(laid: Sequence[HeadlandRound], rounds: Sequence[HeadlandRound]) -> Lines:
    """The ground of segments as they were laid that are cut at corners now, or not there, (n,)."""
    kept = set(shapely.to_wkb(Swaths.of(one.segments for one in rounds).lines).tolist())
    all_laid = Swaths.of(one.segments for one in laid)
    cut = np.array([line not in kept for line in shapely.to_wkb(all_laid.lines).tolist()], dtype=bool)
    return np.asarray(all_laid.grounds[cut])


def _refuse_scattered(field_id: str, around: MultiPolygon) -> None:
    """Raise if the ground has too many parts or holes."""
    n_holes, n_parts = sum(len(part.interiors) for part in around.geoms), len(around.geoms)
    if n_holes > MAX_HOLES or n_parts > MAX_PARTS:
        raise PlanError.of(
            "field-scattered",
            about=f'field "{field_id}"',
            n_parts=n_parts,
            n_holes=n_holes,
            n_most_parts=MAX_PARTS,
            n_most_holes=MAX_HOLES,
        )


def _thinned(ground: MultiPolygon) -> tuple[MultiPolygon, float]:
    """A copy for the layout, and how far its edge may lie from that of the full outline.

    One centimeter removes almost every vertex that does not matter; only noisier outlines are thinned
    further.
    """
    thinned, tolerance_m = polygons_of(shapely.simplify(ground, THIN_M)), THIN_M
    while shapely.get_num_coordinates(thinned) > MAX_VERTICES and tolerance_m < MAX_THINNED_M:
        tolerance_m *= 2
        thinned = polygons_of(shapely.simplify(ground, tolerance_m))
    return thinned, tolerance_m


def _gone_round(
    ground: MultiPolygon, smallest_m2: float, excluded: Sequence[MultiPolygon]
) -> tuple[MultiPolygon, int]:
    """The ground with small holes filled in, and how many; holes of excluded ground stay open."""
    if not shapely.get_num_interior_rings(shapely.get_parts(ground)).any():
        return ground, 0
    parts, n_filled = [], 0
    kept_out = MultiPolygon([part for ground_out in excluded for part in ground_out.geoms])
    for part in ground.geoms:
        holes = [
            hole
            for hole in part.interiors
            if Polygon(hole).area >= smallest_m2 or Polygon(hole).intersects(kept_out)
        ]
        n_filled += len(part.interiors) - len(holes)
        parts.append(Polygon(part.exterior, holes))
    return MultiPolygon(parts), n_filled


def _surroundings(site: Site, around: MultiPolygon, headland_first: SegmentsInTurn) -> Surroundings:
    """Where the route comes from before the passes, and goes after them, if the headland is sown first."""
    gate = site.gate_xy
    return Surroundings(
        comes_from=headland_first.leave[-1],
        sowing_starts=headland_first.enter[0, :2],
        gates=gates_of(around) if gate is None else gate[None, :],
    )


def gates_of(ground: MultiPolygon) -> Array:
    """Corners of the outline without its holes, (n, 2): each may be taken as the gate."""
    return shapely.get_coordinates(shapely.get_exterior_ring(shapely.get_parts(ground)))
