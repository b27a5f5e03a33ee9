"""Where: files dropped, ground drawn, acres at once."""

from __future__ import annotations

from nicegui import ui

from fieldplan.web.desk import Desk
from fieldplan.web.elements import plain
from fieldplan.web.parts.held import held
from fieldplan.web.parts.where import draw, dropped, features, look, points
from fieldplan.web.parts.where.board import FIRST_VIEW, Board
from fieldplan.web.parts.where.ground_map import KEYS_ID, GroundMap

_MOVES = "Arrow keys move the map, with Shift in small steps; plus and minus zoom."
_KEYS = (
    f"{_MOVES} While drawing, Enter puts a point at the cross in the middle, "
    "Backspace takes back the last one, Escape stops. Points can also be typed as numbers beside the map."
)


def build(desk: Desk) -> None:
    """Build the map, the choice of files, and all that draws and lists ground."""
    ui.add_head_html('<link rel="stylesheet" href="/desk/where.css">')
    with plain("div", "", "where"):
        with held(desk, says=True):
            first = plain("div", "", "where-first")
            asked = plain("div", "", "where-asked")
            tools = plain("div")
        with plain("div", "", "where-map"):
            said = plain("p", "", "where-said", role="status", aria_live="polite")
            ground_map = GroundMap(
                "Map of the fields", FIRST_VIEW, desk.tiles, fixed=desk.read_only is not None
            )
            wrong = plain("div", "", "where-wrong", role="alert")
            with held(desk):
                ends = plain("div", "", "where-buttons")
            plain("p", _KEYS if desk.read_only is None else _MOVES, "where-keys", id=KEYS_ID)
        by_numbers = plain("div", "", "where-numbers")
        listed = plain("div", "", "where-side")
        board = Board(desk, ground_map, said, wrong)
        with first:
            dropped.build(board, asked)
        draw.build(board, tools, ends)
        with by_numbers:
            look.build(board)
            with held(desk):
                points.build(board)
        with listed:
            features.build(board)
    board.begin()
