"""A region as a map: squares as dark as their parcels take hours, and where parcels are not planned."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from xml.sax.saxutils import escape, quoteattr

from fieldplan.model.region import Cell, Region
from fieldplan.plane.date_line import HALF_TURN_DEG, TURN_DEG
from fieldplan.report.words.numbers import significant
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities

WIDTH_MM, MARGIN_MM, TOP_MM, BELOW_MM = 180.0, 4.0, 10.0, 14.0
MOST_ACROSS = 64
_SHADES = ("#d7e9f7", "#94c4e4", "#3f8fc5", "#0b4f8a")
"""From few hours to many; told apart in gray too."""
_DEGREE_M = 111_320.0
_KEY_MM = 30.0


def region_svg(region: Region, q: Quantities) -> str:
    """The map as an SVG drawing, 180 mm wide; empty if no parcel can be placed.

    Parameters
    ----------
    region
        The region whose squares are drawn, at most 64 across, north up.
    q
        The reader's units, for the scale.
    """
    if not region.cells:
        return ""
    cells, side_deg = _merged(region.cells, region.cell_deg)
    west, south = min(one.lon_deg for one in cells), min(one.lat_deg for one in cells)
    east = max(one.lon_deg for one in cells) + side_deg
    north = max(one.lat_deg for one in cells) + side_deg
    narrow = math.cos(math.radians((south + north) / 2))
    across, along = (east - west) * narrow, north - south
    mm_per_degree = (WIDTH_MM - 2 * MARGIN_MM) / max(across, along)
    height = TOP_MM + along * mm_per_degree + BELOW_MM
    title = plain(f"{region.name}: hours of all jobs in each square")
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH_MM:g}mm" height="{height:.1f}mm" '
            f'viewBox="0 0 {WIDTH_MM:g} {height:.1f}" role="img" aria-label={quoteattr(title)}>',
            "<style>text{font:2.6px sans-serif;fill:#000}.b{font-weight:bold}</style>",
            f'<rect width="{WIDTH_MM:g}" height="{height:.1f}" fill="#fff"/>',
            f'<text class="b" x="{MARGIN_MM:g}" y="6">{escape(title)}</text>',
            *_squares(cells, west, north, side_deg, mm_per_degree, narrow),
            *_key(cells, height),
            _scale(height, mm_per_degree, q),
            "</svg>\n",
        ]
    )


def _merged(cells: Sequence[Cell], side_deg: float) -> tuple[list[Cell], float]:
    """Squares so large that no more than so many lie side by side."""
    lons, lats = [one.lon_deg for one in cells], [one.lat_deg for one in cells]
    if max(lons) - min(lons) > HALF_TURN_DEG:  # on both sides of longitude 180
        cells = [replace(one, lon_deg=one.lon_deg % TURN_DEG) for one in cells]
        lons = [one.lon_deg for one in cells]
    extent_deg = max(max(lons) - min(lons), max(lats) - min(lats)) + side_deg
    while extent_deg / side_deg > MOST_ACROSS:
        side_deg *= 2
    sums: dict[tuple[int, int], list[float]] = {}
    for one in cells:
        at = math.floor(one.lon_deg / side_deg), math.floor(one.lat_deg / side_deg)
        so_far = sums.setdefault(at, [0.0, 0.0, 0.0])
        for i, more in enumerate((one.job_s, one.n_planned, one.n_refused)):
            so_far[i] += more
    return [
        Cell(
            lon_deg=column * side_deg,
            lat_deg=line * side_deg,
            job_s=job_s,
            n_planned=int(n_planned),
            n_refused=int(n_refused),
        )
        for (column, line), (job_s, n_planned, n_refused) in sorted(sums.items())
    ], side_deg


def _shade(job_s: float, most_s: float) -> int:
    return min(len(_SHADES) - 1, int(len(_SHADES) * job_s / most_s)) if most_s else 0


def _squares(
    cells: Sequence[Cell], west: float, north: float, side_deg: float, mm_per_degree: float, narrow: float
) -> Iterator[str]:
    most_s = max(one.job_s for one in cells)
    wide, high = side_deg * narrow * mm_per_degree, side_deg * mm_per_degree
    for one in cells:
        x = MARGIN_MM + (one.lon_deg - west) * narrow * mm_per_degree
        y = TOP_MM + (north - one.lat_deg - side_deg) * mm_per_degree
        fill = _SHADES[_shade(one.job_s, most_s)] if one.n_planned else "#fff"
        words = f"{one.job_s / 3600:.0f} h, {one.n_planned} planned, {one.n_refused} not"
        yield (
            f'<rect x="{x:.2f}" y="{y:.2f}" width="{wide:.2f}" height="{high:.2f}" fill="{fill}" '
            f'stroke="#fff" stroke-width=".1"><title>{words}</title></rect>'
        )
        if one.n_refused:
            yield f'<circle cx="{x + wide / 2:.2f}" cy="{y + high / 2:.2f}" r="{min(wide, high) / 5:.2f}" fill="none" stroke="#000" stroke-width=".2"/>'


def _key(cells: Sequence[Cell], height: float) -> Iterator[str]:
    most_h, y = max(one.job_s for one in cells) / 3600, height - 10
    for i, shade in enumerate(_SHADES):
        low, high = (significant(most_h * (i + k) / len(_SHADES), 2) for k in (0, 1))
        x = MARGIN_MM + i * _KEY_MM
        yield f'<rect x="{x:g}" y="{y:.1f}" width="4" height="3" fill="{shade}" stroke="#000" stroke-width=".1"/>'
        yield f'<text x="{x + 5.5:g}" y="{y + 2.4:.1f}">{low} to {high} h</text>'
    if not any(one.n_refused for one in cells):
        return
    x = MARGIN_MM + len(_SHADES) * _KEY_MM
    yield f'<circle cx="{x + 2:g}" cy="{y + 1.5:.1f}" r="1.2" fill="none" stroke="#000" stroke-width=".2"/>'
    yield f'<text x="{x + 5.5:g}" y="{y + 2.4:.1f}">parcels not planned</text>'


def _scale(height: float, mm_per_degree: float, q: Quantities) -> str:
    """A bar of a round length, about a quarter of the map at most."""
    unit_mm = mm_per_degree * q.far_m / _DEGREE_M
    most = WIDTH_MM / 4 / unit_mm
    length = max(step for k in range(-3, 5) for step in (10.0**k, 2 * 10.0**k, 5 * 10.0**k) if step <= most)
    y = height - 3
    return (
        f'<path d="M{MARGIN_MM:g} {y - 1:.1f}v1h{length * unit_mm:.2f}v-1" fill="none" stroke="#000" stroke-width=".25"/>'
        f'<text x="{MARGIN_MM + length * unit_mm + 2:.2f}" y="{y:.1f}">{length:g} {q.far_word}, north up</text>'
    )
