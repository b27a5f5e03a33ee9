"""Passes side by side along a guide: each a true parallel of it, as long as openers can follow."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon

from fieldplan.coverage.contour import Contours
from fieldplan.coverage.guide import Guide, left_of
from fieldplan.coverage.headland import bands_about
from fieldplan.coverage.narrow import reached
from fieldplan.coverage.poses import ends_of
from fieldplan.coverage.raised import sown_stretches
from fieldplan.coverage.room import InsideFence
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.kernels.bands import Bands, Followed, drawn_stretches, followed_stretches
from fieldplan.kernels.compiled import numbers
from fieldplan.model.coverage import Array, Block, BoolArray, IntArray, Lines, Swaths
from fieldplan.plane.offsets import offset, polygons_of
from fieldplan.plane.parallel import SmoothLine
from fieldplan.plane.ragged import begins
from fieldplan.plane.strips import SHORT_M, SLIVER_M, edges_of, passes_of
from fieldplan.plane.travel import stations_m, stretches

_Stretches = tuple[IntArray, Array, Array, Array, bool]
"""The line of each stretch, where on it the stretch starts and ends, and how tight it bends there, (k,) each; and whether
no stretch was left out since it cannot be followed."""
_HAIR_W = 1e-3
MIN_PIECE_W2 = 0.2
"""What a set of passes leaves is a piece of its own if it is no smaller than this, in squares of the drill's width."""
_SEAM_M = 0.1
"""Ground narrower than this beside a set of passes is a seam."""


@dataclass(frozen=True)
class Guided:
    """Passes along a guide, and whether they are known to leave no ground but slivers.

    Parameters
    ----------
    bare
        The block, without the ground that is sown along its passes: to tell that takes long.
    """

    bare: Block
    over_all: bool
    width_m: float

    @cached_property
    def block(self) -> Block:
        """The block with the ground that its passes sow."""
        lines = self.bare.runs.lines
        return replace(self.bare, runs=Swaths(lines=lines, grounds=bands_about(lines, self.width_m)))


def guided_passes(
    number: int,
    ground: Polygon,
    guide: Guide,
    site: Site,
    room: InsideFence,
    contours: Contours | None = None,
) -> Guided | None:
    """Passes along a guide, on as many strips as openers can follow it; ``None`` if that is none.

    The pass on strip k runs (k + ½)·w to the left of the guide's first border. The set of strips ends where a pass
    would have to bend tighter than `Rig.pass_radius_m`, where it would leave the contour, and where there is no ground.

    Parameters
    ----------
    contours
        If given, passes keep across the slope.
    """
    rig, (line, strips) = site.rig, _strips(ground, guide, site.rig)
    lanes = _Lanes.of(line, strips, guide.first_m, rig.width_m)
    lines, strip, least_radius_m, over_all = lanes.over_ground(ground, rig, contours)
    if not site.lifted.is_empty and len(lines):
        of, start_m, end_m = sown_stretches(lines, site.lifted, rig.width_m)
        lines, strip = stretches(lines[of], start_m, end_m), strip[of]
    if not len(lines):
        return None
    met = lines
    lines, which = reached(met, room)
    over_all, strip = over_all and lines is met and site.lifted.is_empty, strip[which]
    if not len(lines):
        return None
    along = LineString(line.points)
    station_m = _stations_m(along, lines)
    order = np.lexsort((station_m[:, 0], strip))
    lines, strip, station_m = lines[order], strip[order], station_m[order]
    block = Block(
        block=number,
        ground=ground,
        heading_deg=site.heading_deg(_main_direction(guide.line)),
        runs=Swaths(lines=lines, grounds=np.zeros(0, dtype=object)),
        strip=strip - strip.min(),
        pass_of=passes_of(strip, station_m[:, 0], station_m[:, 1], rig.lift_over_m),
        bent=True,
        guide=along,
        least_radius_m=least_radius_m,
    )
    return Guided(block, over_all, rig.width_m)


def n_strips(ground: Polygon, guide: Guide, rig: Rig) -> int:
    """How many strips along a guide the ground reaches over, whether or not openers can follow them."""
    return len(_strips(ground, guide, rig)[1])


