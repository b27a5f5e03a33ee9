"""What odds stand on, as data: a published share of days, or the years of a record."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from fieldplan.model.job import BookingTerms, Published
from fieldplan.model.weather import RainRule, Record, Rule, Wait
from fieldplan.model.work import Booking, Odds


def odds_object(odds: Odds) -> dict[str, Any]:
    """Odds by days; with years met and range where they are counted over a record's years."""
    found: dict[str, Any] = {"days": odds.days, "prob": odds.prob}
    if odds.range_prob is not None:
        found |= {"n_met": odds.n_met, "range_prob": list(odds.range_prob)}
    return found


def published_object(published: Published | None) -> dict[str, Any] | None:
    """The share of fieldwork days that a survey reports."""
    return None if published is None else asdict(published)


def weather_object(booking: Booking, terms: BookingTerms) -> dict[str, Any] | None:
    """The record, the rule and the years that odds are counted over; ``None`` without a record."""
    counted, weather = booking.counted, terms.weather
    if counted is None or weather is None:
        return None
    record, level = weather.record, weather.level
    return {
        "record": record_object(record),
        "rule": rule_object(counted.rule),
        "survey_waits": [wait_object(wait) for wait in counted.waits],
        "survey": None
        if level is None
        else {"place": level.place, "days": level.days, "source": level.source},
        "survey_window_days": None if counted.level_days is None else list(counted.level_days),
        "years": list(counted.used),
        "dropped_missing_frac": {str(year): share for year, share in counted.dropped.items()},
        "n_unknown_days": counted.n_unknown,
        "fit_frac": counted.fit_frac,
        "persistence_frac": counted.persistence_frac,
        "independent_prob": counted.independent_prob,
        "chain_prob": counted.chain_prob,
        "reliability": [asdict(one) for one in counted.reliability],
        "starts": [
            {
                "start": start.start.isoformat(),
                "suggested_days": start.suggested_days,
                "within_prob": start.within_prob,
                "by_end_prob": start.by_end_prob,
            }
            for start in counted.starts
        ],
    }


def record_object(record: Record) -> dict[str, Any]:
    """Where a record is from, its days, and how often it was not taken as it stands."""
    return {
        "file": record.name,
        "layout": record.layout,
        "station": record.station or None,
        "first": record.first.isoformat(),
        "last": record.last.isoformat(),
        "treated": asdict(record.treated),
    }


def rule_object(rule: Rule) -> dict[str, Any]:
    """A rule with its limits and sources."""
    if isinstance(rule, RainRule):
        return {
            "name": rule.name,
            "day_mm": rule.day_mm,
            "two_days_mm": rule.two_days_mm,
            "three_days_mm": rule.three_days_mm,
            "waits": [wait_object(wait) for wait in rule.waits],
            "sources": list(rule.sources),
        }
    return {"name": rule.name, "drainage": rule.drainage.name, "sources": list(rule.sources)}


def wait_object(wait: Wait) -> dict[str, Any]:
    """Days to wait after more rain than this."""
    return {"after_mm": wait.after_mm, "days": wait.days}
