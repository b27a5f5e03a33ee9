"""Where the drill goes on a field, and what ground that covers. Plane metres in the field's layout frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
from shapely import LineString, MultiPolygon, Point, Polygon

from fieldplan.model.notes import Note

Array = npt.NDArray[np.float64]
Lines = npt.NDArray[np.object_]
LegKind = Literal["headland", "pass", "turn", "transfer", "refill", "check", "break"]
SOWING_KINDS: tuple[LegKind, ...] = ("headland", "pass")


@dataclass(frozen=True, slots=True, kw_only=True)
class Swath:
    """One sown line and the ground its openers cross: ``line`` is the centre line, ``ground`` has the drill's width."""

    line: LineString
    ground: Polygon | MultiPolygon

    @property
    def length_m(self) -> float:
        """Sown length."""
        return float(self.line.length)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pass:
    """One drive along a strip: its runs of sown ground, in order, with the drill lifted over the gaps between."""

    strip: int
    runs: tuple[Swath, ...]

    @property
    def length_m(self) -> float:
        """Sown length."""
        return sum(run.length_m for run in self.runs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """Ground sown in parallel passes; ``passes`` in the order of their strips, ``order`` as they are driven."""

    block: int
    ground: Polygon | MultiPolygon
    heading_deg: float
    passes: tuple[Pass, ...]

    def runs(self) -> tuple[Swath, ...]:
        """Every run of every pass."""
        return tuple(run for one in self.passes for run in one.runs)

    @property
    def length_m(self) -> float:
        """Sown length of all passes."""
        return sum(one.length_m for one in self.passes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Loop:
    """One round along the outside of the field or round an ``obstacle``: its sides in driving order, ground on the left."""

    round: int
    obstacle: bool
    sides: tuple[Swath, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sowing:
    """The field sown once: loops of the headland (outermost round first) and blocks."""

    headland: tuple[Loop, ...]
    blocks: tuple[Block, ...]

    @property
    def n_rounds(self) -> int:
        """Rounds of the headland."""
        return max((loop.round for loop in self.headland), default=0)

    def sides(self) -> tuple[Swath, ...]:
        """Every side of the headland."""
        return tuple(side for loop in self.headland for side in loop.sides)

    def swaths(self) -> tuple[Swath, ...]:
        """Every swath of the sowing."""
        return self.sides() + tuple(run for block in self.blocks for run in block.runs())


@dataclass(frozen=True, slots=True, kw_only=True)
class Audit:
    """Ground by what happens to it: drilled − double_sown − outside + missed = plantable × sowings."""

    plantable_m2: float
    drilled_m2: float
    double_sown_m2: float
    double_sown_by_cause_m2: dict[str, float]
    missed_m2: float
    outside_m2: float
    missed_ground: MultiPolygon


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One stretch of the drive, in driving order. ``block`` is 0 on the headland and between blocks."""

    kind: LegKind
    line: LineString
    length_m: float
    block: int = 0
    sowing: int = 1

    @property
    def sown(self) -> bool:
        """Whether the openers are in the ground."""
        return self.kind in SOWING_KINDS


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """The whole drive over one field, from gate to gate, and the ground it covers."""

    drill_width_m: float
    headland_rounds: int
    ground: MultiPolygon
    sowings: tuple[Sowing, ...]
    legs: tuple[Leg, ...]
    gate: Point
    audit: Audit
    notes: tuple[Note, ...] = ()

    def length_m(self, *kinds: LegKind) -> float:
        """Driven length of the legs of these kinds."""
        return sum(leg.length_m for leg in self.legs if leg.kind in kinds)

    def count(self, *kinds: LegKind) -> int:
        """Number of legs of these kinds."""
        return sum(leg.kind in kinds for leg in self.legs)

    @property
    def n_passes(self) -> int:
        """Passes over all blocks and sowings."""
        return sum(len(block.passes) for sowing in self.sowings for block in sowing.blocks)
