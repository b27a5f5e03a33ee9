"""Published acres that drills of two widths sow in a year, to compare a season with."""

from __future__ import annotations

from typing import NamedTuple

from fieldplan.report.words.numbers import published
from fieldplan.report.words.quantities import Quantities
from fieldplan.tables import read as tables

ACRES = ("acres a drill sows in a year", "acres a wider drill sows in a year")
WIDTHS = ("width of the drill of that year", "width of the wider drill of that year")


class Year(NamedTuple):
    """The ground that a drill sows in a year and its width, as text in the reader's units, and the keys of
    the sources.
    """

    ground: str
    width: str
    sources: tuple[str, ...]


def years(q: Quantities) -> tuple[Year, Year]:
    """The year of a drill as most districts rent it out, and the year of a wider one.

    Parameters
    ----------
    q
        The reader's units.
    """
    first, wider = (_year(acres, width, q) for acres, width in zip(ACRES, WIDTHS, strict=True))
    return first, wider


def _year(acres: str, width: str, q: Quantities) -> Year:
    low_m2, high_m2, source = tables.machinery_range(acres, "m2")
    ends = dict.fromkeys(published(ground_m2 / q.area_unit_m2) for ground_m2 in (low_m2, high_m2))
    width_m, measured = tables.machinery_figure(width, "m")
    return Year(" to ".join(ends), q.typed(width_m, "length"), tuple(dict.fromkeys((source, measured))))
