"""What was checked between tractor and drill."""

from __future__ import annotations

from fieldplan.model.cost import OWN_NEED
from fieldplan.model.plan import Plan
from fieldplan.report.text.table import paragraph
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence, sources_text

_GROUPS = {"fail": "fails on", "warn": "check", "ask": "ask, or give in the job file:"}
"""What to do about the checks of a verdict."""


def tractor_lines(plan: Plan, q: Quantities) -> list[str]:
    """Each check of the tractor with its verdict, its numbers and their sources.

    Parameters
    ----------
    plan
        The plan to print.
    q
        The reader's units.
    """
    lines = []
    for check in plan.tractor:
        cited = sources_text(check.unnamed_sources)
        source = "" if not cited else f"; {cited}" if check.source == OWN_NEED else f" ({cited})"
        text = f"{check.about}: {sentence(check.text, q)}{source}."
        lines += paragraph(text, bullet=f"{check.verdict:<5}")
    return lines


def tractor_in_short(plan: Plan) -> str:
    """What fails, what to check, what is not known, and how many checks pass.

    Parameters
    ----------
    plan
        The plan whose tractor was checked.
    """
    parts = []
    for verdict, action in _GROUPS.items():
        about = dict.fromkeys(check.about for check in plan.tractor if check.verdict == verdict)
        if about:
            parts.append(f"{action} {', '.join(about)}")
    n_passed = sum(check.verdict == "pass" for check in plan.tractor)
    return "; ".join([*parts, counted(n_passed, "check passes", "checks pass")])
