"""The plan in plain language for the terminal: a page that can be read at once, and the whole page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fieldplan.model.plan import Plan
from fieldplan.report.text.notes import note_lines
from fieldplan.report.text.plan.after import after_lines
from fieldplan.report.text.plan.before import before_lines
from fieldplan.report.text.plan.cost import cost_lines
from fieldplan.report.text.plan.cover import cover_lines
from fieldplan.report.text.plan.day import day_lines, short_day_lines
from fieldplan.report.text.plan.days_to_book import days_to_book_lines
from fieldplan.report.text.plan.driving import driving_lines
from fieldplan.report.text.plan.ground import ground_lines
from fieldplan.report.text.plan.hours import hours_lines
from fieldplan.report.text.plan.in_field import in_field_lines
from fieldplan.report.text.plan.refills import refill_lines
from fieldplan.report.text.plan.seed import seed_lines
from fieldplan.report.text.plan.tractor import tractor_lines
from fieldplan.report.text.table import NARROW, paragraph
from fieldplan.report.words.notes import n_background, notes_to_act_on, short_sentences
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities

_MORE = "All stops, tables, {} and the sources: the same command with -v."


def page(plan: Plan, boundary_name: str, quantities: Quantities) -> str:
    """The plan on a page that can be read at once: the cover, then what to do in order, then notes to act on.

    Parameters
    ----------
    plan
        The plan to print.
    boundary_name
        The name of the boundary file, for the first line.
    quantities
        The reader's units.

    Returns
    -------
    str
        Lines of at most 79 columns, with a line end after the last. `whole_page` has all that is left out.
    """
    q, n_fields = quantities, len(plan.fields)
    notes = short_sentences(notes_to_act_on(plan.notes), q, n_fields)
    notes.append(_MORE.format(counted(n_background(plan.notes), "more note")))
    sections = {
        "BEFORE": before_lines(plan, q),
        "ON THE DAY": short_day_lines(plan, q),
        "IN THE FIELD": in_field_lines(plan, q),
        "AFTER": after_lines(plan, q),
        "NOTES": [line for text in notes for line in paragraph(text, bullet="- ", maximum=NARROW)],
    }
    return _joined(
        [*paragraph(title_of(plan, boundary_name), indent=0, maximum=NARROW), *cover_lines(plan, q)],
        sections,
    )


def whole_page(plan: Plan, boundary_name: str, quantities: Quantities) -> str:
    """All of the plan as text, section by section, with every stop, note and source.

    Parameters
    ----------
    plan
        The plan to print.
    boundary_name
        The name of the boundary file, for the first line.
    quantities
        The reader's units.

    Returns
    -------
    str
        Lines of at most 96 columns, tables apart, with a line end after the last.
    """
    q = quantities
    sections = {
        "DAYS TO BOOK": days_to_book_lines(plan),
        "SEED": seed_lines(plan, q),
        "TRACTOR": tractor_lines(plan, q),
        "COST": cost_lines(plan, q),
        "ON THE DAY": day_lines(plan, q),
        "REFILLS": refill_lines(plan, q),
        "DRIVING": driving_lines(plan, q),
        "GROUND": ground_lines(plan, q),
        "HOURS": hours_lines(plan, q),
        "AFTER": after_lines(plan, q),
        "NOTES": note_lines(plan.notes, q),
        "SOURCES": _sources(plan),
    }
    return _joined([*_head(plan, boundary_name, q), "", *cover_lines(plan, q, in_full=True)], sections)


def _joined(head: Sequence[str], sections: Mapping[str, Sequence[str]]) -> str:
    body = [line for heading, lines in sections.items() for line in ("", heading, *lines)]
    return "\n".join([*head, *body]) + "\n"


def title_of(plan: Plan, boundary_name: str) -> str:
    """What is planned, with which job."""
    return plain(f"Plan for {boundary_name} with {plan.job.path.name}")


def short_answer(plan: Plan, quantities: Quantities) -> str:
    """The cover alone: what to book, buy, bring, pay and ask, and the ground.

    Parameters
    ----------
    plan
        The plan to print.
    quantities
        The reader's units.
    """
    return "\n".join(cover_lines(plan, quantities)) + "\n"


def _head(plan: Plan, boundary_name: str, q: Quantities) -> list[str]:
    drill, working = plan.job.drill, plan.job.working
    return [
        title_of(plan, boundary_name),
        f"{plain(drill.name)}: {q.length(drill.effective_width_m, 1)} of ground a pass ({drill.rows} rows, "
        f"{q.spacing(drill.row_spacing_m)} apart), {q.speed(working.field_speed_m_per_s)} while sowing",
    ]


def _sources(plan: Plan) -> list[str]:
    return [
        line for source in plan.sources for line in paragraph(f"{source.key}: {source.title}", bullet="- ")
    ]
