"""The season's report as JSON."""

from __future__ import annotations

from fieldplan.model.records import Board, BoardLine
from fieldplan.report.documents.board import ALL, NOT_RECORDED, _remarks, _unbilled
from fieldplan.report.words.quantities import Quantities
from fieldplan.units import ACRE_M2


def board_object(board: Board) -> dict[str, object]:
    """The report as nested dicts: areas in m², sums of money as text."""

    def line_object(line: BoardLine, unnamed: str = NOT_RECORDED) -> dict[str, object]:
        return {
            "name": line.name or unnamed,
            "users": line.users,
            "mapped_m2": line.mapped_m2,
            "drilled_m2": line.drilled_m2,
            "billed_m2": line.billed_ac * ACRE_M2,
        }

    return {
        "schema": "fieldplan/board/1",
        "as_of": board.as_of.isoformat(),
        "requests": board.requests,
        "loans": board.rentals,
        "users": board.users,
        "groups": {column: [line_object(line) for line in lines] for column, lines in board.groups.items()},
        "total": line_object(board.total, ALL),
        "drills": [
            {
                "name": drill.name,
                "loans": drill.rentals,
                "days_out": drill.days_out,
                "drilled_m2": drill.drilled_m2,
                "rain_days": drill.rain_days,
                "down_days": drill.down_days,
                "repairs": str(drill.repairs),
            }
            for drill in board.drills
        ],
        "charged": str(board.charged),
        "paid": str(board.paid),
        "deposits": str(board.deposits),
        "repairs": str(board.repairs),
        "currency": board.currency,
        "rain_days": board.rain_days,
        "down_days": board.down_days,
        "downtimes": [
            {
                "drill": line.downtime.drill,
                "what": line.downtime.what,
                "broke": line.downtime.entry.day.isoformat(),
                "last": line.downtime.last.isoformat(),
                "works": line.downtime.works.isoformat() if line.downtime.works else None,
                "days": line.days,
                "cost": str(line.downtime.cost),
                "rows": [entry.number for entry in (line.downtime.entry, *line.downtime.repairs)],
            }
            for line in board.downtimes
        ],
        "seed_kg": dict(board.seed_kg),
        "unaccounted_m2": board.unaccounted_m2,
        "turned_away": [
            {"request": request.request_id, "mapped_m2": ground_m2, "why": why}
            for request, ground_m2, why in board.turned_away
        ],
        "open": list(board.open_requests),
        "strays": list(board.strays),
        "balances": [
            {"request": request.request_id, "charged": str(charged), "paid": str(paid)}
            for request, charged, paid in board.balances
        ],
        "unbilled": list(_unbilled(board, Quantities("us"))),
        "remarks": list(_remarks(board)),
    }
