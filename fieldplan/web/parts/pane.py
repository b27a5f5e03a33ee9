"""A part of the page that is HTML in pieces: only those that changed are sent, and what is typed comes back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from nicegui import ui
from nicegui.events import GenericEventArguments

Said = Mapping[str, Any]
"""What the page tells: what was done (``do``), the ``id`` of the box, its ``parts``, a ``place`` and a ``value``."""


class Pane(ui.element, component="pane.js"):
    """An element that holds HTML and exchanges pieces of it.

    Parameters
    ----------
    html
        What it shows at first; all that a person gave must be escaped in it.
    on_said
        Is called with what is typed or pressed in it.
    """

    def __init__(self, html: str, on_said: Callable[[Said], None]) -> None:
        super().__init__()
        self._props["html"] = html
        self.on("said", lambda event: on_said(_mapping(event)))

    def put(self, pieces: Mapping[str, str], focus: str = "") -> None:
        """Exchange the content of elements, by their ids; then go to one of them, if it is named."""
        if pieces or focus:
            self.run_method("put", dict(pieces), focus)


def _mapping(event: GenericEventArguments) -> Said:
    return event.args if isinstance(event.args, dict) else {}
