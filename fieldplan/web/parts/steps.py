"""Undo and redo: the one place of the page where changes are taken back, of the map and of the job alike."""

from __future__ import annotations

from nicegui.element import Element

from fieldplan.web.desk import Desk


class Steps(Element, component="steps.js"):
    """Two buttons, and the keys of both anywhere on the page but where text is typed, which has its own."""


def build(desk: Desk) -> None:
    """Build the buttons in the current container; none where the job is read only."""
    if desk.read_only is not None:
        return
    made = Steps()
    made.on("undo", desk.undo, args=[])
    made.on("redo", desk.redo, args=[])

    def show() -> None:
        made.props["undoes"] = desk.can_undo
        made.props["redoes"] = desk.can_redo

    desk.listen("draft", show)
    desk.listen("sketch", show)
    show()
