"""What happened to a season since it was planned last, and the waiting list, as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fieldplan.model.standing import Offer, Since


def since_object(since: Since) -> dict[str, object]:
    """What happened since the last plan, as nested dicts."""
    return {
        "came": list(since.came),
        "changed": {name: list(columns) for name, columns in since.changed.items()},
        "gone": list(since.gone),
        "withdrawn": list(since.withdrawn),
        "namesakes": {name: list(requests) for name, requests in since.namesakes.items()},
        "outside": list(since.outside),
        "moved": list(since.moved),
        "lost": list(since.lost),
        "overdue": list(since.overdue),
        "again": list(since.again),
        "open_before_out": {name: list(names) for name, names in since.open_before_out.items()},
        "freed": [
            {
                "drill": one.drill,
                "days": [day.isoformat() for day in one.days],
                "request": one.request_id,
                "cause": one.cause,
            }
            for one in since.freed
        ],
    }


def offers_object(offers: Sequence[Offer]) -> dict[str, Any]:
    """The waiting list as nested dicts, in the order of phoning."""
    return {
        "schema": "fieldplan/season-offers/1",
        "offers": [
            {
                "request": offer.request.request_id,
                "renter": offer.request.renter,
                "drill": offer.freed.drill,
                "days": [day.isoformat() for day in offer.days],
                "odds_prob": offer.odds_prob,
                "served_now": offer.booked is not None,
                "earlier_days": offer.earlier_days,
                "freed_by": offer.freed.request_id,
            }
            for offer in offers
        ],
    }
