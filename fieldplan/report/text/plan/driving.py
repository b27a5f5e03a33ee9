"""Driving: heading, passes, turns, and distances with the drill down and lifted."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.model.totals import Totals
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.places import headings
from fieldplan.report.words.quantities import Quantities

_HEADER = (
    *("field", "heading", "passes", "headland rounds", "turns"),
    *("sowing", "lifted", "for seed", "turns backing"),
)
_EXPLAINED = (
    "Heading is the true compass bearing of the passes, driven in either direction. A field cut into blocks "
    "shows the headings of the blocks that have at least a tenth of the pass length, longest first. Lifted is "
    "all driving in the field with the drill up: turns between passes and at corners, crossings of the field, "
    "and trips to the seed and back. For seed is those trips alone. Turns backing is how many of the turns "
    "back up: where the headland is too shallow for a turn forward, or backing is quicker. The drill is "
    "lifted then. Turns keep the whole drill inside fences; a warning says where one cannot."
)

_CURVED = " Contour, guide, edge or curve is what passes follow that have no one heading."


def driving_lines(plan: Plan, q: Quantities) -> list[str]:
    """A table of the driving in each field and in all of them, with its columns explained.

    Parameters
    ----------
    plan
        The plan to print.
    q
        The reader's units.
    """
    rows = []
    for field in plan.fields:
        start = (field.field.field_id, headings(field))
        rounds = str(field.coverage.headland_rounds)
        rows.append(_row(start, rounds, field.totals, q))
    if len(plan.fields) > 1:
        rows.append(_row(("all", ""), "", plan.totals, q))
    curved = any(None in field.ways for field in plan.fields)
    return [*table(_HEADER, rows), *paragraph(_EXPLAINED + (_CURVED if curved else ""))]


def _row(start: tuple[str, str], rounds: str, totals: Totals, q: Quantities) -> tuple[str, ...]:
    return (
        *start,
        q.count(totals.passes),
        rounds,
        q.count(totals.turns),
        q.distance(totals.sown_m),
        q.distance(totals.lifted_m),
        q.distance(totals.for_seed_m),
        q.count(totals.backing),
    )
