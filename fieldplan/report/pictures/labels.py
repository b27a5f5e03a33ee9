"""Room for labels: what stands on a map keeps clear of everything that stands there already."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

_NARROW, _WIDE = "ijlt.,:;|'!()[] ", "mwMWGOQ%—–→"


class Box(NamedTuple):
    """A box on the paper, y downward."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Whether two boxes share ground."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


def text_width(text: str, size: float) -> float:
    """How wide a text is at most in a common sans-serif face, bold too."""
    return size * sum(
        0.42 if c in _NARROW else 0.98 if c in _WIDE else 0.78 if c.isupper() else 0.68 for c in text
    )


def text_box(x: float, y: float, text: str, size: float, anchor: str = "middle") -> Box:
    """The box of a text whose baseline begins, has its middle, or ends at (x, y)."""
    wide = text_width(text, size)
    left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
    return Box(left, y - 0.95 * size, left + wide, y + 0.27 * size)


def round_box(x: float, y: float, radius: float) -> Box:
    """The box about a disc."""
    return Box(x - radius, y - radius, x + radius, y + radius)


class Room:
    """The paper, and what of it is taken."""

    def __init__(self, paper: Box) -> None:
        self._paper = paper
        self._taken: list[Box] = []

    def is_free(self, *boxes: Box) -> bool:
        """Whether boxes lie on the paper and clear of what is taken."""
        inside = all(
            box.left >= self._paper.left
            and box.right <= self._paper.right
            and box.top >= self._paper.top
            and box.bottom <= self._paper.bottom
            for box in boxes
        )
        return inside and not any(box.meets(taken) for box in boxes for taken in self._taken)

    def take(self, *boxes: Box) -> None:
        """Mark boxes as taken."""
        self._taken.extend(boxes)

    def take_if_free(self, boxes: Iterable[Box]) -> bool:
        """Take boxes if all of them are free."""
        boxes = tuple(boxes)
        if not self.is_free(*boxes):
            return False
        self.take(*boxes)
        return True
