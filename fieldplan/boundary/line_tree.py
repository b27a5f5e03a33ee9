"""Lines in a search tree: the fields of a large file come one at a time, with the same lines for all of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.lines import ends
from fieldplan.model.notes import Note
from fieldplan.plane.date_line import turned


@dataclass(frozen=True, slots=True, kw_only=True)
class LineTree:
    """Lines in longitude and latitude, ready to be looked through.

    Parameters
    ----------
    tree
        Of all lines.
    elsewhere
        The note about each line, should it belong to no field.
    """

    lines: tuple[LineString, ...]
    tree: shapely.STRtree
    elsewhere: tuple[Note, ...]

    def near(self, ground: BaseGeometry) -> list[int]:
        """The numbers of the lines that reach ground, in their order; across the date line they may lie 360° on."""
        found = [self.tree.query(turned(ground, k), predicate="intersects") for k in (0, 1, -1)]
        near: list[int] = np.unique(np.concatenate(found)).tolist()
        return near

    def unowned(self, owned: npt.NDArray[np.bool_]) -> Iterator[Note]:
        """The notes about those lines that are not ``owned``, of shape (lines,)."""
        return (self.elsewhere[i] for i in np.flatnonzero(~owned).tolist())


def line_tree(lines: Sequence[LineString], elsewhere: str) -> LineTree:
    """Lines made ready.

    Parameters
    ----------
    elsewhere
        The code of the note about a line that belongs to no field.
    """
    return LineTree(
        lines=tuple(lines),
        tree=shapely.STRtree(list(lines)),
        elsewhere=tuple(
            Note(code=elsewhere, warning=True, places={"line": ends(line)[0]}) for line in lines
        ),
    )
