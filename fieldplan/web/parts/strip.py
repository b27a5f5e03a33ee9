"""The answer in one line that stays in sight: days, seed, tractor and fee, or how far the planning is."""

from __future__ import annotations

from fieldplan.report.html.tags import text
from fieldplan.report.words.cover import told
from fieldplan.report.words.first_start import FIRST
from fieldplan.report.words.numbers import counted
from fieldplan.web.desk import Desk
from fieldplan.web.elements import fragment, plain
from fieldplan.web.waiting import waiting_for

NOTHING = "Draw a field, or choose a boundary file."


def build(desk: Desk) -> None:
    """Build the strip in the current container."""
    with plain("div", "", "strip", role="region", aria_label="the answer in short") as strip:
        shown = fragment(tag="div", classes="strip-answers")
        status = plain("span", "", "status", role="status")

    def progress() -> None:
        status.text = _status(desk)
        strip.classes(add="" if desk.up_to_date else "older", remove="older" if desk.up_to_date else "")

    def show() -> None:
        progress()
        if desk.answer is not None:
            shown.content = _answers(desk)

    desk.listen("answer", show, first=True)
    desk.listen("units", show)
    desk.listen("progress", progress)
    show()


def _status(desk: Desk) -> str:
    if not desk.up_to_date:
        return waiting_for(desk)
    if not desk.draft.ground:
        return f"{NOTHING} {FIRST}" if desk.compiles else NOTHING
    n = len(desk.answer.problems) if desk.answer else 0
    return f"{counted(n, 'thing')} missing for a plan" if n else ""


def _answers(desk: Desk) -> str:
    """Name and answer of each question of the cover that has a short answer."""
    if desk.answer is None or desk.answer.plan is None:
        return ""
    said = [one for one in told(desk.answer.plan, desk.q) if one.name != "Ask"]
    return "".join(f'<span class="of"><b>{text(one.name)}</b>{text(one.says)}</span>' for one in said)
