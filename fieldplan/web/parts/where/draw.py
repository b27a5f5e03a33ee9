"""What to draw, and how far it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from nicegui.element import Element

from fieldplan.web.elements import button, plain
from fieldplan.web.parts.where.board import Board
from fieldplan.web.parts.where.typed import typed_box
from fieldplan.web.sketch import TOOLS, Sketch, Tool

_LABELS: dict[Tool, tuple[str, str]] = {
    "field": ("Field outline", "Corner after corner round the field; Finish closes it."),
    "hole": ("Hole in a field", "Corner after corner round ground that is no part of the field."),
    "area": ("Area not planted", "Corner after corner round it."),
    "line": ("Line not planted", "Along a waterway, a fence or a line of poles."),
    "point": ("Spot not planted", "A well, a pole, a tree: one point."),
    "gate": ("Gate", "One point where the drill comes in; it goes to the field that is chosen, or else the nearest."),
    "seed": ("Where the seed stands", "One point where boxes are filled."),
    "guide": ("Guide line", "A line that passes follow."),
    "edge": ("Open edge", "The two ends of a stretch of the outer edge over which turns may swing."),
    "split": ("Split a field", "A line right across the field, from outside to outside."),
}  # fmt: skip


def build(board: Board, tools: Element, ends: Element) -> None:
    """Build the choice of what to draw, and the buttons that end it.

    Parameters
    ----------
    tools, ends
        Where each of them is put.
    """
    with tools, plain("fieldset"):
        plain("legend", "Draw")
        chosen = plain("div", "", "where-tools")
        hint = plain("p", "", "where-hint")
        of_excluded = plain("div", "", "where-pair")
    with chosen:
        group = f"tool-{id(board):x}"
        radios = {}
        for tool, label in ((None, "Choose and move"), *((tool, _LABELS[tool][0]) for tool in TOOLS)):
            with plain("label", "", "where-tool"):
                radio = plain("input", type="radio", name=group, checked=tool is None)
                plain("span", label)
                radio.on("change", lambda _, tool=tool: board.start(tool), args=[])
                radios[tool] = radio
    with of_excluded:
        with plain("div"):
            typed_box(
                "Why it is not planted",
                "",
                lambda text: _with(board, lambda sketch: replace(sketch, reason=text)),
            )
        with plain("div"):
            typed_box(
                "Distance to keep from it",
                "",
                lambda text: _with(board, lambda sketch: replace(sketch, set_back=text)),
                hint='such as "30 ft" or "9 m"',
            )
    with ends:
        finish = button("Finish", lambda: done(board.finish), "main")
        stop = button("Stop drawing", lambda: done(board.stop))
        around = button("Take the longer way round", lambda: _other_way(board), aria_pressed="false")

    def done(end: Callable[[], None]) -> None:
        end()
        if board.sketch is None:  # the button that was pressed is gone: the next choice is here
            radios[None].run_method("focus", {"preventScroll": True})

    def show() -> None:
        sketch = board.sketch
        tool = None if sketch is None else sketch.tool
        tools.set_visibility(not board.asks)
        hint.text = "" if tool is None else _LABELS[tool][1]
        of_excluded.set_visibility(tool in ("area", "line", "point"))
        for one, radio in radios.items():
            radio.props["checked"] = one is tool
        for end in (finish, stop):
            end.set_visibility(sketch is not None)
        around.set_visibility(tool == "edge")
        around.props["aria-pressed"] = "true" if sketch is not None and sketch.other_way else "false"

    board.listen("sketch", show)
    show()


def _with(board: Board, typed: Callable[[Sketch], Sketch]) -> None:
    """Keep why ground is not planted, and how far to stay from it, for what is drawn now and next."""
    board.excluded = typed(board.excluded)
    if board.sketch is not None:
        board.sketch = typed(board.sketch)


def _other_way(board: Board) -> None:
    if board.sketch is not None:
        board.resketch(replace(board.sketch, other_way=not board.sketch.other_way))