@lru_cache(maxsize=64)
def _strips(ground: Polygon, guide: Guide, rig: Rig) -> tuple[SmoothLine, IntArray]:
    """The line of a guide, going straight on beyond the ground, and the strips between the places of the ground that are
    farthest to the right and to the left of it.
    """
    points = shapely.get_coordinates(ground)
    across_m = float(np.hypot(*np.ptp(points, axis=0)))
    line = guide.line.lengthened(2 * across_m + 4 * rig.width_m)
    left_m = left_of(line, points) - guide.first_m
    first = math.floor(left_m.min() / rig.width_m + _HAIR_W)
    return line, np.arange(first, math.ceil(left_m.max() / rig.width_m - _HAIR_W))


def left_by(ground: Polygon, block: Block) -> MultiPolygon:
    """The ground that the passes of a block leave."""
    return polygons_of(shapely.difference(ground, shapely.union_all(block.runs.grounds)))


def rest_of(ground: Polygon, left: MultiPolygon, width_m: float) -> list[Polygon]:
    """The pieces of what is left of the ground that are no seams, and large enough."""
    opened = offset(offset(left, -_SEAM_M / 2), _SEAM_M / 2)
    pieces = polygons_of(shapely.intersection(opened, ground)).geoms
    return [piece for piece in pieces if piece.area >= MIN_PIECE_W2 * width_m**2]


@dataclass(frozen=True, slots=True)
class _Lanes:
    """The middle lines of strips along a guide, the number of each, rising, what is to the left of them, and how tight
    they bend at each of their points, (n, points).

    ``points`` are (n, points, 2), ``strip`` (n,) and ``left`` (points, 2).
    """

    points: Array
    strip: IntArray
    left: Array
    radius_m: Array

    @classmethod
    def of(cls, line: SmoothLine, strip: IntArray, first_m: float, width_m: float) -> _Lanes:
        """Strips counted from so far to the left of a line."""
        middle_m = np.asarray(first_m + (strip + 0.5) * width_m, dtype=np.float64)[:, None]
        points = line.points + middle_m[..., None] * line.left
        return cls(points, strip, line.left, line.radius_m(middle_m))

    def over_ground(
        self, ground: Polygon, rig: Rig, contours: Contours | None
    ) -> tuple[Lines, IntArray, float, bool]:
        """The stretches with any ground under the drill, and the strip of each, (k,) both: on the strips from the
        guide as far as openers can follow them; how tight these bend; and whether that is all of them.
        """
        of, start_m, end_m, radius_m, every = self._by_bands(ground, rig) or self._by_overlay(ground, rig)
        runs = _drawn(self.points, of, start_m, end_m)
        if contours is not None and len(runs):
            follows = np.ones(len(self.strip), dtype=bool)
            follows[of[~contours.keeps(runs)]] = False
            kept = self._from_guide(follows)[of]
            of, runs, radius_m, every = of[kept], runs[kept], radius_m[kept], every and bool(kept.all())
        return runs, self.strip[of], float(radius_m.min(initial=np.inf)), every

    def _by_bands(self, ground: Polygon, rig: Rig) -> _Stretches | None:
        """The stretches that openers can follow, by the bands about the lines; ``None`` where these fold.

        A line that turns by less than half a circle in all cannot come back over itself.
        """
        if _turned_rad(self.left) >= np.pi:
            return None
        edges = edges_of(shapely.orient_polygons(ground, exterior_cw=False))
        bands = Bands(numbers(self.points), numbers(self.left), numbers(self.radius_m), rig.width_m / 2)
        terms = Followed(rig.pass_radius_m * (1 - 1e-9), rig.width_m, SLIVER_M, SHORT_M)
        of, start_m, end_m, radius_m, every, known = followed_stretches(
            bands, int((self.strip < 0).sum()), numbers(edges), terms
        )
        order = np.lexsort((start_m, of))
        return (of[order], start_m[order], end_m[order], radius_m[order], every) if known else None

    def _by_overlay(self, ground: Polygon, rig: Rig) -> _Stretches:
        """The same for any lines."""
        if not len(self.points):
            return np.zeros(0, dtype=np.int64), np.zeros(0), np.zeros(0), np.zeros(0), True
        lines = np.asarray(shapely.linestrings(self.points))
        parts, of = shapely.get_parts(
            shapely.intersection(self._bands(lines, rig.width_m), ground), return_index=True
        )
        wide = shapely.area(parts) > SLIVER_M * shapely.length(parts) / 2
        of, start_m, end_m = _merged(of[wide], *_extents_m(lines[of[wide]], parts[wide]))
        tight = self._tightest_m(of, start_m - rig.width_m, end_m + rig.width_m) < rig.pass_radius_m * (
            1 - 1e-9
        )
        follows = np.ones(len(self.strip), dtype=bool)
        follows[of[tight]] = False
        long = end_m - start_m > SHORT_M
        of, start_m, end_m = of[long], start_m[long], end_m[long]
        kept = self._from_guide(follows)[of]
        of, start_m, end_m = of[kept], start_m[kept], end_m[kept]
        return of, start_m, end_m, self._tightest_m(of, start_m, end_m), bool(kept.all())

    def _bands(self, lines: Lines, width_m: float) -> Lines:
        """The bands about the lines, (n,): between two parallels, where these have no cusp and do not come back over
        themselves.
        """
        beside = width_m / 2 * self.left
        corners = np.concatenate([self.points - beside, (self.points + beside)[:, ::-1]], axis=1)
        bands = np.asarray(shapely.polygons(corners), dtype=object)
        simple = (self.radius_m > width_m / 2).all(axis=1) & (_turned_rad(self.left) < np.pi)
        bands[~simple] = bands_about(lines[~simple], width_m)
        return bands

    def _tightest_m(self, of: IntArray, start_m: Array, end_m: Array) -> Array:
        """The least radius of stretches of lanes, (k,): at their points, and at those of the steps that they end on."""
        step_m = np.hypot(*np.diff(self.points, axis=1).transpose(2, 0, 1))
        ends_m = step_m.cumsum(axis=1)[of]
        on = (ends_m > start_m[:, None]) & (ends_m - step_m[of] < end_m[:, None])
        # a step lies on an arc if both its ends do; a joint of an arc and a straight stretch belongs to both
        radius_m = self.radius_m[of]
        of_step = np.maximum(radius_m[:, :-1], radius_m[:, 1:])
        return np.asarray(np.where(on, of_step, np.inf).min(axis=1, initial=np.inf))

    def _from_guide(self, follows: BoolArray) -> BoolArray:
        """Which strips, (n,), and all between them and the guide, are followed."""
        follows = follows.copy()
        left = self.strip >= 0
        follows[left] = np.logical_and.accumulate(follows[left])
        follows[~left] = np.logical_and.accumulate(follows[~left][::-1])[::-1]
        return follows


