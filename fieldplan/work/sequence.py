"""The order of rounds and passes as stretches that one rule leads through, each with where it starts.

A stretch of passes ends where the rule would lead elsewhere: at the end of a block, or where the drill crosses to other
ground.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from fieldplan.model.coverage import Coverage, Leg
from fieldplan.model.field import Field
from fieldplan.model.sequence import Driven
from fieldplan.plane.frame import Frame
from fieldplan.work.sequence_of_passes import BlockDriven
from fieldplan.work.sequence_of_rounds import rounds_driven


def sequence_of(field: Field, coverage: Coverage, legs: Sequence[Leg], frame: Frame) -> tuple[Driven, ...]:
    """The order of rounds and passes of a route.

    Parameters
    ----------
    field
        The field that is driven, for why ground within it is left out.
    coverage
        Its rounds, blocks and strips.
    legs
        Its route.
    frame
        Its plane.
    """
    return tuple(_sequence(field, coverage, legs, frame))


def _sequence(field: Field, coverage: Coverage, legs: Sequence[Leg], frame: Frame) -> Iterator[Driven]:
    blocks: dict[tuple[int, int], BlockDriven] = {}
    sown = [leg for leg in legs if leg.sown]
    for (kind, nth, block), some in groupby(sown, key=lambda leg: (leg.kind, leg.sowing, leg.block)):
        sowing = coverage.sowings[nth - 1]
        if kind == "headland":
            yield from rounds_driven(field, sowing.headland, nth, list(some), frame)
            continue
        if (nth, block) not in blocks:
            of = next(one for one in sowing.blocks if one.block == block)
            blocks[nth, block] = BlockDriven(of, nth, frame)
        yield from blocks[nth, block].stretches(list(some))
