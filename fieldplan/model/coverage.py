"""Where the drill goes on a field, and what ground that covers, in plane meters of the field's frame."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from typing import Any, Literal

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, MultiLineString, MultiPolygon, Point, Polygon

from fieldplan.model.field import PatternWord, SearchWord
from fieldplan.model.notes import Note

Array = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]
Lines = npt.NDArray[np.object_]
TurnShape = Literal["U", "bulb", "loop", "corner", "backing", "headland run", "tight", "outside", ""]
"""How a turn is driven; "tight" where the rig must shunt to and fro, "outside" where
nothing fits between the edges."""
LegKind = Literal["headland", "pass", "turn", "transfer", "refill", "check", "break"]
SOWING_KINDS: tuple[LegKind, ...] = ("headland", "pass")


@dataclass(frozen=True, slots=True, kw_only=True)
class Swaths:
    """Sown center lines and the ground that the openers cover along each, (n,) both."""

    lines: Lines
    grounds: Lines

    @classmethod
    def of(cls, parts: Iterable[Swaths]) -> Swaths:
        """The swaths of all parts, one after the other."""
        all_parts, none = list(parts), np.zeros(0, dtype=object)
        return cls(
            lines=np.concatenate([none, *(part.lines for part in all_parts)]),
            grounds=np.concatenate([none, *(part.grounds for part in all_parts)]),
        )

    def __len__(self) -> int:
        return len(self.lines)

    def __getitem__(self, which: slice | BoolArray) -> Swaths:
        return Swaths(lines=self.lines[which], grounds=self.grounds[which])

    @property
    def length_m(self) -> float:
        """Sown length of all swaths together."""
        return float(shapely.length(self.lines).sum())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Block:
    """Ground sown in parallel passes along strips; what is known of one is kept by its identity.

    A pass goes once along a strip, with the drill lifted over gaps in the ground; a run is the ground sown
    between two gaps. Over ground that may be crossed lifted, gaps are of any length.

    Parameters
    ----------
    heading_deg
        True heading of the passes, in [0, 180); where they bend, that of the longest step.
    runs
        (n,) swaths, in the order of strips and, on each strip, from start to end.
    strip, pass_of
        (n,) the strip and the pass of each run; passes are counted from 0 in the order of strips.
    bent
        Whether its passes may bend. Without a guide it is narrow ground, and no strip lies beside another.
    guide
        The line that its passes follow, lengthened beyond the block; strips are counted to the left of it.
    least_radius_m
        The tightest curve that passes along it are laid on; infinite where all are straight.
    """

    block: int
    ground: Polygon | MultiPolygon
    heading_deg: float
    runs: Swaths
    strip: IntArray
    pass_of: IntArray
    bent: bool = False
    guide: LineString | None = None
    least_radius_m: float = math.inf

    @property
    def n_passes(self) -> int:
        """Number of passes."""
        return int(self.pass_of[-1]) + 1 if len(self.pass_of) else 0

    @property
    def ends(self) -> Array:
        """Where each run starts and ends, (n, 2, 2)."""
        points, line_of = shapely.get_coordinates(self.runs.lines, return_index=True)
        bounds = [np.diff(line_of, prepend=-1), np.diff(line_of, append=-1)]
        return np.asarray(np.stack([points[bound.nonzero()[0]] for bound in bounds], axis=1))

    @property
    def curves(self) -> bool:
        """Whether any of its passes follows a curve; parallels of a guide may all lie where that is straight."""
        return math.isfinite(self.least_radius_m)

    @property
    def bent_rad(self) -> float:
        """How far its passes bend in all."""
        return float(_bends_rad(self.runs.lines).sum()) if self.bent else 0.0

    def stations_m(self, ends: Array) -> Array:
        """Where passes start and end along the guide or the heading, (n, 2), by their ``ends`` (n, 2, 2)."""
        if self.guide is None:
            return np.asarray(ends @ self.along)
        return np.asarray(shapely.line_locate_point(self.guide, shapely.points(ends)))

    @property
    def along(self) -> Array:
        """The unit vector along its runs, or the first one if they bend, (2,); the block must have a run."""
        start, end = shapely.get_coordinates(self.runs.lines[0])[[0, -1]]
        return np.asarray((end - start) / max(float(np.hypot(*(end - start))), 1e-9))


def longest_step(lines: Lines) -> LineString:
    """The longest straight part of lines, (n,); there must be a line."""
    points, line_of = shapely.get_coordinates(lines, return_index=True)
    same = line_of[1:] == line_of[:-1]
    steps = shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1)[same])
    longest: LineString = steps[shapely.length(steps).argmax()]
    return longest


def _bends_rad(lines: Lines) -> Array:
    """How far lines turn at their inner points, (k,)."""
    points, line_of = shapely.get_coordinates(lines, return_index=True)
    step = np.diff(points, axis=0)
    inner = (line_of[2:] == line_of[:-2]).nonzero()[0]
    (x, y), (next_x, next_y) = step[inner].T, step[inner + 1].T
    return np.asarray(np.abs(np.arctan2(x * next_y - y * next_x, x * next_x + y * next_y)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeadlandRound:
    """One headland round, along the outside of the field or around an obstacle.

    Its segments are in driving order, with the ground on the left. ``round`` counts from 1 at the edge.
    ``goes_on`` (n,) is true for one that continues the one before over a gap; empty if none does.
    """

    round: int
    obstacle: bool
    segments: Swaths
    goes_on: BoolArray = field(default_factory=lambda: np.zeros(0, dtype=np.bool_))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sowing:
    """The field sown once: headland rounds, the outermost first, and blocks."""

    headland: tuple[HeadlandRound, ...]
    blocks: tuple[Block, ...]

    @property
    def n_rounds(self) -> int:
        """Number of the innermost headland round; 0 without a headland."""
        return max((ring.round for ring in self.headland), default=0)

    def swaths(self) -> Swaths:
        """Every headland segment, then every run of every block."""
        headland = (ring.segments for ring in self.headland)
        return Swaths.of([*headland, *(block.runs for block in self.blocks)])


@dataclass(frozen=True, kw_only=True)
class Audit:
    """Ground by what happens to it, summed over all sowings but for ``plantable_m2``.

    drilled − overlap − outside + missed = plantable × sowings.

    Parameters
    ----------
    draws_missed, parts_overlap
        Draws the missed ground, and tells overlap by its cause: that takes long, and few look at it.
    """

    plantable_m2: float
    drilled_m2: float
    overlap_m2: float
    missed_m2: float
    outside_m2: float
    draws_missed: Callable[[], MultiPolygon] = field(compare=False, repr=False)
    parts_overlap: Callable[[], dict[str, float]] = field(compare=False, repr=False)

    @cached_property
    def missed_ground(self) -> MultiPolygon:
        """The missed ground to draw."""
        return self.draws_missed()

    @cached_property
    def overlap_by_cause_m2(self) -> dict[str, float]:
        """Overlap by what it comes from; adds up to ``overlap_m2``."""
        return self.parts_overlap()

    def __getstate__(self) -> dict[str, Any]:
        """What is sent to another process: both of these, not all that they are found by."""
        missed, by_cause_m2 = self.missed_ground, self.overlap_by_cause_m2
        found = {"draws_missed": partial(MultiPolygon, missed), "parts_overlap": partial(dict, by_cause_m2)}
        return vars(self) | found


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One stretch of the route.

    Parameters
    ----------
    block
        The block it belongs to; 0 on the headland and between blocks.
    number
        Passes, and headland segments, are counted from 1 in driving order; all runs of one pass have its
        number. It is 0 where the drill is lifted.
    """

    kind: LegKind
    line: LineString
    length_m: float
    block: int = 0
    sowing: int = 1
    number: int = 0
    shape: TurnShape = ""
    reverse_m: float = 0.0
    """What of it is driven in reverse."""
    drive_s: float = 0.0
    """Time to drive a leg where that is not its length at its speed: backing and changes of direction, and steep ground."""

    @property
    def sown(self) -> bool:
        """Whether the openers are in the ground."""
        return self.kind in SOWING_KINDS


