"""The order of rounds and passes as a driver follows it without guidance: where to start, and how many strips on.

Strips are the bands that passes of a block lie on, one drill width each. Whoever counts them, sown or not, from where a
stretch starts, and follows its steps, drives the passes of the plan in their order.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Union

Step = Union[int, "Again"]
"""Strips to move over, or several moves again and again. Moves are positive away from the side that strips are counted
from; one over is the strip beside, and none goes on along the same strip."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Again:
    """Steps that are made several times over."""

    times: int
    steps: tuple[Step, ...]


def moves(steps: Sequence[Step]) -> Iterator[int]:
    """Every move of the steps, in their order.

    Examples
    --------
    >>> list(moves([4, Again(times=2, steps=(-5, 4))]))
    [4, -5, 4, -5, 4]
    """
    for step in steps:
        if isinstance(step, Again):
            for _ in range(step.times):
                yield from moves(step.steps)
        else:
            yield step


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundsDriven:
    """Headland rounds that are driven one after the other, each begun beside where the one before ended.

    Parameters
    ----------
    rounds
        Their numbers, counted from 1 at the edge.
    around
        What they go around: nothing for the edge of the field, else why the ground is left out, or "hole".
    first, last
        Numbers of their first and last segment in driving order.
    start_lonlat, begins_at_deg
        Where the first one starts, and the true heading of that place from the middle of what they go along.
    toward_deg
        True heading in which it sets out; what the rounds go along lies on the driver's right hand.
    """

    sowing: int
    rounds: tuple[int, ...]
    around: str
    first: int
    last: int
    start_lonlat: tuple[float, float]
    begins_at_deg: float
    toward_deg: float

    @property
    def clockwise(self) -> bool:
        """Which way they go, seen from above: the ground is on the driver's left hand."""
        return bool(self.around)

    @property
    def edge_deg(self) -> float:
        """True heading of the side along which the first round sets out."""
        return (self.toward_deg + 90.0) % 360.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PassesDriven:
    """Passes of one block that are driven one after the other by one rule: turn round at the end of each, move over as
    the next step says, and drive the pass there that is not sown yet; of several, the one that begins nearest.

    Parameters
    ----------
    first, last
        Numbers of the first and the last of them in driving order.
    heading_deg
        True heading of the passes, in [0, 180).
    bent
        Whether they bend, so that none lies beside another: the next is the one that begins nearest.
    counted_from_deg
        True heading of the side of the block that strips are counted from.
    strip
        The strip of the first pass, from 1.
    alone
        Whether it is the only pass of its block.
    part, n_parts
        Which of the passes on that strip it is, counted from the end at which it begins, from 1, and how many there are.
    start_lonlat, begins_at_deg
        Where the first pass begins, and the true heading of that end of the block.
    steps
        How far it is from each pass to the next.
    """

    sowing: int
    block: int
    first: int
    last: int
    heading_deg: float
    bent: bool
    counted_from_deg: float
    strip: int
    alone: bool
    part: int
    n_parts: int
    start_lonlat: tuple[float, float]
    begins_at_deg: float
    steps: tuple[Step, ...]

    @property
    def n_passes(self) -> int:
        """How many passes they are."""
        return self.last - self.first + 1

    @property
    def strips(self) -> tuple[int, ...]:
        """The strip of each pass, counted from 1 at the side that is named."""
        found = [self.strip]
        for over in moves(self.steps):
            found.append(found[-1] + over)
        return tuple(found)


Driven = RoundsDriven | PassesDriven
