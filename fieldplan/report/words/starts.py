"""Other starts of a plan in words."""

from __future__ import annotations

from fieldplan.model.plan import Plan
from fieldplan.model.weather_odds import StartOdds
from fieldplan.report.words.numbers import counted


def starts_of(plan: Plan) -> tuple[StartOdds, ...]:
    """The starts that were compared; none without a record."""
    return () if plan.booking.counted is None else plan.booking.counted.starts


def best_text(plan: Plan) -> str:
    """Which of the starts needs the fewest days, the earliest of those alike."""
    fewest = [one for one in starts_of(plan) if one.suggested_days is not None]
    if not fewest:
        return "None of these starts reaches the wanted odds."
    best = min(fewest, key=lambda one: (one.suggested_days or 0, one.start))
    days = counted(best.suggested_days or 0, "day")
    if best.start == plan.job.booking.start:
        return f"The planned start needs the fewest days of these, {days}."
    return f"Of these, a start on {best.start:%a %d %b} needs the fewest days, {days}."
