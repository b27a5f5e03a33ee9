"""Starts a week apart on one picture: odds with the days booked, days to book, and the last safe start."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from fieldplan.model.plan import Plan
from fieldplan.report.pictures.hours_and_odds import WIDE_MM, drawing, under
from fieldplan.report.words.numbers import counted, odds_text
from fieldplan.report.words.starts import best_text, starts_of
from fieldplan.report.words.years import NEVER_SURE

_LEVEL_MM, _UPRIGHT_MM = 11.0, 7.0
"""The width of a column that its start has room under, and how much more paper it takes upright."""


def starts_svg(plan: Plan, width_mm: float = WIDE_MM) -> str:
    """A column for each start, as high as its odds, the planned one in black; empty without other starts.

    Odds are of being done by ``finish_by`` or, without one, within the days to book. Below each stand the
    start and its days to book.

    Parameters
    ----------
    plan
        The plan to draw.
    width_mm
        How wide the picture is; where columns have no room for their starts, these stand upright.

    Returns
    -------
    str
        SVG, 72 mm high where it is wide, or nothing.
    """
    if len(starts_of(plan)) < 2:
        return ""
    upright = _step(plan, width_mm) < _LEVEL_MM
    y_mm = 66.0 + (_UPRIGHT_MM if upright else 0.0)
    foot = under(_foot(plan, upright=upright), width_mm, y_mm)
    foot += under(_best(plan), width_mm, y_mm + 4 * len(foot))
    parts = chain(_columns(plan, width_mm, upright=upright), foot)
    return drawing(width_mm, y_mm - 2 + 4 * len(foot), "Odds by start", parts)


def _step(plan: Plan, width_mm: float) -> float:
    return min(14.0, (width_mm - 10) / len(starts_of(plan)))


def _columns(plan: Plan, width_mm: float, *, upright: bool) -> Iterator[str]:
    booking, terms, starts = plan.booking, plan.job.booking, starts_of(plan)
    step = _step(plan, width_mm)
    high_at_mm = 54 - 42 * booking.confidence_prob
    yield f'<path d="M4 {high_at_mm:.2f}H{width_mm - 4:g}" stroke="#000" stroke-width=".25" stroke-dasharray="1 1"/>'
    for k, one in enumerate(starts):
        prob = one.within_prob if one.by_end_prob is None else one.by_end_prob
        x, high = 6 + k * step, 42 * prob
        planned = one.start == terms.start
        fill = "#000" if planned else "#56b4e9"
        yield f'<rect x="{x:.2f}" y="{54 - high:.2f}" width="{step * 0.7:.2f}" height="{high:.2f}" fill="{fill}" stroke="#000" stroke-width=".2"/>'
        middle, bold = x + step * 0.35, ' class="b"' if planned else ""
        days = "none" if one.suggested_days is None else f"{one.suggested_days} d"
        odds = odds_text(min(prob, NEVER_SURE)).removesuffix(" %")
        odds = odds.replace("over ", "&gt;") if upright else odds
        yield f'<text x="{middle:.2f}" y="{53 - high:.2f}" text-anchor="middle"{bold}>{odds}</text>'
        if upright:
            yield f'<text transform="translate({middle + 1:.2f} 56) rotate(-90)" text-anchor="end"{bold}>{one.start:%d %b}</text>'
        else:
            yield f'<text x="{middle:.2f}" y="57.5" text-anchor="middle"{bold}>{one.start:%d %b}</text>'
        y = 61.5 + (_UPRIGHT_MM if upright else 0.0)
        yield f'<text x="{middle:.2f}" y="{y:g}" text-anchor="middle"{bold}>{days.replace(" d", "") if upright else days}</text>'


def _foot(plan: Plan, *, upright: bool) -> str:
    booking, terms = plan.booking, plan.job.booking
    odds = (
        f"within {counted(booking.suggested_days or 0, 'day')}"
        if terms.finish_by is None
        else f"by {terms.finish_by:%d %b}"
    )
    asked = odds_text(booking.confidence_prob)
    days = "lowest line" if upright else "d"
    return f"starts a week apart; odds in percent of being done {odds}; {days}: days to book for {asked} (dashed)"


def _best(plan: Plan) -> str:
    latest = plan.booking.latest_start
    return best_text(plan) + ("" if latest is None else f" Last safe start: {latest:%a %d %b}.")
