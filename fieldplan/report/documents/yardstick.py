"""What drills of two widths are published to have sown in a year: what a season's acres stand beside."""

from __future__ import annotations

from typing import NamedTuple

from fieldplan.report.words.quantities import Quantities, published
from fieldplan.tables import read as tables

ACRES = ("acres a drill sows in a year", "acres a wider drill sows in a year")
WIDTHS = ("width of the drill of that year", "width of the wider drill of that year")


class Year(NamedTuple):
    """Ground of a year and the width of the drill in the reader's units, and the keys of who says so."""

    ground: str
    width: str
    sources: tuple[str, ...]


def years(q: Quantities) -> tuple[Year, Year]:
    """The year of a drill as most districts lend it, and of a wider one."""
    first, wider = (_year(acres, width, q) for acres, width in zip(ACRES, WIDTHS, strict=True))
    return first, wider


def _year(acres: str, width: str, q: Quantities) -> Year:
    low, high, source = tables.machinery_range(acres, "m2")
    ends = dict.fromkeys(published(one / q.area_unit_m2) for one in (low, high))
    width_m, measured = tables.machinery_figure(width, "m")
    return Year(" to ".join(ends), q.typed(width_m, "length"), tuple(dict.fromkeys((source, measured))))
