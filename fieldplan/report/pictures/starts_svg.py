"""Starts a week apart on one picture: odds with the days booked, days to book, and the last safe start."""

from __future__ import annotations

from collections.abc import Iterator

from fieldplan.model.plan import Plan
from fieldplan.report.pictures.hours_and_odds import drawing
from fieldplan.report.words.numbers import counted, odds_text
from fieldplan.report.words.starts import best_text, starts_of
from fieldplan.report.words.years import NEVER_SURE


def starts_svg(plan: Plan) -> str:
    """A column for each start, as high as its odds, the planned one in black; empty without other starts.

    Odds are of being done by ``finish_by`` or, without one, within the days to book. Below each stand the
    start and its days to book.

    Parameters
    ----------
    plan
        The plan to draw.

    Returns
    -------
    str
        SVG, 180 by 72 mm, or nothing.
    """
    if len(starts_of(plan)) < 2:
        return ""
    return drawing(180, 72, "Odds by start", _columns(plan))


def _columns(plan: Plan) -> Iterator[str]:
    booking, terms, starts = plan.booking, plan.job.booking, starts_of(plan)
    step = min(14.0, 170.0 / len(starts))
    high_at_mm = 54 - 42 * booking.confidence_prob
    yield f'<path d="M4 {high_at_mm:.2f}H176" stroke="#000" stroke-width=".25" stroke-dasharray="1 1"/>'
    for k, one in enumerate(starts):
        prob = one.within_prob if one.by_end_prob is None else one.by_end_prob
        x, high = 6 + k * step, 42 * prob
        planned = one.start == terms.start
        fill = "#000" if planned else "#56b4e9"
        yield f'<rect x="{x:.2f}" y="{54 - high:.2f}" width="{step * 0.7:.2f}" height="{high:.2f}" fill="{fill}" stroke="#000" stroke-width=".2"/>'
        middle, bold = x + step * 0.35, ' class="b"' if planned else ""
        days = "none" if one.suggested_days is None else f"{one.suggested_days} d"
        yield f'<text x="{middle:.2f}" y="{53 - high:.2f}" text-anchor="middle"{bold}>{odds_text(min(prob, NEVER_SURE)).removesuffix(" %")}</text>'
        yield f'<text x="{middle:.2f}" y="57.5" text-anchor="middle"{bold}>{one.start:%d %b}</text>'
        yield f'<text x="{middle:.2f}" y="61.5" text-anchor="middle"{bold}>{days}</text>'
    odds = (
        f"within {counted(booking.suggested_days or 0, 'day')}"
        if terms.finish_by is None
        else f"by {terms.finish_by:%d %b}"
    )
    asked = odds_text(booking.confidence_prob)
    last = "" if booking.latest_start is None else f" Last safe start: {booking.latest_start:%a %d %b}."
    yield f'<text x="90" y="66" text-anchor="middle">starts a week apart; odds in percent of being done {odds}; d: days to book for {asked} (dashed)</text>'
    yield f'<text x="90" y="70" text-anchor="middle">{best_text(plan)}{last}</text>'
