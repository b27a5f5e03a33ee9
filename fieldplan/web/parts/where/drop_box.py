"""The choice of files, as an element of the page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from nicegui.element import Element

from fieldplan.errors import Problem, problem
from fieldplan.web.arrived import LARGEST_DROP_BYTES, MAX_FILES


class DropBox(Element, component="drop_box.js"):
    """An ordinary file input; what is dropped on the page counts as chosen too."""

    def __init__(self, address: str) -> None:
        super().__init__()
        self._props["address"] = address
        self._props["most-bytes"] = LARGEST_DROP_BYTES
        self._props["most-files"] = MAX_FILES


def unsent(said: Mapping[str, Any]) -> Problem:
    """Why files were not even sent, of what the input tells."""
    match said.get("why"):
        case "many":
            return problem("dropped-too-many", n_most=MAX_FILES)
        case "large":
            return problem("dropped-too-large", most_bytes=LARGEST_DROP_BYTES)
    return problem("dropped-nothing")