def _drawn(points: Array, of: IntArray, start_m: Array, end_m: Array) -> Lines:
    """Stretches, (k,), of lines whose points are (n, m, 2)."""
    if not len(of):
        return np.zeros(0, dtype=object)
    drawn, stretch = drawn_stretches(numbers(points), of, start_m, end_m)
    return np.asarray(shapely.linestrings(drawn, indices=stretch), dtype=object)


def _turned_rad(left: Array) -> float:
    """How far a line turns in all, whatever the side, by the unit vectors to its left, (n, 2)."""
    return float(np.arccos(np.clip((left[1:] * left[:-1]).sum(axis=1), -1.0, 1.0)).sum())


def _extents_m(lines: Lines, parts: Lines) -> tuple[Array, Array]:
    """The first and the last station of each part of ground on its line, (n,) each."""
    if not len(parts):
        return np.zeros(0), np.zeros(0)
    points, part = shapely.get_coordinates(parts, return_index=True)
    at_m, first = stations_m(lines, part, points), begins(part).nonzero()[0]
    return np.minimum.reduceat(at_m, first), np.maximum.reduceat(at_m, first)


def _merged(of: IntArray, start_m: Array, end_m: Array) -> tuple[IntArray, Array, Array]:
    """Stretches of each line that overlap made one."""
    found: list[tuple[int, float, float]] = []
    for i in np.lexsort((start_m, of)).tolist():
        line, start, end = int(of[i]), float(start_m[i]), float(end_m[i])
        if found and found[-1][0] == line and start <= found[-1][2]:
            found[-1] = (line, found[-1][1], max(found[-1][2], end))
        else:
            found.append((line, start, end))
    merged = np.array(found).reshape(-1, 3)
    return merged[:, 0].astype(np.int64), merged[:, 1], merged[:, 2]


def _stations_m(along: LineString, lines: Lines) -> Array:
    """Where lines begin and end along a guide, (n, 2)."""
    ends = ends_of(lines).transpose(1, 0, 2).reshape(-1, 2)
    none = np.zeros(len(ends), dtype=np.int64)
    return stations_m(np.array([along], dtype=object), none, ends).reshape(2, -1).T


def _main_direction(line: SmoothLine) -> Array:
    """From the first to the last point of a line, as a unit vector."""
    along = line.points[-1] - line.points[0]
    return np.asarray(along / max(float(np.hypot(*along)), 1e-9))
