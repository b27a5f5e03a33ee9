"""Hours by part and odds by days as pictures, readable by pattern and label as well as by color."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from html import escape
from itertools import cycle

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.model.work import Odds, TimePart
from fieldplan.report.words.hours import hours, hours_in_parts
from fieldplan.report.words.numbers import odds_text
from fieldplan.report.words.plain import cell
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import parcel
from fieldplan.report.words.sentences import sentence
from fieldplan.report.words.years import counted_text

_Look = tuple[str, str]
_LOOKS: tuple[_Look, ...] = (
    ("#0072b2", ""),
    ("#e69f00", "M0 1.6L1.6 0"),
    ("#999999", "M0 .8H1.6"),
    ("#f0e442", "M.8 0V1.6"),
    ("#cc79a7", "M0 .8H1.6M.8 0V1.6"),
    ("#ffffff", "M0 0L1.6 1.6"),
    ("#56b4e9", "M0 .4H1.6M0 1.2H1.6"),
    ("#009e73", "M.4 0V1.6M1.2 0V1.6"),
)
"""Colors of the parts in their order, and strokes over them that differ in black and white too."""
_ROW_MM, _LEFT_MM, _BAR_MM, _TOP_MM = 7.0, 42.0, 116.0, 12.0
_TITLE_MM = 7.0
STYLE = "<style>.bars text{font:2.8px sans-serif;fill:#000;paint-order:stroke;stroke:#fff;stroke-width:.7}.bars .b{font-weight:bold}</style>"


def hours_svg(plan: Plan) -> str:
    """A bar for each field, as long as its hours, divided into its parts.

    Parameters
    ----------
    plan
        The plan to draw.

    Returns
    -------
    str
        SVG, 180 mm wide, 7 mm high for each field and 15 mm more.
    """
    longest = max(field.time.field_s for field in plan.fields) or 1.0
    height = _TOP_MM + _ROW_MM * len(plan.fields) + 3
    return drawing(180, height, "Where the hours go", _bars(plan, longest))


def _bars(plan: Plan, longest_s: float) -> Iterator[str]:
    used = {
        part.key: look
        for part, look in zip(plan.totals.time_parts, cycle(_LOOKS), strict=False)
        if part.spent_s > 0
    }
    yield f"<defs>{''.join(_pattern(key, strokes) for key, (_, strokes) in used.items() if strokes)}</defs>"
    yield from _key(plan, used)
    for row, field in enumerate(plan.fields):
        yield from _field_bar(field, _TOP_MM + row * _ROW_MM, longest_s, used)


def _pattern(key: str, strokes: str) -> str:
    return (
        f'<pattern id="part-{key}" width="1.6" height="1.6" patternUnits="userSpaceOnUse">'
        f'<path d="{strokes}" fill="none" stroke="#000" stroke-width=".18"/></pattern>'
    )


def _key(plan: Plan, used: Mapping[str, _Look]) -> Iterator[str]:
    """The names of the parts beside their colors."""
    x = 2.0
    for name, key in ((_called(part), part.key) for part in plan.totals.time_parts if part.key in used):
        yield from _bar(key, used[key], f'x="{x:.1f}" y="3" width="4" height="3"')
        yield f'<text x="{x + 5:.1f}" y="5.6">{name}</text>'
        x += 9 + 1.7 * len(name)


def _field_bar(field: FieldPlan, y: float, longest_s: float, used: Mapping[str, _Look]) -> Iterator[str]:
    name = cell(parcel(field))[:24]
    yield f'<text x="2" y="{y + 3.6:.1f}">{escape(name)}</text>'
    x = _LEFT_MM
    counted = [part for part in field.time.parts if part.counted]
    for part, time in zip(counted, hours_in_parts([part.spent_s for part in counted]), strict=True):
        width = _BAR_MM * part.spent_s / longest_s
        if width > 0:
            at = f'x="{x:.2f}" y="{y:.1f}" width="{width:.2f}" height="5"'
            yield from _bar(part.key, used[part.key], at, f"{_called(part)} {time}")
        x += width
    whole = hours(field.time.field_s) if field.is_drilled else "nothing drilled"
    yield f'<text x="{x + 1.5:.2f}" y="{y + 3.6:.1f}">{whole}</text>'


def _bar(key: str, look: _Look, at: str, title: str = "") -> Iterator[str]:
    """A rectangle in the color of a part with its strokes over it."""
    color, strokes = look
    end = f"><title>{title}</title></rect>" if title else "/>"
    yield f'<rect {at} fill="{color}" stroke="#000" stroke-width=".2"{end}'
    if strokes:
        yield f'<rect {at} fill="url(#part-{key})" pointer-events="none"/>'


def _called(part: TimePart) -> str:
    return sentence(part.heading, Quantities())


def odds_svg(plan: Plan) -> str:
    """A column for each number of days, as high as the odds of being done; the days to book in black.

    Parameters
    ----------
    plan
        The plan to draw.

    Returns
    -------
    str
        SVG, 180 by 64 mm, of at most the last 20 numbers of days.
    """
    return drawing(180, 64, "Odds of being done by days", _columns(plan))


def _columns(plan: Plan) -> Iterator[str]:
    booking = plan.booking
    columns = booking.odds[-20:]
    if not columns:
        yield '<text x="90" y="34" text-anchor="middle">nothing is drilled: there are no days to book</text>'
        return
    step = min(14.0, 170.0 / len(columns))
    yield f'<path d="M4 {54 - 42 * booking.confidence_prob:.2f}H176" stroke="#000" stroke-width=".25" stroke-dasharray="1 1"/>'
    for k, odds in enumerate(columns):
        x, high = 6 + k * step, 42 * odds.prob
        fill = "#000" if odds.days == booking.suggested_days else "#56b4e9"
        yield f'<rect x="{x:.2f}" y="{54 - high:.2f}" width="{step * 0.7:.2f}" height="{high:.2f}" fill="{fill}" stroke="#000" stroke-width=".2"/>'
        middle = x + step * 0.35
        yield from _range(odds, middle)
        bold = ' class="b"' if odds.days == booking.suggested_days else ""
        yield f'<text x="{middle:.2f}" y="57.5" text-anchor="middle"{bold}>{odds.days}</text>'
        if step >= 8:
            prob = counted_text(odds, booking.confidence_prob).removesuffix(" %")
            above = 53 - 42 * (odds.prob if odds.range_prob is None else odds.range_prob[1])
            yield f'<text x="{middle:.2f}" y="{above:.2f}" text-anchor="middle"{bold}>{prob}</text>'
    asked = odds_text(booking.confidence_prob)
    none = "" if booking.suggested_days is not None else ", reached by no booking"
    yield f'<text x="90" y="62" text-anchor="middle">days booked; odds in percent; dashed: the {asked} asked for{none}{_years(plan)}</text>'


def _range(odds: Odds, middle: float) -> Iterator[str]:
    """The range of odds that are counted over years, as a line over its column."""
    if odds.range_prob is not None:
        low, high = (54 - 42 * prob for prob in odds.range_prob)
        yield f'<path d="M{middle:.2f} {low:.2f}V{high:.2f}" stroke="#d55e00" stroke-width=".4"/>'


def _years(plan: Plan) -> str:
    counted_years = plan.booking.counted
    if counted_years is None:
        return ""
    return f"; lines: range over {len(counted_years.used)} years"


def drawing(width_mm: float, height_mm: float, title: str, parts: Iterator[str]) -> str:
    """The picture under its title; its style is its own on a page with other pictures."""
    top, high = -_TITLE_MM, height_mm + _TITLE_MM
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="bars" width="{width_mm:g}mm" height="{high:g}mm" viewBox="0 {top:g} {width_mm:g} {high:g}" '
        f'role="img" aria-label="{title}">{STYLE}<rect y="{top:g}" width="{width_mm:g}" height="{high:g}" fill="#fff"/>'
        f'<text x="2" y="{top + 4.5:g}" style="font-size:4px;font-weight:bold">{title}</text>'
        + "".join(parts)
        + "</svg>\n"
    )
