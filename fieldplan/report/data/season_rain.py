"""A season after rain, for programs."""

from __future__ import annotations

from fieldplan.model.season import Booked, Replanned


def rain_object(found: Replanned) -> dict[str, object]:
    """The same as nested dicts."""
    return {
        "schema": "fieldplan/season-rain/1",
        "finished": list(found.finished),
        "confidence_frac": found.confidence_prob,
        "changes": [
            {
                "request": one.request.request_id,
                "renter": one.request.renter,
                "was": _object(one.was),
                "now": None if one.now is None else _object(one.now),
                "begun": one.begun,
                "moved": one.moved,
                "later_days": one.later_days,
                "odds_prob": one.odds_prob,
                "reason": "" if one.reason is None else str(one.reason),
            }
            for one in found.changes
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
