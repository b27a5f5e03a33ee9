"""The page of a job: the parts in their places, and what is said about saving."""

from __future__ import annotations

from collections.abc import Callable

from nicegui import ui
from nicegui.element import Element

from fieldplan.web.desk import Desk
from fieldplan.web.elements import button, link, place_of, plain, section
from fieldplan.web.in_words import in_words
from fieldplan.web.parts import (
    cover,
    hours,
    job,
    notes,
    odds,
    out,
    route,
    seed,
    steps,
    strip,
    units,
    what_if,
    where,
)
from fieldplan.web.tab import State, Tab

Build = Callable[[Desk], None]
PUT_IN: tuple[tuple[str, Build], ...] = (
    ("Where", where.build),
    ("The job", job.build),
    ("What if", what_if.build),
)
"""Parts in which things are put in: their headings, and what builds them."""
ANSWER: tuple[tuple[str, Build], ...] = (
    ("What to book, buy, bring and pay", cover.build),
    ("How to drive", route.build),
    ("Odds", odds.build),
    ("Hours", hours.build),
    ("Seed", seed.build),
    ("Notes", notes.build),
    ("Papers and files", out.build),
)
"""Parts that show the plan."""
OF_A_PLAN = frozenset({route.build, odds.build, hours.build, seed.build, notes.build})
"""Parts that have nothing to show without one."""
SAYS: dict[State, str] = {
    "saved": "All saved",
    "saving": "Saving …",
    "overtaken": "Not saved",
    "read only": "Read only",
    "failed": "Not saved yet",
}


def build(tab: Tab) -> None:
    """Build the page of a job in the current client."""
    desk = tab.desk
    with plain("div", "", "desk"):
        with plain("div", "", "top"):
            link("All jobs", "/")
            plain("h1", desk.name)
            units.build(desk)
            _saving(tab)
        with plain("div", "", "lead"):
            strip.build(desk)
            link("Whole answer", f"#{place_of(ANSWER[0][0])}", "jump")
            steps.build(desk)
        with plain("div", "", "two"):
            with plain("div", "", "put-in"):
                for title, part in PUT_IN:
                    with section(title):
                        part(desk)
            with plain("div", "", "answer"):
                for title, part in ANSWER:
                    with section(title, title.split()[0].casefold()) as made:
                        part(desk)
                    if part in OF_A_PLAN:
                        _only_with_a_plan(desk, made)
    tab.begin()


def _only_with_a_plan(desk: Desk, part: Element) -> None:
    """Show a part only while there is a plan to show of."""

    def show() -> None:
        part.set_visibility(desk.answer is not None and desk.answer.plan is not None)

    desk.listen("answer", show)
    show()


def _saving(tab: Tab) -> None:
    """Whether all is saved; where it is not, why, and what can be done."""
    status = plain("p", SAYS[tab.state], "saving", role="status")
    told = plain("div", "", "told", role="alert")

    def show() -> None:
        status.text = SAYS[tab.state]
        told.clear()
        q = tab.desk.q
        with told:
            for one in tab.why:
                plain("p", in_words(one, q))
            if tab.state == "overtaken":
                button("Show the newer state", newer)
                button("Keep mine as a job of its own", keep)

    async def newer() -> None:
        if not await tab.take_newer():
            ui.navigate.reload()

    async def keep() -> None:
        ui.navigate.to(f"/job/{await tab.keep_mine()}")

    tab.desk.listen("saved", show)
    tab.desk.listen("units", show)
    show()
