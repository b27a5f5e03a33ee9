"""A season after rain as JSON."""

from __future__ import annotations

from fieldplan.model.booked import Booked
from fieldplan.model.replanned import Replanned


def rain_object(found: Replanned) -> dict[str, object]:
    """The season after rain as nested dicts, in SI."""
    return {
        "schema": "fieldplan/season-rain/1",
        "finished": list(found.finished),
        "confidence_frac": found.confidence_prob,
        "changes": [
            {
                "request": change.request.request_id,
                "renter": change.request.renter,
                "was": _object(change.was),
                "now": None if change.now is None else _object(change.now),
                "begun": change.begun,
                "moved": change.moved,
                "later_days": change.later_days,
                "odds_prob": change.odds_prob,
                "reason": "" if change.reason is None else str(change.reason),
                "over": change.over,
                "depends_on": list(change.depends_on),
            }
            for change in found.changes
        ],
        "clashes": [
            {
                "request": clash.request.request_id,
                "behind": clash.behind.request_id if clash.behind else None,
                "odds_prob": clash.odds_prob,
                "asked_prob": clash.asked_prob,
                "short_days": clash.short_days,
                "unknown": clash.unknown,
                "lost": [{"day": day.isoformat(), "why": why} for day, why in clash.lost],
                "choices": [
                    {"what": str(choice.what), "command": choice.command} for choice in clash.choices
                ],
            }
            for clash in found.clashes
        ],
        "lowered": [
            {
                "request": one.request.request_id,
                "promised_prob": one.promised_prob,
                "odds_prob": one.odds_prob,
                "lost": [{"day": day.isoformat(), "why": why} for day, why in one.lost],
            }
            for one in found.lowered
        ],
        "assumed_not_done": [one.request.request_id for one in found.questions],
        "questions": [
            {
                "request": one.request.request_id,
                "drill": one.booked.drill,
                "last_day": one.booked.days[-1].isoformat(),
                "out": one.out,
                "depends": [request.request_id for request in one.depends],
            }
            for one in found.questions
        ],
        "proof": {
            "served_proven": found.served_proven,
            "moved_bound": found.moved_bound,
            "moved_days_bound": found.moved_days_bound,
        },
    }


def _object(booked: Booked) -> dict[str, object]:
    return {
        "drill": booked.drill,
        "days": [day.isoformat() for day in booked.days],
        "shares_with": list(booked.shares_with),
    }
