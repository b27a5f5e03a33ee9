"""Where: files dropped, ground drawn, acres at once."""

from __future__ import annotations

from importlib.resources import files

from nicegui import ui

from fieldplan.web.desk import Desk
from fieldplan.web.elements import plain
from fieldplan.web.parts.where import draw, dropped, features, look, points
from fieldplan.web.parts.where.board import FIRST_VIEW, Board
from fieldplan.web.parts.where.ground_map import GroundMap

_KEYS = (
    "Arrow keys move the map, plus and minus zoom. While drawing, Enter puts a point at the cross in the middle, "
    "Backspace takes back the last one, Escape stops. Points can also be typed as numbers beside the map."
)


def build(desk: Desk) -> None:
    """Build the map, the choice of files, and all that draws and lists ground."""
    tiles = desk.tiles
    style = files("fieldplan.web.parts.where").joinpath("where.css").read_text(encoding="utf-8")
    ui.add_head_html(f"<style>{style}</style>")
    with plain("div", "", "where"):
        first = plain("div", "", "where-first")
        with plain("div", "", "where-map"):
            said = plain("p", "", "where-said", role="status", aria_live="polite")
            ground_map = GroundMap("Map of the fields", FIRST_VIEW, tiles)
            plain("p", _KEYS, "where-keys", id="g-map-keys")
            wrong = plain("div", "", "where-wrong", role="alert")
        board = Board(desk, ground_map, said, wrong)
        with first:
            with plain("div"):
                dropped.build(board)
            with plain("div"):
                look.build(board, tiles)
        with plain("div", "", "where-draw"):
            draw.build(board)
            points.build(board)
        with plain("div", "", "where-side"):
            features.build(board)
    board.begin()
