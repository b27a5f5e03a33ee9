"""What to weigh on the day, and where the seed runs out if the drill sows heavy."""

from __future__ import annotations

from collections.abc import Iterator

from fieldplan.model.plan import Plan
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.quantities import Quantities, percent
from fieldplan.report.words.sentences import sources_text


def day_lines(plan: Plan, q: Quantities) -> list[str]:
    """What to catch from each box, the acres at which its seed runs out, and what to take along.

    Parameters
    ----------
    plan
        The plan to print.
    q
        The reader's units.
    """
    if not plan.driven:
        return paragraph("Nothing is drilled: there is nothing to catch.")
    mix, box = next(iter(_boxes(plan)))
    heavy = plan.run_out(mix, box)
    degree = percent(heavy.heavy_frac)
    header = (
        *("mix", "box", "rate", f"a row over {q.length(q.catch_m)}", f"all {plan.job.drill.rows}"),
        *(f"out at +{degree}", "of"),
    )
    text = (
        "Catch this much; if you catch more or less, calibrate again. If the drill sows "
        f"{degree} heavy ({sources_text([heavy.source])}), the ordered seed runs out at so many {q.area_word}. "
        "Take along: the set-up card (fieldplan setup), which lists what to check, clean and sign; seed tags; "
        "the drill's manual; a scale that reads a tenth of a gram."
    )
    return [*table(header, list(_rows(plan, q)), left=2), *paragraph(text)]


def _boxes(plan: Plan) -> dict[tuple[str, str], float]:
    """What each box of each mix sows, in kg/m² of bulk seed."""
    return {
        (field.seed.mix, box.box): box.load_kg_per_m2 for field in plan.fields for box in field.seed.boxes
    }


def _rows(plan: Plan, q: Quantities) -> Iterator[tuple[str, ...]]:
    drill = plan.job.drill
    for (mix, box), rate_kg_per_m2 in _boxes(plan).items():
        row_kg_per_m = rate_kg_per_m2 * drill.row_spacing_m
        heavy = plan.run_out(mix, box)
        yield (
            mix,
            box,
            q.mass_rate(rate_kg_per_m2),
            q.catch_g(row_kg_per_m),
            q.catch_g(row_kg_per_m * drill.rows),
            q.area(min(heavy.seed_m2, heavy.planned_m2), 1),
            q.area(heavy.planned_m2, 1),
        )
