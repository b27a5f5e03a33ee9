"""A window on the ground: how a field is turned, to what scale, and in how many strips, so that it fills the paper."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from fieldplan.model.coverage import Array

_DECADE = (
    1.0,
    1.1,
    1.25,
    1.4,
    1.5,
    1.6,
    1.75,
    2.0,
    2.25,
    2.5,
    2.75,
    3.0,
    3.5,
    4.0,
    4.5,
    5.0,
    6.0,
    7.0,
    8.0,
    9.0,
)
SCALES = tuple(int(step * 10**power) for power in range(2, 7) for step in _DECADE)
"""1 : n, the round ones."""
WORTH_TURNING = 1.1
"""North stays up unless the field gets larger by this on the paper."""
MAX_STRIPS = 6
WORTH_STRIPS = 1.5
"""A field is cut into strips where that draws it larger by this."""
OVERLAP = 0.04
"""Of the length of a strip, which the next one shows again."""
STEP_DEG = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Ground on paper: turned by ``turn_rad`` counterclockwise, drawn at ``k`` units of paper a meter.

    Parameters
    ----------
    turn_rad
        How far the ground is turned; north then points that far to the left of up.
    k
        Units of paper a meter.
    origin
        Where the origin of the plane falls on the paper.
    left, top, width, height
        The part of the paper that it fills.
    cut
        Whether ground beyond that part is left out.
    """

    turn_rad: float
    k: float
    origin: tuple[float, float]
    left: float
    top: float
    width: float
    height: float
    cut: bool = False

    @property
    def scale(self) -> float:
        """The n of 1 : n, where paper is in millimeters."""
        return 1000 / self.k

    def on_paper(self, points: Array) -> Array:
        """Points of the plane, (n, 2), on the paper."""
        cos, sin = math.cos(self.turn_rad), math.sin(self.turn_rad)
        east, north = points[:, 0], points[:, 1]
        x = self.origin[0] + self.k * (cos * east - sin * north)
        y = self.origin[1] - self.k * (sin * east + cos * north)
        return np.column_stack([x, y])

    def at(self, point: shapely.Point) -> tuple[float, float]:
        """A point of the plane on the paper."""
        ((x, y),) = self.on_paper(np.array([[point.x, point.y]])).tolist()
        return x, y

    def shows(self, at: tuple[float, float]) -> bool:
        """Whether a place on the paper lies in the window."""
        return self.left <= at[0] <= self.left + self.width and self.top <= at[1] <= self.top + self.height

    def drawn(self, geometry: BaseGeometry) -> BaseGeometry:
        """A geometry of the plane as it is drawn on the paper."""
        placed = shapely.transform(geometry, self.on_paper)
        if not self.cut:
            return placed
        box = (self.left, self.top, self.left + self.width, self.top + self.height)
        return shapely.clip_by_rect(placed, *box)


def views_of(
    geometries: Sequence[BaseGeometry],
    width: float,
    height: float,
    *,
    left: float = 0.0,
    top: float = 0.0,
    strips: bool = True,
    round_scale: bool = True,
    north_up: bool = False,
    ends: float = 0.0,
) -> tuple[View, ...]:
    """The windows in which a field fills the paper: one, or of a long corridor several strips below each other.

    Parameters
    ----------
    geometries
        What must be seen, in the plane of the field.
    width, height
        The paper.
    left, top
        Where it begins.
    strips
        Cut a long corridor into strips.
    round_scale
        Draw to a scale of `SCALES`, paper in millimeters.
    north_up
        Do not turn the field, even where it would be drawn larger.
    ends
        Paper that is left free at either end of a strip, for what says where it goes on.
    """
    every = shapely.multipoints(shapely.get_coordinates(geometries))
    points = shapely.get_coordinates(shapely.convex_hull(every))
    whole = _whole(points, width, height, left, top, north_up=north_up)
    if strips:
        long = [shapely.segmentize(one, 5.0) for one in geometries if one.length > 5.0]
        cut = _strips(shapely.get_coordinates(long), points, width - 2 * ends, height, left + ends, top)
        if cut and cut[0].k >= WORTH_STRIPS * whole.k:
            return tuple(_rounded(view) for view in cut) if round_scale else cut
    return (_rounded(whole),) if round_scale else (whole,)


def window_at(
    point: shapely.Point, view: View, scale: float, box: tuple[float, float, float, float]
) -> View:
    """A window of ``box`` (left, top, width, height) with a point in its middle, turned as another view is."""
    left, top, width, height = box
    turned = View(
        turn_rad=view.turn_rad, k=1000 / scale, origin=(0.0, 0.0), left=0, top=0, width=0, height=0
    )
    x, y = turned.at(point)
    return View(
        turn_rad=view.turn_rad,
        k=turned.k,
        origin=(left + width / 2 - x, top + height / 2 - y),
        left=left,
        top=top,
        width=width,
        height=height,
        cut=True,
    )


