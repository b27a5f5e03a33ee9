"""The order of rounds and passes as data, with its sentences."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fieldplan.model.plan import FieldPlan
from fieldplan.model.sequence import Again, PassesDriven, RoundsDriven, Step
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sequence import sequence_lines

_US = Quantities("us")


def sequence_object(field: FieldPlan) -> list[dict[str, Any]]:
    """The stretches of a field, one after the other, as driven.

    Headings are true, in degrees. A step is the number of strips to move over, positive away from the side that strips are
    counted from, or ``{"times", "steps"}``; ``strips`` is what the steps come to, a strip for each pass.
    """
    return [
        {**(_passes(one) if isinstance(one, PassesDriven) else _rounds(one)), "text": text}
        for one, text in zip(field.sequence, sequence_lines(field, _US), strict=True)
    ]


def _rounds(one: RoundsDriven) -> dict[str, Any]:
    lon, lat = one.start_lonlat
    return {
        "kind": "rounds",
        "sowing": one.sowing,
        "rounds": list(one.rounds),
        "around": one.around or None,
        "first": one.first,
        "last": one.last,
        "clockwise": one.clockwise,
        "begins_at_deg": one.begins_at_deg,
        "toward_deg": one.toward_deg,
        "lon": lon,
        "lat": lat,
    }


def _passes(one: PassesDriven) -> dict[str, Any]:
    lon, lat = one.start_lonlat
    straight = not one.bent
    return {
        "kind": "passes",
        "sowing": one.sowing,
        "block": one.block,
        "first": one.first,
        "last": one.last,
        "heading_deg": one.heading_deg,
        "bent": one.bent,
        "begins_at_deg": one.begins_at_deg,
        "lon": lon,
        "lat": lat,
        "counted_from_deg": one.counted_from_deg if straight else None,
        "strip": one.strip if straight else None,
        "part": one.part if straight else None,
        "steps": _steps(one.steps),
        "strips": list(one.strips) if straight else None,
    }


def _steps(steps: Sequence[Step]) -> list[Any]:
    return [
        {"times": step.times, "steps": _steps(step.steps)} if isinstance(step, Again) else step
        for step in steps
    ]
