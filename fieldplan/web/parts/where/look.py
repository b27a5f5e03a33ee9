"""Where the map looks, what it is drawn to, and what lies behind it."""

from __future__ import annotations

from fieldplan.web.elements import button, plain
from fieldplan.web.parts.where.board import Board
from fieldplan.web.parts.where.points import place_of
from fieldplan.web.parts.where.typed import typed_box

_ZOOM = 15
"""A few fields on a screen."""


def build(board: Board) -> None:
    """Build the box for a place, and the switches of the map."""
    tiles = board.desk.tiles

    def go(text: str) -> None:
        def look() -> None:
            lon, lat = place_of(text)
            board.map.tell("go", lat, lon, _ZOOM)
            board.say(f"The map shows {lat:.5f}, {lon:.5f}")

        board.attempt(look)

    with plain("fieldset"):
        plain("legend", "The map")
        typed_box(
            "Go to latitude, longitude", "", go, empties=True, hint="such as 44.25, -95.75, then Enter"
        )
        buttons = plain("div", "", "where-buttons")
        said = plain(
            "p", f"Images come from {tiles.origin} and are asked for by this browser.", "where-hint"
        )
    with buttons:
        button("Show everything", lambda: board.look_at([one.geometry for one in board.desk.draft.ground]))
        images = button(
            "Aerial images: off", lambda: board.map.tell("ask_tiles", not on), aria_pressed="false"
        )
        with plain("label", "", "where-check"):
            snap = plain("input", type="checkbox", checked=True)
            plain("span", "Draw to neighbors' corners and edges")
    said.set_visibility(False)
    on = False

    def turned_on(_: object) -> None:
        nonlocal on
        on = True
        images.text = "Aerial images: on"
        images.props["aria-pressed"] = "true"
        said.set_visibility(True)

    def failed(_: object) -> None:
        said.text = f"Some images did not come from {tiles.origin}; everything else works without them."

    def snaps(said: object) -> None:
        board.snaps = bool(said)

    board.map.when("tiles_on", turned_on)
    board.map.when("tiles_failed", failed)
    snap.on("change", lambda said: snaps(said.args), js_handler="(e) => emit(e.target.checked)")
