"""Renters over seasons as JSON."""

from __future__ import annotations

from collections.abc import Sequence

from fieldplan.model.records import Renter


def renters_object(renters: Sequence[Renter]) -> dict[str, object]:
    """The renters as nested dicts: areas in m², sums of money as text."""
    return {
        "schema": "fieldplan/renters/1",
        "renters": [
            {
                "renter_id": renter.renter_id,
                "renter": renter.called,
                "good_standing": renter.bad_standing is None,
                "why": renter.bad_standing or "",
                "shown": [
                    {"what": what, "day": day.isoformat(), "until": until.isoformat() if until else None}
                    for what, day, until in renter.shown
                ],
                "seasons": [
                    {
                        "season": one.season,
                        "requests": list(one.requests),
                        "rentals": one.rentals,
                        "drilled_m2": one.drilled_m2,
                        "charged": str(one.charged),
                        "paid": str(one.paid),
                        "owed": str(one.owed),
                        "deposit_held": str(one.deposit),
                        "unbilled": list(one.unbilled),
                    }
                    for one in renter.seasons
                ],
            }
            for renter in renters
        ],
    }