def raised_within(legs: Sequence[Leg]) -> tuple[bool, ...]:
    """Whether on each leg the drill is raised within a pass or a headland segment, which goes on beyond."""
    within = (
        leg.kind == "transfer"
        and before.sown
        and (before.kind, before.number) == (after.kind, after.number)
        for before, leg, after in zip(legs, legs[1:], legs[2:], strict=False)
    )
    return (False, *within, False)[: len(legs)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """The whole route over one field, from gate to gate, and the ground it covers."""

    drill_width_m: float
    headland_rounds: int
    ground: MultiPolygon
    sowings: tuple[Sowing, ...]
    legs: tuple[Leg, ...]
    gate: Point
    audit: Audit
    fenced: MultiPolygon = field(default_factory=MultiPolygon)
    """The ground whose edges turns and transfers keep inside."""
    swings_out_m: float = 0.0
    """How far the middle of the drill leaves that ground on legs that nothing inside it could replace."""
    pockets: MultiPolygon = field(default_factory=MultiPolygon)
    """Small parts that are left, since no way as wide as the drill needs leads there."""
    open_edge: MultiLineString = field(default_factory=MultiLineString)
    """The stretches of the outer edge that turns and transfers may swing out over."""
    edge_m: float = 0.0
    """Length of the whole outer edge."""
    drive_line: MultiLineString = field(default_factory=MultiLineString)
    """The line that is driven in place of an edge with jags; empty where the edge itself is driven."""
    edge_tolerance_m: float = 0.0
    """How far that line lies from the edge where it is farthest."""
    pattern: PatternWord = "straight"
    """How passes run, as driven."""
    search: SearchWord = "usual"
    """How many routes were compared."""
    notes: tuple[Note, ...] = ()

    @property
    def edge(self) -> Literal["fenced", "open", "part"]:
        """Whether all, none or part of the outer edge is open."""
        if self.open_edge.is_empty:
            return "fenced"
        return "open" if self.open_edge.length > 0.999 * self.edge_m else "part"

    def length_m(self, *kinds: LegKind) -> float:
        """Length of the legs of these kinds, without trips to the seed."""
        return sum(leg.length_m for leg in self.legs if leg.kind in kinds)

    @property
    def n_passes(self) -> int:
        """Passes over all blocks and sowings."""
        return sum(block.n_passes for sowing in self.sowings for block in sowing.blocks)


@dataclass(frozen=True, slots=True)
class SeedStand:
    """Where seed stands, and how the drill is driven there from the ends of sown lines, and from there to the
    starts of others.
    """

    at: Point
    to_seed: Callable[[Sequence[LineString]], Sequence[Leg]]
    from_seed: Callable[[Sequence[LineString]], Sequence[Leg]]
