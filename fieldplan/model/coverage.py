"""Where the drill goes on a field, and what ground that covers. Plane metres in the field's layout
frame.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon

from fieldplan.model.notes import Note

Array = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]
Lines = npt.NDArray[np.object_]
TurnShape = Literal["U", "bulb", "loop", "corner", "backing", "headland run", "outside", ""]
"""How a turn is driven; "outside" where nothing fits between the edges."""
LegKind = Literal["headland", "pass", "turn", "transfer", "refill", "check", "break"]
SOWING_KINDS: tuple[LegKind, ...] = ("headland", "pass")


@dataclass(frozen=True, slots=True, kw_only=True)
class Swaths:
    """Sown lines and the ground that the openers cross along each, (n,) both: ``lines`` down the middle of
    ``grounds``.
    """

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
        """Sown length of all of them."""
        return float(shapely.length(self.lines).sum())


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """Ground sown in parallel passes along strips.

    A pass is one drive along a strip. Its runs of sown ground, with the drill lifted over the gaps between,
    follow each other in ``runs``; ``strip`` (n,) and ``pass_of`` (n,) are the strip and the pass of each
    run. Passes count from 0 in the order of strips.
    """

    block: int
    ground: Polygon | MultiPolygon
    heading_deg: float
    runs: Swaths
    strip: IntArray
    pass_of: IntArray

    @property
    def n_passes(self) -> int:
        """Number of passes."""
        return int(self.pass_of[-1]) + 1 if len(self.pass_of) else 0

    @property
    def ends(self) -> Array:
        """Where each run starts and ends, (n, 2, 2)."""
        return np.asarray(shapely.get_coordinates(self.runs.lines).reshape(-1, 2, 2))

    @property
    def along(self) -> Array:
        """The unit vector, (2,), that its runs are laid along; it must have one."""
        start, end = shapely.get_coordinates(self.runs.lines[0])
        return np.asarray((end - start) / max(float(np.hypot(*(end - start))), 1e-9))


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadlandRound:
    """One round along the outside of the field or round an ``obstacle``: its sides in driving order, ground
    on the left.
    """

    round: int
    obstacle: bool
    segments: Swaths


@dataclass(frozen=True, slots=True, kw_only=True)
class Sowing:
    """The field sown once: loops of the headland (outermost round first) and blocks."""

    headland: tuple[HeadlandRound, ...]
    blocks: tuple[Block, ...]

    @property
    def n_rounds(self) -> int:
        """Rounds of the headland."""
        return max((headland_round.round for headland_round in self.headland), default=0)

    def swaths(self) -> Swaths:
        """Every side of the headland and every run of every block."""
        return Swaths.of(
            [
                *(headland_round.segments for headland_round in self.headland),
                *(block.runs for block in self.blocks),
            ]
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Audit:
    """Ground by what happens to it: drilled − double_sown − outside + missed = plantable × sowings."""

    plantable_m2: float
    drilled_m2: float
    overlap_m2: float
    overlap_by_cause_m2: dict[str, float]
    missed_m2: float
    outside_m2: float
    missed_ground: MultiPolygon


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One stretch of the drive, in driving order. ``block`` is 0 on the headland and between blocks.

    ``number`` counts passes, and sides of the headland, as driven, from 1 on; what is sown of one pass on
    several stretches has the number of that pass. It is 0 for what is driven lifted.
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
    """Time to drive a turn, where that is not its length at turning speed: backing and changes of direction."""

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
    swing_between_m: float = 0.0
    """How far turns between passes leave the ground, to the middle of the drill."""
    swing_at_corners_m: float = 0.0
    """How far turns at corners of the headland leave it."""
    notes: tuple[Note, ...] = ()

    def length_m(self, *kinds: LegKind) -> float:
        """Driven length of the legs of these kinds, before anything is driven for seed."""
        return sum(leg.length_m for leg in self.legs if leg.kind in kinds)

    @property
    def swings_out_m(self) -> float:
        """How far the drill leaves the ground while turning, to its middle."""
        return max(self.swing_between_m, self.swing_at_corners_m)

    @property
    def n_passes(self) -> int:
        """Passes over all blocks and sowings."""
        return sum(block.n_passes for sowing in self.sowings for block in sowing.blocks)
