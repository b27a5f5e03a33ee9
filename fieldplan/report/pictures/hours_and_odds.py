"""Hours by part and odds by days as pictures, readable by pattern and label as well as by color."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from itertools import cycle
from textwrap import wrap

from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.model.work import Booking, Odds, TimePart
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
WIDE_MM, PHONE_MM = 180.0, 92.0
"""Widths to draw for: paper, and a page that may be as narrow as a phone."""
_ROW_MM, _LEFT_MM, _BAR_MM, _TOP_MM = 7.0, 42.0, 116.0, 12.0
_UNDER_NAME_MM, _BEHIND_BAR_MM, _KEY_ROW_MM = 4.5, 20.0, 5.0
"""Where there is no room beside bars, names stand above them; what the time behind a bar takes; a row of the key."""
_LETTER_MM, _MOST_COLUMNS, _WIDE_COLUMN_MM = 1.5, 20, 12.0
_TITLE_MM = 7.0
STYLE = "<style>.bars text{font:2.8px sans-serif;fill:#000;paint-order:stroke;stroke:#fff;stroke-width:.7}.bars .b{font-weight:bold}</style>"


def hours_svg(plan: Plan, width_mm: float = WIDE_MM) -> str:
    """A bar for each field, as long as its hours, divided into its parts.

    Parameters
    ----------
    plan
        The plan to draw.
    width_mm
        How wide the picture is.

    Returns
    -------
    str
        SVG, 7 mm high for each field and 15 mm more; higher where names stand above their bars.
    """
    longest = max(field.time.field_s for field in plan.fields) or 1.0
    rows = _rows(plan, width_mm, longest)
    height = rows.top_mm + rows.row_mm * len(plan.fields) + 3
    return drawing(width_mm, height, "Where the hours go", _bars(plan, rows))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rows:
    """Where bars stand: names beside them on wide paper, above them on narrow."""

    width_mm: float
    top_mm: float
    row_mm: float
    left_mm: float
    name_up_mm: float
    mm_per_s: float


def _rows(plan: Plan, width_mm: float, longest_s: float) -> _Rows:
    wide = width_mm >= WIDE_MM
    top_mm = _TOP_MM + _KEY_ROW_MM * max((row for *_, row in _key_places(plan, width_mm)), default=0)
    return _Rows(
        width_mm=width_mm,
        top_mm=top_mm,
        row_mm=_ROW_MM + (0.0 if wide else _UNDER_NAME_MM),
        left_mm=_LEFT_MM if wide else 2.0,
        name_up_mm=0.0 if wide else _UNDER_NAME_MM,
        mm_per_s=(_BAR_MM if wide else width_mm - 2.0 - _BEHIND_BAR_MM) / longest_s,
    )


def _bars(plan: Plan, rows: _Rows) -> Iterator[str]:
    used = {
        part.key: look
        for part, look in zip(plan.totals.time_parts, cycle(_LOOKS), strict=False)
        if part.spent_s > 0
    }
    yield f"<defs>{''.join(_pattern(key, strokes) for key, (_, strokes) in used.items() if strokes)}</defs>"
    yield from _key(plan, used, rows.width_mm)
    for row, field in enumerate(plan.fields):
        yield from _field_bar(field, rows.top_mm + row * rows.row_mm, rows, used)


def _pattern(key: str, strokes: str) -> str:
    return (
        f'<pattern id="part-{key}" width="1.6" height="1.6" patternUnits="userSpaceOnUse">'
        f'<path d="{strokes}" fill="none" stroke="#000" stroke-width=".18"/></pattern>'
    )


def _key(plan: Plan, used: Mapping[str, _Look], width_mm: float) -> Iterator[str]:
    """The names of the parts beside their colors."""
    for key, name, x, row in _key_places(plan, width_mm):
        down = row * _KEY_ROW_MM
        yield from _bar(key, used[key], f'x="{x:.1f}" y="{3 + down:g}" width="4" height="3"')
        yield f'<text x="{x + 5:.1f}" y="{5.6 + down:g}">{name}</text>'


def _key_places(plan: Plan, width_mm: float) -> list[tuple[str, str, float, int]]:
    """Each part that takes time: key, name, how far from the left, and in which row it stands."""
    x, row = 2.0, 0
    found: list[tuple[str, str, float, int]] = []
    for part in plan.totals.time_parts:
        if part.spent_s <= 0:
            continue
        name = _called(part)
        wide = 9 + 1.7 * len(name)
        if x > 2.0 and x + wide - 4 > width_mm:
            x, row = 2.0, row + 1
        found.append((part.key, name, x, row))
        x += wide
    return found


def _field_bar(field: FieldPlan, y: float, rows: _Rows, used: Mapping[str, _Look]) -> Iterator[str]:
    name = cell(parcel(field))[:24]
    yield f'<text x="2" y="{y + 3.6:.1f}">{escape(name)}</text>'
    x, y = rows.left_mm, y + rows.name_up_mm
    counted = [part for part in field.time.parts if part.counted]
    for part, time in zip(counted, hours_in_parts([part.spent_s for part in counted]), strict=True):
        width = rows.mm_per_s * part.spent_s
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


def odds_svg(plan: Plan, width_mm: float = WIDE_MM) -> str:
    """A column for each number of days, as high as the odds of being done; the days to book in black.

    Parameters
    ----------
    plan
        The plan to draw.
    width_mm
        How wide the picture is.

    Returns
    -------
    str
        SVG, 64 mm high and more for a longer foot, of at most the last 20 numbers of days; of fewer where it is
        narrow, but with the days to book among them.
    """
    foot = under(_odds_foot(plan), width_mm, 62)
    return drawing(
        width_mm, 60 + 4 * len(foot), "Odds of being done by days", _columns(plan, width_mm, foot)
    )


def under(said: str, width_mm: float, y_mm: float) -> list[str]:
    """Text in the middle under a picture, in as many lines as its width asks for."""
    lines = wrap(said, int(width_mm / _LETTER_MM))
    return [
        f'<text x="{width_mm / 2:g}" y="{y_mm + 4 * n:g}" text-anchor="middle">{line}</text>'
        for n, line in enumerate(lines)
    ]


def _odds_shown(booking: Booking, width_mm: float) -> Sequence[Odds]:
    """The last numbers of days that have room with their odds on them, or those from the days to book on."""
    n = min(_MOST_COLUMNS, int((width_mm - 10) // 8))
    days = [odds.days for odds in booking.odds]
    booked = days.index(booking.suggested_days) if booking.suggested_days in days else len(days)
    first = max(0, min(len(days) - n, booked - 1))
    return booking.odds[first : first + n]


def _columns(plan: Plan, width_mm: float, foot: Sequence[str]) -> Iterator[str]:
    booking = plan.booking
    columns = _odds_shown(booking, width_mm)
    if not columns:
        yield f'<text x="{width_mm / 2:g}" y="34" text-anchor="middle">nothing is drilled: there are no days to book</text>'
        return
    step = min(14.0, (width_mm - 10) / len(columns))
    yield f'<path d="M4 {54 - 42 * booking.confidence_prob:.2f}H{width_mm - 4:g}" stroke="#000" stroke-width=".25" stroke-dasharray="1 1"/>'
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
            prob = prob.replace("over ", "&gt;") if step < _WIDE_COLUMN_MM else prob
            above = 53 - 42 * (odds.prob if odds.range_prob is None else odds.range_prob[1])
            yield f'<text x="{middle:.2f}" y="{above:.2f}" text-anchor="middle"{bold}>{prob}</text>'
    yield from foot


def _odds_foot(plan: Plan) -> str:
    booking = plan.booking
    asked = odds_text(booking.confidence_prob)
    none = "" if booking.suggested_days is not None else ", reached by no booking"
    return f"days booked; odds in percent; dashed: the {asked} asked for{none}{_years(plan)}"


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
