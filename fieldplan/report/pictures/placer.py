"""Where a mark of a map may stand: on the paper, in one of its windows, clear of all others."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

import shapely

from fieldplan.report.pictures.labels import Box, Room, text_box
from fieldplan.report.pictures.view import View
from fieldplan.report.words.plain import plain

AROUND = tuple((math.cos(math.radians(turn)), math.sin(math.radians(turn))) for turn in range(0, 360, 30))
_CAP_FRAC = 0.72
"""The height of a capital letter in the size of its text."""
PALE_SPARE = 0.14
"""Of the most that a text may take, which its pale ground leaves out at either end."""
AWAY_EM = (1.5, 2.4, 3.4, 4.6, 6.0, 8.0, 10.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Something drawn at a place of the paper; its SVG has that place as origin, so that pages can keep its size.

    ``kind`` is what the legend calls it.
    """

    x: float
    y: float
    svg: str
    kind: str

    @property
    def placed(self) -> str:
        """The mark at its place."""
        return f'<g class="at" transform="translate({self.x:.2f} {self.y:.2f})">{self.svg}</g>'


class Placer:
    """Finds room for the marks of one map.

    Parameters
    ----------
    views
        The windows.
    room
        The paper.
    em
        The size of ordinary text on it.
    """

    def __init__(self, views: Sequence[View], room: Room, em: float) -> None:
        self.views, self.room, self.em = views, room, em

    def at(self, point: shapely.Point) -> tuple[float, float] | None:
        """Where a point of the plane is drawn; ``None`` where no window shows it."""
        places = ((view, view.at(point)) for view in self.views)
        return next((at for view, at in places if view.shows(at)), None)

    def offsets(self) -> Iterator[tuple[float, float]]:
        """Offsets to try, the nearest first; but for the first they need a leader."""
        yield 0.0, 0.0
        for away in AWAY_EM:
            for cos, sin in AROUND:
                yield away * self.em * cos, away * self.em * sin

    def text(self, dx: float, dy: float, text: str, size: float, anchor: str, *, bold: bool = False) -> str:
        """A text on a pale ground of its own, so that lines do not strike it out."""
        weight = ' font-weight="bold"' if bold else ""
        box = text_box(dx, dy, text, size, anchor)
        spare = PALE_SPARE * (box.right - box.left)
        left = box.left + {"start": -0.1 * size, "middle": spare, "end": 2 * spare + 0.1 * size}[anchor]
        return (
            f'<rect class="pale" x="{left:.2f}" y="{dy - 0.78 * size:.2f}" width="{box.right - box.left - 2 * spare:.2f}" height="{size:.2f}"/>'
            f'<text x="{dx:.2f}" y="{dy:.2f}" font-size="{size:.2f}" text-anchor="{anchor}"{weight}>{escape(plain(text))}</text>'
        )

    def beside(
        self, x: float, y: float, text: str, size: float, off: float
    ) -> tuple[float, float, str] | None:
        """Take room for a text beside a mark of radius ``off``: its offset and anchor."""
        spot = self.spot_beside(x, y, text, size, off, [])
        if spot is not None:
            self.room.take(text_box(x + spot[0], y + spot[1], text, size, spot[2]))
        return spot

    def spot_beside(
        self, x: float, y: float, text: str, size: float, off: float, besides: Sequence[Box]
    ) -> tuple[float, float, str] | None:
        """Where a text has room beside a mark, clear of ``besides`` too; it is not taken yet."""
        level = 0.35 * size
        spots = (
            (off, level, "start"),
            (-off, level, "end"),
            (0.0, -off - 0.3 * size, "middle"),
            (0.0, off + 0.95 * size, "middle"),
            (off, level - off, "start"),
            (off, level + off, "start"),
            (-off, level - off, "end"),
            (-off, level + off, "end"),
        )
        for dx, dy, anchor in spots:
            box = text_box(x + dx, y + dy, text, size, anchor)
            if self.room.is_free(box) and not any(box.meets(other) for other in besides):
                return dx, dy, anchor
        return None


def leader_svg(dx: float, dy: float) -> str:
    """A thin line from a place to what stands away from it."""
    return f'<path class="leader" d="M0 0L{dx:.2f} {dy:.2f}"/>' if (dx, dy) != (0.0, 0.0) else ""


def arrow_svg(turn_deg: float, em: float) -> str:
    """North: an arrow that points that far clockwise from up, about its own middle, with its letter upright before the
    tip; both within two ``em`` of the middle.
    """
    turn, before, size = math.radians(turn_deg), 1.35 * em, 1.25 * em
    x, y = before * math.sin(turn), -before * math.cos(turn)
    return (
        f'<path class="north" transform="rotate({turn_deg:.2f})" d="M0 {-0.55 * em:.2f}l{0.7 * em:.2f} {2.4 * em:.2f}'
        f'-{0.7 * em:.2f} {-0.5 * em:.2f}-{0.7 * em:.2f} {0.5 * em:.2f}z"/>'
        f'<text x="{x:.2f}" y="{y + _CAP_FRAC / 2 * size:.2f}" font-size="{size:.2f}" font-weight="bold" '
        'text-anchor="middle">N</text>'
    )
