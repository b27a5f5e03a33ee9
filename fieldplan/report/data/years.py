"""Several seasons as JSON."""

from __future__ import annotations

from fieldplan.model.years import SeasonYear, Years
from fieldplan.report.documents.board import NOT_RECORDED
from fieldplan.units import ACRE_M2


def years_object(found: Years) -> dict[str, object]:
    """The seasons as nested dicts: areas in m², sums of money as text."""
    return {
        "schema": "fieldplan/years/1",
        "as_of": found.as_of.isoformat(),
        "currency": found.currency,
        "seasons": [_season(one) for one in found.seasons],
        "one_more_drill": purchase_object(found),
    }


def purchase_object(found: Years) -> dict[str, object]:
    """Whether another drill would pay: areas in m², sums of money as text."""
    offered = found.offered
    return {
        "ground_m2": found.more_m2,
        "charged_per_m2": None if found.per_m2 is None else str(found.per_m2),
        "income": None if found.more_income is None else f"{found.more_income:.2f}",
        "price": None if offered is None else str(offered.price),
        "life_years": None if offered is None else offered.life_years,
        "upkeep": None if offered is None or offered.upkeep is None else str(offered.upkeep),
        "yearly": None if offered is None else f"{offered.yearly:.2f}",
        "pays": found.pays,
    }


def _season(one: SeasonYear) -> dict[str, object]:
    board, demand = one.board, one.demand
    return {
        "name": one.name,
        "opens": one.opens.isoformat(),
        "requests": board.requests,
        "rentals": board.rentals,
        "mapped_m2": board.total.mapped_m2,
        "drilled_m2": board.total.drilled_m2,
        "billed_m2": board.total.billed_ac * ACRE_M2,
        "days_out": one.days_out,
        "rain_days": board.rain_days,
        "down_days": board.down_days,
        "charged": str(board.charged),
        "paid": str(board.paid),
        "repairs": str(board.repairs),
        "turned_away": [
            {"request": request.request_id, "mapped_m2": ground_m2, "why": why}
            for request, ground_m2, why in board.turned_away
        ],
        "by": {
            column: [
                {
                    "name": line.name or NOT_RECORDED,
                    "users": line.users,
                    "mapped_m2": line.mapped_m2,
                    "drilled_m2": line.drilled_m2,
                    "billed_m2": line.billed_ac * ACRE_M2,
                    "days_out": line.days,
                    "charged": f"{line.charged:.2f}",
                }
                for line in lines
            ]
            for column, lines in one.by.items()
        },
        "asked_days": demand.days,
        "turned_away_days": demand.away_days,
        "fleet_days": demand.fleet_days,
        "unable": list(demand.unable),
        "could_serve": {
            "requests": demand.served,
            "ground_m2": demand.served_m2,
            "proven": demand.served_proven,
        },
        "one_more_drill": {
            "like": one.one_more.drill,
            "requests": one.one_more.requests,
            "ground_m2": one.one_more.ground_m2,
        },
    }