def _turned(points: Array, turn_rad: float) -> Array:
    cos, sin = math.cos(turn_rad), math.sin(turn_rad)
    return np.asarray(points @ np.array([[cos, sin], [-sin, cos]]))


def _whole(points: Array, width: float, height: float, left: float, top: float, *, north_up: bool) -> View:
    """North up, or with a side level or any other turn where that draws the field clearly larger."""

    def k(turn_rad: float) -> float:
        east, north = np.ptp(_turned(points, turn_rad), axis=0)
        return float(min(width / max(east, 1.0), height / max(north, 1.0)))

    any_turn = [math.radians(degrees) for degrees in np.arange(-90.0, 90.1, STEP_DEG)]
    turn = 0.0
    for turns in () if north_up else (list(_sides(points)), any_turn):
        best = max(turns, key=lambda one: (round(k(one), 9), -abs(one)), default=0.0)
        turn = best if k(best) > WORTH_TURNING * k(turn) else turn
    return _centered(points, turn, k(turn), width, height, left, top)


def _sides(points: Array) -> Iterator[float]:
    """Turns that lay a side of a ring level, within a quarter turn."""
    for east, north in np.diff(points, axis=0):
        level = -math.atan2(north, east)
        yield (level + math.pi / 2) % math.pi - math.pi / 2


def _centered(
    points: Array,
    turn: float,
    k: float,
    width: float,
    height: float,
    left: float,
    top: float,
    cut: bool = False,
) -> View:
    turned = _turned(points, turn)
    (west, south), (east, north) = turned.min(axis=0), turned.max(axis=0)
    x = left + (width - k * (east - west)) / 2 - k * west
    y = top + (height - k * (north - south)) / 2 + k * north
    return View(turn_rad=turn, k=k, origin=(x, y), left=left, top=top, width=width, height=height, cut=cut)


def _strips(
    every: Array, points: Array, width: float, height: float, left: float, top: float
) -> tuple[View, ...]:
    """The field along its length, cut into as many strips as draw it largest; ``every`` (n, 2) must be seen."""
    turn = max(_sides(points), key=lambda turn: float(np.ptp(_turned(points, turn)[:, 0])), default=0.0)
    level = _turned(every, turn)
    west, east = float(level[:, 0].min()), float(level[:, 0].max())
    best: tuple[float, list[Array]] = (0.0, [])
    for n in range(2, MAX_STRIPS + 1):
        step = (east - west) / n
        boxes = []
        for i in range(n):
            first, last = west + (i - OVERLAP / 2) * step, west + (i + 1 + OVERLAP / 2) * step
            within = level[(level[:, 0] >= first) & (level[:, 0] <= last), 1]
            if len(within):
                boxes.append(np.array([[first, within.min()], [last, within.max()]]))
        gap = 0.05 * height
        tall = sum(float(np.ptp(box[:, 1])) for box in boxes)
        k = min(width / (step * (1 + OVERLAP)), (height - gap * (n - 1)) / max(tall, 1.0))
        best = max(best, (k, boxes), key=lambda pair: pair[0])
    return tuple(_below_each_other(*best, turn, width, height, left, top))


def _below_each_other(
    k: float, boxes: Iterable[Array], turn: float, width: float, height: float, left: float, top: float
) -> Iterator[View]:
    boxes = list(boxes)
    used = sum(k * float(np.ptp(box[:, 1])) for box in boxes)
    gap = (height - used) / max(1, len(boxes))
    y = top
    for box in boxes:
        tall = k * float(np.ptp(box[:, 1])) + gap
        corners = _turned(box, -turn)
        yield _centered(corners, turn, k, width, tall, left, y, cut=True)
        y += tall


def _rounded(view: View) -> View:
    """The same middle of the paper at the next smaller round scale."""
    scale = next((n for n in SCALES if n >= view.scale - 1e-9), math.ceil(view.scale))
    k = 1000 / scale
    x, y = view.left + view.width / 2, view.top + view.height / 2
    shrunk = k / view.k
    origin = (x + (view.origin[0] - x) * shrunk, y + (view.origin[1] - y) * shrunk)
    return View(
        turn_rad=view.turn_rad,
        k=k,
        origin=origin,
        left=view.left,
        top=view.top,
        width=view.width,
        height=view.height,
        cut=view.cut,
    )
