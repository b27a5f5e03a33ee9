"""The units in which the page speaks: a switch."""

from __future__ import annotations

from functools import partial

from fieldplan.report.words.quantities import System
from fieldplan.web.desk import Desk
from fieldplan.web.elements import button, plain, pressed_as

WORDS: tuple[tuple[System, str], ...] = (("us", "US units"), ("metric", "Metric units"))


def build(desk: Desk) -> None:
    """Show the switch; what was typed stays as it was typed."""
    with plain("div", "", "units", role="group", aria_label="Units"):
        buttons = {system: button(words, partial(desk.speak, system)) for system, words in WORDS}

    def show() -> None:
        for system, one in buttons.items():
            pressed_as(one, on=desk.units == system)

    desk.listen("units", show)
    show()
