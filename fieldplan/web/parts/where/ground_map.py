"""The map as an element of the page: a component around the map library that the page's library brings."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import nicegui.elements.leaflet
import numpy as np
from nicegui.element import Element

from fieldplan.web.questions import View
from fieldplan.web.tiles import Tiles

KEYS_ID = "where-keys"
"""Of the text that says what keys do on the map."""
Told = Callable[[Mapping[str, Any]], Any]


class GroundMap(Element, component="ground_map.js"):
    """A map that shows features and tells what a person does on it.

    Parameters
    ----------
    label
        What it is called for those who do not see it.
    bounds
        West, south, east and north of what it shows first, in degrees.
    tiles
        Images behind it, for a page that was opened with them turned on.
    fixed
        Nothing on it can be changed.

    Attributes
    ----------
    kept
        Is told what was being drawn in this tab before the page was loaded anew.
    """

    def __init__(self, label: str, bounds: View, tiles: Tiles, *, fixed: bool = False) -> None:
        super().__init__()
        self.add_resource(Path(nicegui.elements.leaflet.__file__).parent / "dist")
        self._props["label"] = label
        self._props["bounds"] = list(bounds)
        self._props["fixed"] = fixed
        self._props["tiles"] = {
            "address": tiles.address,
            "attribution": tiles.attribution,
            "deepest": tiles.deepest,
        }
        self._is_ready = False
        self._waiting: dict[str, tuple[Any, ...]] = {}
        self.kept: Callable[[object], None] = lambda _: None
        self.on("ready", lambda said: self._ready(said.args))

    def tell(self, what: str, *values: Any) -> None:
        """Have the map do something; before it is ready, the last of each kind is kept for it."""
        if self._is_ready:
            self.run_method(what, *values)
        else:
            self._waiting[what] = values

    def when(self, event: str, told: Told) -> None:
        """Tell what the person does."""
        self.on(event, lambda said: told(said.args if isinstance(said.args, Mapping) else {}))

    def _ready(self, said: object) -> None:
        self._is_ready = True
        sketch = said.get("sketch") if isinstance(said, Mapping) else None
        if sketch is not None:
            self._waiting.pop("sketch", None)
            self.kept(sketch)
        for what, values in self._waiting.items():
            self.run_method(what, *values)
        self._waiting.clear()


def as_list(points: Sequence[tuple[float, float]]) -> list[list[float]]:
    """Places as the map is told them, to a tenth of a millimeter."""
    found: list[list[float]] = np.round(np.asarray(points, dtype=float).reshape(-1, 2), 9).tolist()
    return found
