"""Parts that show something of the plan: drawn after the cover, and pale while the plan is that of before."""

from __future__ import annotations

from collections.abc import Callable

from fieldplan.model.plan import Plan
from fieldplan.report.words.quantities import Quantities
from fieldplan.web.desk import Desk
from fieldplan.web.elements import fragment

Html = Callable[[Plan, Quantities], str]
NONE_YET = "<p>Shown as soon as there is a plan.</p>"


def shown_with_plan(desk: Desk, html: Html) -> None:
    """Show HTML made of the plan, anew with each answer and in other units.

    Parameters
    ----------
    html
        Makes it of the plan in the reader's units.
    """
    shown = fragment(NONE_YET)

    def draw() -> None:
        if shown.is_deleted:
            return
        plan = None if desk.answer is None else desk.answer.plan
        shown.content = NONE_YET if plan is None else html(plan, desk.q)

    after_the_cover(desk, draw)


def after_the_cover(desk: Desk, draw: Callable[[], None]) -> None:
    """Draw with each answer and in other units, after what stands at the top of the page."""
    desk.listen("answer", draw)
    desk.listen("units", draw)
    draw()
