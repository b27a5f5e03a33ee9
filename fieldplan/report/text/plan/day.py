"""What to weigh on the day, and where the seed runs out if the drill sows heavy."""

from __future__ import annotations

from collections.abc import Iterator

from fieldplan.model.plan import Plan
from fieldplan.report.text.table import NARROW, fitted_table, paragraph, table
from fieldplan.report.words.numbers import percent
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import end_texts
from fieldplan.report.words.sentences import sources_text

_EXPLAINED = (
    "Catch this much; if you catch more or less, calibrate again. If the drill sows {} heavy ({}), the seed that is "
    "brought to the fields runs out first there, after so many {}; fieldplan seed tells how far all bags go. Take along: the set-up card (fieldplan setup), which lists what to check, clean and sign; "
    "seed tags; the drill's manual; a scale that reads a tenth of a gram."
)
_SHORT = (
    "Catch this over {}; if you catch more or less, calibrate again. If the drill sows {} heavy, seed runs out "
    "first there, after so many {}."
)


def day_lines(plan: Plan, q: Quantities) -> list[str]:
    """What to catch from each box, the field and the acres at which its seed runs out first, and what to take along.

    Parameters
    ----------
    plan
        The plan to print.
    q
        The reader's units.
    """
    if not plan.driven:
        return paragraph("Nothing is drilled: there is nothing to catch.")
    header = (
        *("mix", "box", "rate", f"a row over {q.length(q.catch_m)}", f"all {plan.job.drill.rows}"),
        *(f"out at +{_heavy(plan)[0]}", "after"),
    )
    text = _EXPLAINED.format(*_heavy(plan), q.area_word)
    return [*table(header, list(_rows(plan, q)), left=2), *paragraph(text)]


def short_day_lines(plan: Plan, q: Quantities) -> list[str]:
    """What to catch from each box and where its seed runs out, in a narrow table."""
    if not plan.driven:
        return paragraph("Nothing is drilled: there is nothing to catch.", maximum=NARROW)
    degree = _heavy(plan)[0]
    header = ["mix", "box", "rate", "a row", f"all {plan.job.drill.rows}", f"out at +{degree}", "after"]
    rows = [[*row[:-1], row[-1].partition(" of ")[0]] for row in _rows(plan, q)]
    if len(plan.driven) == 1:
        header[-2:] = [f"out at +{degree} after"]
        rows = [[*row[:-2], f"{row[-1]} {q.area_unit}" if row[-1] != "–" else row[-2]] for row in rows]
    if len({mix for mix, *_ in rows}) == 1:
        for cells in (header, *rows):
            del cells[0]
    text = _SHORT.format(q.length(q.catch_m), degree, q.area_word)
    return [
        *fitted_table(header, rows, left=header.index("rate")),
        *paragraph(text, maximum=NARROW),
    ]


def _heavy(plan: Plan) -> tuple[str, str]:
    """How heavy the drill is taken to sow for where seed runs out, and the source of that."""
    heavy = plan.run_out(*next(iter(_boxes(plan))))
    return percent(heavy.heavy_frac), sources_text([heavy.source])


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
        field_id, _, after = end_texts(heavy, q)
        yield (
            mix,
            box,
            q.mass_rate(rate_kg_per_m2),
            q.catch_g(row_kg_per_m),
            q.catch_g(row_kg_per_m * drill.rows),
            *((field_id, after) if heavy.ends else ("lasts", after)),
        )
