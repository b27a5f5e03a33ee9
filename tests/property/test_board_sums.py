"""The board's report against plain sums over the rows of the ledger, for ledgers of any season."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

from conftest import SAMPLES
from hypothesis import given, settings
from strategies import ledgers

from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.model.records import Entry, Fresh, Ground
from fieldplan.records.accounts import accounts_of
from fieldplan.records.board import board_of
from fieldplan.records.conflicts import Known, conflicts
from fieldplan.records.current_entries import current_entries
from fieldplan.records.kinds import facts_of
from fieldplan.season.program import load_program
from fieldplan.season.requests import read_requests
from fieldplan.units import ACRE_M2

LENDING = load_program(SAMPLES / "season.toml")
REQUESTS = read_requests(LENDING.requests_path)
CARD = load_rate_card(SAMPLES / "rates.toml")
GROUNDS = {
    one.request_id: (Ground(field_id="a", mapped_m2=9 * ACRE_M2, plantable_m2=8 * ACRE_M2),)
    for one in REQUESTS
}
KNOWN = Known(
    requests=frozenset(GROUNDS),
    drills=frozenset({"ten foot", "prairie"}),
    opens=LENDING.terms.opens,
    closes=LENDING.terms.closes,
    fields={},
    working={},
    bill_facts={},
)


@given(rows=ledgers(GROUNDS, LENDING.terms.opens, LENDING.terms.closes))
@settings(max_examples=60, deadline=None)
def test_totals_are_the_sums_of_the_rows(rows: list[Fresh]) -> None:
    """Sums made here row by row, from what was typed, of rows that nothing corrects."""
    entries = [
        Entry(
            number=n,
            entered=datetime(2027, 7, 1, tzinfo=UTC).isoformat(),
            kind=row.kind,
            typed=row.typed,
            facts=facts_of(row),
            corrects=row.corrects,
        )
        for n, row in enumerate(rows, start=1)
    ]
    assert conflicts(entries, KNOWN) == []
    holds = current_entries(entries)
    board = board_of(
        holds,
        accounts_of(holds, REQUESTS),
        GROUNDS,
        ["ten foot", "prairie"],
        CARD,
        date(2027, 7, 1),
        ("practice", "county"),
    )
    corrected = {row.corrects for row in rows}
    typed = [row for n, row in enumerate(rows, start=1) if n not in corrected and row.kind != "strike"]
    of = {
        kind: [one.typed for one in typed if one.kind == kind]
        for kind in ("out", "in", "paid", "repair", "rain", "refused")
    }
    acres = sum(float(one["meter"].split()[0]) for one in of["in"]) - sum(
        float(one["meter"].split()[0]) for one in of["out"]
    )
    assert abs(board.total.drilled_m2 / ACRE_M2 - acres) < 1e-6
    assert abs(sum(drill.drilled_m2 for drill in board.drills) / ACRE_M2 - acres) < 1e-6
    assert abs(board.total.mapped_m2 / ACRE_M2 - 9 * len(of["out"])) < 1e-6
    assert (board.rentals, board.users, board.rain_days) == (
        len(of["out"]),
        len(of["out"]),
        len(of["rain"]),
    )
    assert board.paid == sum((Decimal(one["sum"][1:]) for one in of["paid"]), Decimal(0))
    assert (
        board.repairs
        == sum((Decimal(one["cost"][1:]) for one in of["repair"]), Decimal(0))
        == sum(drill.repairs for drill in board.drills)
    )
    assert sum(ground for _, ground, _ in board.turned_away) / ACRE_M2 == 9 * len(of["refused"])
    between = 0.0
    for drill in ("ten foot", "prairie"):
        outs = [float(one["meter"].split()[0]) for one in of["out"] if one["drill"] == drill]
        own = {one["request"] for one in of["out"] if one["drill"] == drill}
        between += sum(outs[1:]) - sum(
            [float(one["meter"].split()[0]) for one in of["in"] if one["request"] in own][: len(outs) - 1]
        )
    assert abs(board.unaccounted_m2 / ACRE_M2 - between) < 1e-3
    for lines in board.groups.values():
        assert abs(sum(line.drilled_m2 for line in lines) - board.total.drilled_m2) < 1e-3
        assert abs(sum(line.billed_ac for line in lines) - board.total.billed_ac) < 1e-6
