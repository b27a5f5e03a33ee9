"""The cover of the job: what to book, buy, bring, pay and ask; or what is missing for an answer."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from fieldplan.errors import Problem
from fieldplan.report.html.cover import cover_html
from fieldplan.report.html.tags import text
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import hint_sentence, sentence
from fieldplan.web.desk import Desk
from fieldplan.web.elements import fragment, place_of, plain
from fieldplan.web.waiting import PLANNING, waiting_for
from fieldplan.web.written import FIELDS, JOB

MAX_SHOWN = 40
NOTHING = "There is no field yet. Draw one, or choose a boundary file."
IN_JOB = "The job"
"""The part of the page in which the job is filled in."""
OLDER = "This is the answer to what stood there before; the new one is on its way."


def build(desk: Desk) -> None:
    """Build the part in the current container."""
    status = plain("p", PLANNING, "status", role="status")
    shown = fragment()

    def progress() -> None:
        status.text = waiting_for(desk)
        shown.classes(add="" if desk.up_to_date else "older", remove="older" if desk.up_to_date else "")

    def show() -> None:
        progress()
        answer = desk.answer
        if answer is None:
            return
        q = desk.q
        if answer.plan is not None:
            shown.content = cover_html(answer.plan, q, keys=False)
        elif answer.problems and desk.draft.ground:
            shown.content = problems_html(answer.problems, q)
        else:
            shown.content = f"<p>{text(NOTHING)}</p>"

    desk.listen("answer", show, first=True)
    desk.listen("units", show)
    desk.listen("progress", progress)
    show()


def problems_html(problems: tuple[Problem, ...], q: Quantities) -> str:
    """What is in the way of a plan, as a list. What is about the job is said at its boxes, and here only how much it is."""
    of_job = [one for one in problems if _is_of_job(one)]
    others = [one for one in problems if one not in of_job]
    lines = [f"<li>{_problem(one, q)}</li>" for one in others[:MAX_SHOWN]]
    if of_job:
        there = f'<a href="#{place_of(IN_JOB)}">{text(IN_JOB)}</a>'
        lines.insert(
            0, f"<li>{there}: {counted(len(of_job), 'thing')} to fill in or mend, each said there.</li>"
        )
    more = len(others) - MAX_SHOWN
    rest = f"<p>And {more:,} more like these.</p>" if more > 0 else ""
    return f"<p><strong>Missing for a plan:</strong></p><ul class='missing'>{''.join(lines)}</ul>{rest}"


def _is_of_job(one: Problem) -> bool:
    """Whether a problem is said at a box of the job; which mix a field gets is asked there too."""
    return Path(one.file).name == JOB or (one.code == "mix-unknown" and "field" in one.values)


def _problem(one: Problem, q: Quantities) -> str:
    """In words, without the name of a file that the person has not named."""
    if Path(one.file).name == FIELDS:
        one = replace(one, file="")
    hint = hint_sentence(one, q)
    return text(sentence(one, q)) + (f"<br><em>{text(hint)}</em>" if hint else "")
