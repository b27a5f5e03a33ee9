"""Places and headings of a plan in a driver's words."""

from __future__ import annotations

from typing import NamedTuple

from fieldplan.model.coverage import LegKind
from fieldplan.model.field import SIDES_DEG
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.words.money_and_places import heading_text


class LastSown(NamedTuple):
    """The last sown leg before a refill: a pass or a headland segment, its number in driving order, and
    whether the drill goes on with it after the refill.
    """

    kind: LegKind
    number: int
    goes_on: bool


def start_of(plan: Plan, field: FieldPlan) -> str:
    """Where the first load is poured in: at the gate, unless seed is given a place or follows the drill."""
    elsewhere = (
        plan.job.terms_for(field.field.field_id).seed_at is not None or plan.job.working.seed_follows
    )
    return "start" if elsewhere else "start, at the gate"


def place_of(field: FieldPlan, leg: int) -> str:
    """Where a refill falls on the route: "after pass 12 as driven", "in headland segment 3".

    Parameters
    ----------
    field
        The field that is driven.
    leg
        Index of the refill among the legs of the field's supply, from 0.
    """
    last = last_sown(field, leg)
    where = "in" if last.goes_on else "after"
    if last.kind == "headland":
        return f"{where} headland segment {last.number}"
    return f"{where} pass {last.number} as driven"


def last_sown(field: FieldPlan, leg: int) -> LastSown:
    """The last sown leg before a leg of the route.

    Parameters
    ----------
    field
        The field that is driven.
    leg
        Index among the legs of the field's supply, from 0.

    Raises
    ------
    StopIteration
        If nothing is sown before it.
    """
    legs = field.supply.legs
    last = next(leg for leg in reversed(legs[:leg]) if leg.sown)
    following = next((leg for leg in legs[leg:] if leg.sown), None)
    goes_on = following is not None and (following.kind, following.number) == (last.kind, last.number)
    return LastSown(last.kind, last.number, goes_on)


def headings(field: FieldPlan) -> str:
    """The headings of a field in whole degrees, "90°, 45°", and what passes that bend follow; a dash if it has none."""
    ways = (
        line_followed(field) if way_deg is None else f"{heading_text(way_deg)}°" for way_deg in field.ways
    )
    return ", ".join(ways) or "–"


def headings_named(field: FieldPlan) -> str:
    """The same with the winds: "at 90° (west and east), along the contour"."""
    named = [heading_named(way_deg) for way_deg in field.ways if way_deg is not None]
    straight = f"at {', '.join(named)}" if named else ""
    curved = f"along the {line_followed(field)}" if None in field.ways else ""
    return ", ".join(filter(None, [straight, curved])) or "at –"


def line_followed(field: FieldPlan) -> str:
    """What passes that bend follow on a field."""
    return _FOLLOWED.get(field.coverage.pattern, "curve")


_FOLLOWED = {"contour": "contour", "guide": "guide", "along edge": "edge"}


def compass(heading_deg: float) -> str:
    """The nearest of the eight winds.

    Examples
    --------
    >>> compass(92.0), compass(337.6), compass(215.0)
    ('east', 'north', 'south-west')
    """
    winds = tuple(SIDES_DEG)
    return winds[int(heading_deg % 360.0 / 45.0 + 0.5) % len(winds)]


def heading_named(heading_deg: float) -> str:
    """A heading that is driven both ways, in degrees and by its two winds.

    Examples
    --------
    >>> heading_named(92.3)
    '92° (west and east)'
    """
    return f"{heading_text(heading_deg)}° ({compass(heading_deg + 180.0)} and {compass(heading_deg)})"
