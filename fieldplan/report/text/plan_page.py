"""The plan page: a whole plan in plain language for the terminal, section by section."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.report.text.notes import note_lines
from fieldplan.report.text.plan.cost import cost_lines
from fieldplan.report.text.plan.day import day_lines
from fieldplan.report.text.plan.days_to_book import days_to_book_lines
from fieldplan.report.text.plan.driving import driving_lines
from fieldplan.report.text.plan.ground import ground_lines
from fieldplan.report.text.plan.hours import hours_lines
from fieldplan.report.text.plan.refills import refill_lines
from fieldplan.report.text.plan.seed import seed_lines
from fieldplan.report.text.plan.short import short_lines
from fieldplan.report.text.plan.tractor import tractor_lines
from fieldplan.report.text.table import paragraph
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities


def page(plan: Plan, boundary_name: str, quantities: Quantities, *, every_stop: bool = False) -> str:
    """The plan as text: each field and the whole job, then the notes and the sources.

    Parameters
    ----------
    plan
        The plan to print.
    boundary_name
        The name of the boundary file, for the first line.
    quantities
        The reader's units.
    every_stop
        List all refill stops of a field instead of the first few.

    Returns
    -------
    str
        Lines of at most 96 columns, tables apart, with a line end after the last.
    """
    q = quantities
    sections = {
        "IN SHORT": _short(plan, q),
        "GROUND": ground_lines(plan, q),
        "DRIVING": driving_lines(plan, q),
        "SEED": seed_lines(plan, q),
        "REFILLS": refill_lines(plan, q, every_stop=every_stop),
        "HOURS": hours_lines(plan, q),
        "DAYS TO BOOK": days_to_book_lines(plan),
        "ON THE DAY": day_lines(plan, q),
        "TRACTOR": tractor_lines(plan, q),
        "COST": cost_lines(plan, q),
        "NOTES": note_lines(plan.notes, q),
        "SOURCES": _sources(plan),
    }
    body = [line for heading, lines in sections.items() for line in ("", heading, *lines)]
    return "\n".join([*_head(plan, boundary_name, q), *body]) + "\n"


def title_of(plan: Plan, boundary_name: str) -> str:
    """What is planned, with which job."""
    return plain(f"Plan for {boundary_name} with {plan.job.path.name}")


def short_answer(plan: Plan, quantities: Quantities) -> str:
    """The few lines that answer how much ground there is, how long to book and what to buy.

    Parameters
    ----------
    plan
        The plan to print.
    quantities
        The reader's units.
    """
    return "\n".join(_short(plan, quantities)) + "\n"


def _head(plan: Plan, boundary_name: str, q: Quantities) -> list[str]:
    drill, working = plan.job.drill, plan.job.working
    return [
        title_of(plan, boundary_name),
        f"{plain(drill.name)}: {q.length(drill.effective_width_m, 1)} of ground a pass ({drill.rows} rows, "
        f"{q.spacing(drill.row_spacing_m)} apart), {q.speed(working.field_speed_m_per_s)} while sowing",
    ]


def _short(plan: Plan, q: Quantities) -> list[str]:
    return [wrapped for line in short_lines(plan, q) for wrapped in paragraph(line)]


def _sources(plan: Plan) -> list[str]:
    return [
        line for source in plan.sources for line in paragraph(f"{source.key}: {source.title}", bullet="- ")
    ]
