"""The cover of a job on one page of paper."""

from __future__ import annotations

from typing import Any

from fieldplan.model.plan import Plan
from fieldplan.report.output import Output, PlanAsked, of_bytes
from fieldplan.report.text.plan.short import ground_text
from fieldplan.report.text.plan_page import title_of
from fieldplan.report.typeset import Paper, compiled
from fieldplan.report.words.cover import Told, told, unbroken
from fieldplan.report.words.notes import short_sentences
from fieldplan.report.words.plain import head_line, plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import parcel

MAX_NAMES = 6
"""Fields that the title of the file names; the others are counted."""


def cover_sheet(plan: Plan, boundary_name: str, q: Quantities, paper: Paper) -> bytes:
    """A PDF of one page: warnings, then what to book, buy, bring, pay and ask.

    Parameters
    ----------
    plan
        The plan of the job.
    boundary_name
        The name of the boundary file, for the heading.
    q
        The reader's units.
    paper
        The size of the page; the letters get smaller until all fits on it.

    Raises
    ------
    MissingExtra
        If the typesetter is not installed.
    """
    warned = (note for note in plan.notes if note.warning)
    ground = Told(name="Ground", says=ground_text(plan, q).removesuffix("."), why=(), give="", unknown="")
    return compiled(
        "cover",
        {
            "title": plain(f"Cover of the job: {_names(plan)}"),
            "heading": title_of(plan, boundary_name),
            "drill": plain(plan.job.drill.name),
            "paper": paper,
            "head": head_line(plan.job.drill.letterhead),
            "warnings": [plain(text) for text in short_sentences(warned, q, len(plan.fields))],
            "answers": [_answer(one) for one in (*told(plan, q), ground)],
            "last": "The maker's manual, labels and local rules come first.",
        },
    )


def _names(plan: Plan) -> str:
    names = [parcel(field) for field in plan.fields]
    more = len(names) - MAX_NAMES
    return ", ".join(names[:MAX_NAMES]) + (f" and {more} more" if more > 0 else "")


def _answer(one: Told) -> dict[str, Any]:
    return {
        "name": one.name,
        "says": plain(one.says),
        "why": [unbroken(plain(text)) for text in one.why],
        "unknown": plain(one.unknown),
    }


OUTPUT: Output[PlanAsked] = Output(
    name="cover",
    words="PDF, one page: what to book, buy, bring, pay and ask",
    make=lambda asked: {
        "cover.pdf": of_bytes(lambda: cover_sheet(asked.plan, asked.boundary_name, asked.q, asked.paper))
    },
    extra="sheets",
)
