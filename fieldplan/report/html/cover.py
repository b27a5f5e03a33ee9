"""The cover at the start of the page: warnings, then what to book, buy, bring, pay and ask."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.report.html.tags import listed, text
from fieldplan.report.text.plan.short import ground_text
from fieldplan.report.words.cover import Told, told, unbroken
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.quantities import Quantities


def cover_html(plan: Plan, q: Quantities, *, keys: bool = True) -> str:
    """Warnings in full and the answers of the cover as a list of terms.

    Parameters
    ----------
    plan
        The plan of the job.
    q
        The reader's units.
    keys
        Say by which keys of the job file to give what is not known; without them it is only said what that is.
    """
    warnings = "".join(f'<p class="danger">{text(warning)}</p>' for warning in warning_lines(plan.notes, q))
    answers = "".join(
        f"<dt>{text(one.name)}</dt><dd>{_answer(one, keys=keys)}</dd>" for one in told(plan, q)
    )
    ground = f"<dt>Ground</dt><dd>{text(ground_text(plan, q))}</dd>"
    return f'{warnings}<dl class="cover">{answers}{ground}</dl>'


def _answer(one: Told, *, keys: bool) -> str:
    why = listed(map(unbroken, one.why)) if one.why else ""
    lacking = one.give if keys else one.unknown
    give = f'<p class="give">{text(lacking)}</p>' if lacking else ""
    return f"<strong>{text(one.says)}</strong>{why}{give}"
