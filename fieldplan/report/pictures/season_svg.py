"""The season as a picture: one lane a drill, one bar a booking, one tick a week."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from xml.sax.saxutils import escape, quoteattr

from fieldplan.model.booked import Placement
from fieldplan.model.season import Season
from fieldplan.report.output import Output, SeasonAsked, ready
from fieldplan.report.words.plain import plain, width

WIDTH_MM, LEFT_MM, TOP_MM, LANE_MM, ROW_MM = 270.0, 34.0, 14.0, 26.0, 5.4
LETTER_MM, BAR_MM, BESIDE_MM = 1.45, 6.0, 0.9
_FILLS = ("#ffffff", "#d9e8f3")
"""Alternating, so that neighbors differ on any printer."""


def season_svg(season: Season) -> str:
    """The season as an SVG drawing, 270 mm wide."""
    height = TOP_MM + LANE_MM * len(season.program.drills) + 6
    terms = season.program.terms
    title = plain(f"{terms.name}, {terms.opens:%a %d %b %Y} to {terms.closes:%a %d %b %Y}")
    return (
        "\n".join(
            [
                f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH_MM:g}mm" height="{height:g}mm" viewBox="0 0 {WIDTH_MM:g} {height:g}" role="img" '
                f"aria-label={quoteattr(title)}>",
                "<style>text{font:2.6px sans-serif;fill:#000}.b{font-weight:bold}</style>",
                f'<rect width="{WIDTH_MM:g}" height="{height:g}" fill="#fff"/>',
                f'<text class="b" x="2" y="5">{escape(title)}</text>',
                *_weeks(season, height),
                *_lanes(season),
                "</svg>",
            ]
        )
        + "\n"
    )


def _day_mm(season: Season) -> float:
    terms = season.program.terms
    return (WIDTH_MM - LEFT_MM - 4) / ((terms.closes - terms.opens).days + 1)


def _weeks(season: Season, height: float) -> Iterator[str]:
    terms, step = season.program.terms, _day_mm(season)
    days = (terms.closes - terms.opens).days + 1
    every = 7 if step * 7 > 12 else 14 if step * 14 > 12 else 28
    for k in range((-terms.opens.weekday()) % 7, days, every):
        x = LEFT_MM + k * step
        yield f'<path d="M{x:.2f} {TOP_MM - 2:g}V{height - 4:g}" stroke="#999" stroke-width=".15"/>'
        yield f'<text x="{x + 0.6:.2f}" y="{TOP_MM - 3:g}">{terms.opens + timedelta(days=k):%d %b}</text>'


def _lanes(season: Season) -> Iterator[str]:
    for lane, drill in enumerate(season.program.drills):
        top = TOP_MM + lane * LANE_MM
        yield f'<path d="M2 {top:g}H{WIDTH_MM - 4:g}" stroke="#000" stroke-width=".3"/>'
        yield f'<text class="b" x="2" y="{top + 6:g}">{escape(plain(drill.name)[:20])}</text>'
        bookings = [placement for placement in season.placements if placement.drill == drill.name]
        for number, booking in enumerate(bookings):
            yield from _bar(season, booking, number, top)


def _bar(season: Season, booking: Placement, number: int, top: float) -> Iterator[str]:
    """A booking: a bar from its first day to its last, with the renter's name below it on one of three rows.

    Bookings that share days are slices of one bar, the first on top. Their names stand beside the line, so
    that no name is crossed out.
    """
    step = _day_mm(season)
    x = LEFT_MM + (booking.days[0] - season.program.terms.opens).days * step
    width_mm = ((booking.days[-1] - booking.days[0]).days + 1) * step
    name = plain(booking.request.renter)
    slice_mm = BAR_MM / max(1, len(booking.shared_booking))
    y = (
        top
        + 2
        + (
            slice_mm * booking.shared_booking.index(booking.request.request_id)
            if booking.shares_with
            else 0
        )
    )
    yield (
        f'<rect x="{x:.2f}" y="{y:g}" width="{width_mm:.2f}" height="{slice_mm:g}" fill="{_FILLS[number % 2]}" stroke="#000" stroke-width=".3">'
        f"<title>{escape(name)}: {booking.days[0]:%a %d %b} to {booking.days[-1]:%a %d %b}</title></rect>"
    )
    y = top + 8 + ROW_MM * (number % 3) + 3.4
    x = min(x, WIDTH_MM - 4 - LETTER_MM * width(name))
    yield f'<path d="M{x + 0.4:.2f} {top + 8:g}V{y - 2.4:.2f}" stroke="#000" stroke-width=".15"/>'
    yield f'<text x="{x + (BESIDE_MM if booking.shares_with else 0):.2f}" y="{y:.2f}">{escape(name)}</text>'


OUTPUT: Output[SeasonAsked] = Output(
    name="svg",
    words="one lane a drill, one bar a booking",
    always=("season.svg",),
    make=lambda asked: {"season.svg": ready(season_svg(asked.season).encode())},
)
