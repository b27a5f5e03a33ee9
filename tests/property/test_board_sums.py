"""The board's report against plain sums over the rows of the ledger, for ledgers of any season."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

from conftest import SAMPLES
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.model.records import Entry, Fresh, Ground
from fieldplan.records.accounts import accounts_of
from fieldplan.records.board import board_of
from fieldplan.records.contradictions import Known, contradictions
from fieldplan.records.kinds import facts_of
from fieldplan.records.standing import standing
from fieldplan.season.lending import load_lending
from fieldplan.season.requests import read_requests
from fieldplan.units import ACRE_M2

LENDING = load_lending(SAMPLES / "season.toml")
REQUESTS = read_requests(LENDING.requests_path)
CARD = load_rate_card(SAMPLES / "rates.toml")
GROUNDS = {one.request_id: (Ground(field_id="a", mapped_m2=9 * ACRE_M2, plantable_m2=8 * ACRE_M2),) for one in REQUESTS}
KNOWN = Known(
    requests=frozenset(GROUNDS), drills=frozenset({"ten foot", "prairie"}), opens=LENDING.terms.opens, closes=LENDING.terms.closes, fields={}, working={}, bill_facts={}
)  # fmt: skip


@st.composite
def every_season(draw: st.DrawFn) -> list[Fresh]:
    """Loans of two drills one after the other, with payments, repairs, lost days, remarks, people turned away, slips put right and struck."""
    rows: list[Fresh] = []

    def add(kind: str, corrects: int | None = None, **typed: object) -> int:
        rows.append(Fresh(kind=kind, typed={name: str(value) for name, value in typed.items()}, corrects=corrects))
        return len(rows)

    ids = draw(st.permutations(sorted(GROUNDS)))
    for drill in ("ten foot", "prairie"):
        day, tenths = LENDING.terms.opens, draw(st.integers(0, 5000))
        for _ in range(draw(st.integers(0, 4))):
            request, counted = ids.pop(), draw(st.integers(0, 900))
            tenths += draw(st.integers(0, 3))
            add("out", request=request, drill=drill, day=day, meter=f"{tenths / 10} ac")
            if draw(st.booleans()):
                add("sown", request=request, field="a", day=day, practice=draw(st.sampled_from(["x", "y"])))
                add("sown", request=request, field="b", day=day, practice=draw(st.sampled_from(["x", "z"])))
            day += timedelta(days=draw(st.integers(0, 4)))
            tenths += counted
            back = {"request": request, "day": day, "meter": f"{tenths / 10} ac"}
            if draw(st.integers(0, 3)) == 0:
                slip = add("in", **{**back, "meter": f"{tenths / 10 + 1} ac"})
                add("in", corrects=slip, **back)
            else:
                add("in", **back)
            if draw(st.booleans()):
                add("paid", request=request, day=day, sum=f"${draw(st.integers(1, 400))}.50")
            day += timedelta(days=1)
        for k in range(draw(st.integers(0, 2))):
            add("rain", drill=drill, day=LENDING.terms.closes + timedelta(days=k + 1))
            number = add("repair", drill=drill, day=day, cost=f"${draw(st.integers(1, 90))}.10", what=f"part {k}")
            if draw(st.integers(0, 2)) == 0:
                add("strike", corrects=number, day=day, why="not ours")
    for _ in range(draw(st.integers(0, 3))):
        add("refused", request=ids.pop(), day=LENDING.terms.opens, why="no days left")
    return rows


@given(rows=every_season())
@settings(max_examples=60, deadline=None)
def test_totals_are_the_sums_of_the_rows(rows: list[Fresh]) -> None:
    """Sums made here row by row, from what was typed, of rows that nothing corrects."""
    entries = [
        Entry(number=n, entered=datetime(2027, 7, 1, tzinfo=UTC).isoformat(), kind=one.kind, typed=one.typed, facts=facts_of(one), corrects=one.corrects)
        for n, one in enumerate(rows, start=1)
    ]  # fmt: skip
    assert contradictions(entries, KNOWN) == []
    holds = standing(entries)
    board = board_of(
        holds, accounts_of(holds, REQUESTS), GROUNDS, ["ten foot", "prairie"], CARD, date(2027, 7, 1), ("practice", "county")
    )
    corrected = {one.corrects for one in rows}
    typed = [one for n, one in enumerate(rows, start=1) if n not in corrected and one.kind != "strike"]
    of = {kind: [one.typed for one in typed if one.kind == kind] for kind in ("out", "in", "paid", "repair", "rain", "refused")}
    acres = sum(float(one["meter"].split()[0]) for one in of["in"]) - sum(float(one["meter"].split()[0]) for one in of["out"])
    assert abs(board.total.drilled_m2 / ACRE_M2 - acres) < 1e-6
    assert abs(sum(one.drilled_m2 for one in board.drills) / ACRE_M2 - acres) < 1e-6
    assert abs(board.total.mapped_m2 / ACRE_M2 - 9 * len(of["out"])) < 1e-6
    assert (board.loans, board.users, board.rain_days) == (len(of["out"]), len(of["out"]), len(of["rain"]))
    assert board.paid == sum((Decimal(one["sum"][1:]) for one in of["paid"]), Decimal(0))
    assert (
        board.repairs
        == sum((Decimal(one["cost"][1:]) for one in of["repair"]), Decimal(0))
        == sum(one.repairs for one in board.drills)
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
        assert abs(sum(one.drilled_m2 for one in lines) - board.total.drilled_m2) < 1e-3
        assert abs(sum(one.billed_ac for one in lines) - board.total.billed_ac) < 1e-6
