"""Names of ground on a map: over their own ground, or away from it at the end of a leader."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from fieldplan.model.coverage import Array
from fieldplan.report.pictures.labels import Box, round_box, text_box
from fieldplan.report.pictures.placer import AROUND, PALE_SPARE, Mark, Placer, leader_svg
from fieldplan.report.pictures.view import View

AWAY_EM = (1.5, 2.4, 3.4, 4.6, 6.0, 8.0, 10.0, 12.5, 15.0)
MOST_PLACES = 1500
"""Places on its ground that are tried for a name, at most."""
_SPARE = 0.02
"""Of the width that a text may have at most, which even wide bold faces leave free at either end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """Ground of the plane that is to be named, and what its name may stand on.

    Parameters
    ----------
    ground
        The ground: the middle of a name without a leader lies on it.
    home
        Where such a name may reach to, such as the headland beside the ground.
    on_it
        Texts for there, the best first.
    led
        Texts for the end of a leader, the best first; the last one is the shortest that says which ground it is.
    rather_off
        What a name on a leader rather keeps clear of: the field, but for what must be known on it.
    others
        What no name should cover: ground that has a name of its own.
    """

    ground: BaseGeometry
    home: BaseGeometry
    on_it: Sequence[str]
    led: Sequence[str]
    rather_off: BaseGeometry
    others: BaseGeometry = field(default_factory=MultiPolygon)


def named(placer: Placer, what: Named, kind: str) -> Iterator[Mark]:
    """The best text that finds room.

    On its ground with all that there is to say, beside the field on a leader, on its ground by the shortest name, on a
    leader clear of other names' ground, on a leader anywhere; nothing if no text has room.

    Parameters
    ----------
    placer
        Finds room.
    what
        The ground and its texts.
    kind
        What the legend calls the mark; blocks are named in bold.
    """
    point = what.ground.representative_point()
    at = placer.at(point)
    if at is None:
        return
    view = next(view for view in placer.views if view.shows(view.at(point)))
    short = [text for text in what.on_it if text == what.led[-1]] if len(what.led) > 1 else []
    long = [text for text in what.on_it if text not in short]
    rather_off, others = (
        shapely.union_all([one.drawn(ground) for one in placer.views])
        for ground in (what.rather_off, what.others)
    )
    places = _places(view, what.ground, at, placer.em)
    home = view.drawn(what.home)
    spot = (
        _on(placer, at, places, home, long)
        or _led(placer, at, what.led[:-1] or what.led, rather_off)
        or _on(placer, at, places, home, short)
        or _led(placer, at, what.led[-1:], rather_off)
        or _led(placer, at, what.led, others)
        or _led(placer, at, what.led, MultiPolygon())
    )
    if spot is None:
        return
    text, (dx, dy), is_led = spot
    (x, y), em = at, placer.em
    leader = ""
    if is_led:
        end = _end(dx, dy, text, em)
        placer.room.take(*_along(x, y, *end, em))
        leader = f'{leader_svg(*end)}<circle class="dot" r="{0.16 * em:.2f}"/>'
    placer.room.take(text_box(x + dx, y + dy + 0.35 * em, text, em))
    svg = placer.text(dx, dy + 0.35 * em, text, em, "middle", bold=kind == "block")
    yield Mark(x=x, y=y, svg=leader + svg, kind=kind)


Spot = tuple[str, tuple[float, float], bool]


def _places(view: View, ground: BaseGeometry, at: tuple[float, float], em: float) -> Array:
    """Offsets of places on the ground, (n, 2), the nearest to its middle first."""
    drawn = view.drawn(ground)
    if drawn.is_empty:
        return np.zeros((0, 2))
    left, top, right, low = drawn.bounds
    step = max(0.4 * em, math.sqrt((right - left) * (low - top) / MOST_PLACES))
    across = np.arange(math.ceil((left - at[0]) / step), math.floor((right - at[0]) / step) + 1) * step
    down = np.arange(math.ceil((top - at[1]) / step), math.floor((low - at[1]) / step) + 1) * step
    x, y = (axis.ravel() for axis in np.meshgrid(across, down))
    inside = shapely.contains_xy(drawn, at[0] + x, at[1] + y)
    found = np.column_stack([x, y])[inside]
    away = np.round(np.hypot(found[:, 0], 2.0 * found[:, 1]), 6)
    return np.asarray(found[np.argsort(away, kind="stable")])


def _on(
    placer: Placer, at: tuple[float, float], places: Array, home: BaseGeometry, texts: Sequence[str]
) -> Spot | None:
    """A text that lies on its ground whole."""
    (x, y), em = at, placer.em
    shapely.prepare(home)
    for text in texts:
        box = text_box(0.0, 0.35 * em, text, em)
        spare = _SPARE * (box.right - box.left)
        dx, dy = x + places[:, 0], y + places[:, 1]
        boxes = shapely.box(dx + box.left + spare, dy + box.top, dx + box.right - spare, dy + box.bottom)
        for off_x, off_y in places[shapely.covers(home, boxes)].tolist():
            if placer.room.is_free(text_box(x + off_x, y + off_y + 0.35 * em, text, em)):
                return text, (off_x, off_y), False
    return None


def _led(
    placer: Placer, at: tuple[float, float], texts: Sequence[str], clear_of: BaseGeometry
) -> Spot | None:
    """A text away from its ground that covers none of ``clear_of``, with room for its leader."""
    (x, y), em = at, placer.em
    shapely.prepare(clear_of)
    for text in texts:
        for away in AWAY_EM:
            for cos, sin in AROUND:
                dx, dy = away * em * cos, away * em * sin
                box = text_box(x + dx, y + dy + 0.35 * em, text, em)
                if (
                    placer.room.is_free(box)
                    and not clear_of.intersects(shapely.box(*box))
                    and placer.room.is_free(*_along(x, y, *_end(dx, dy, text, em), em))
                ):
                    return text, (dx, dy), True
    return None


def _end(dx: float, dy: float, text: str, em: float) -> tuple[float, float]:
    """Where a leader from the origin meets its text."""
    box = text_box(dx, dy + 0.35 * em, text, em)
    spare = PALE_SPARE * (box.right - box.left)
    return min(max(0.0, box.left + spare), box.right - spare), min(max(0.0, box.top), box.bottom)


def _along(x: float, y: float, dx: float, dy: float, em: float) -> list[Box]:
    """Small boxes along a leader, which it takes up."""
    n = math.ceil(math.hypot(dx, dy) / (0.5 * em))
    return [round_box(x + dx * i / n, y + dy * i / n, 0.15 * em) for i in range(n)]
