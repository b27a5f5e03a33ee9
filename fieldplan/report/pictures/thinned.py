"""Which passes and headland rounds a map draws, so that it is no solid ink: every nth, side by side on the ground."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from fieldplan.model.coverage import Leg, raised_within
from fieldplan.model.plan import FieldPlan
from fieldplan.plane.frame import frame_near

STEPS = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 100)


@dataclass(frozen=True, slots=True, kw_only=True)
class Thinned:
    """The legs that are drawn.

    Parameters
    ----------
    every
        1 if all are, n if every nth pass and round is, and no turn.
    drawn
        (n,) whether each leg of the route is drawn.
    """

    every: int
    drawn: tuple[bool, ...]
    rounds: bool = True
    """Whether any headland round is drawn."""


def thinned(field: FieldPlan, width_on_paper: float, minimum: float) -> Thinned:
    """Every nth pass and round, the nth chosen so that lines keep apart on paper.

    Parameters
    ----------
    field
        The field that is drawn.
    width_on_paper
        The width of the drill on paper.
    minimum
        The distance that lines keep, in the same unit.
    """
    needed = minimum / max(width_on_paper, 1e-9)
    every = next((step for step in STEPS if step >= needed - 1e-9), STEPS[-1])
    legs = [timed.leg for timed in field.time.legs]
    if every == 1:
        return Thinned(every=1, drawn=(True,) * len(legs))
    rounds = _rounds_drawn(field, legs, every)
    sown = _strips_drawn(field, legs, every) | rounds
    raised = raised_within(legs)
    drawn = tuple(
        i in sown or leg.shape == "outside" or (raised[i] and {i - 1, i + 1} <= sown)
        for i, leg in enumerate(legs)
    )
    return Thinned(every=every, drawn=drawn, rounds=bool(rounds))


def _strips_drawn(field: FieldPlan, legs: Sequence[Leg], every: int) -> set[int]:
    """Passes on every nth strip of each block, counted across it; where passes bend, every nth pass."""
    found: set[int] = set()
    bent = {
        (n, block.block)
        for n, sowing in enumerate(field.coverage.sowings, start=1)
        for block in sowing.blocks
        if block.bent
    }
    blocks: dict[tuple[int, int], list[int]] = {}
    for i, leg in enumerate(legs):
        if leg.kind == "pass":
            blocks.setdefault((leg.sowing, leg.block), []).append(i)
    for key, members in blocks.items():
        if key in bent:
            found |= {i for i in members if legs[i].number % every == 1 or len(members) < 3}
            continue
        longest = shapely.get_coordinates(
            max((legs[i].line for i in members), key=lambda line: line.length)
        )
        along = longest[-1] - longest[0]
        across = np.array([-along[1], along[0]]) / max(float(np.hypot(*along)), 1e-9)
        middles = np.array([shapely.get_coordinates(legs[i].line)[[0, -1]].mean(axis=0) for i in members])
        strips = np.rint((middles @ across - (middles @ across).min()) / field.coverage.drill_width_m)
        offset = min(every // 2, int(strips.max()) // 2)
        found |= {i for i, strip in zip(members, strips, strict=True) if int(strip) % every == offset}
    return found


def _rounds_drawn(field: FieldPlan, legs: Sequence[Leg], every: int) -> set[int]:
    """Segments of every nth headland round, but not of the outermost, which would lie on the outline."""
    members = [i for i, leg in enumerate(legs) if leg.kind == "headland"]
    if not members:
        return set()
    frame = frame_near(field.field.ground)
    edge = shapely.boundary(frame.to_plane(field.field.plantable))
    middles = [legs[i].line.interpolate(0.5, normalized=True) for i in members]
    away = shapely.distance(np.array(middles), edge) / field.coverage.drill_width_m
    rounds = np.floor(away + 0.25)
    return {i for i, n in zip(members, rounds, strict=True) if int(n) % every == every // 2}
