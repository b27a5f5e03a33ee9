"""Seed in stock, and what a job needs of it, as JSON and CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from datetime import date

from fieldplan.model.stock import Sequence as LotSequence
from fieldplan.model.stock import Stock
from fieldplan.report.data.mix import guarded
from fieldplan.units import POUND_KG


def stock_object(stock: Stock) -> dict[str, object]:
    """All lots as nested dicts in SI."""
    return {
        "schema": "fieldplan/stock/1",
        "lots": [
            {
                "species": lot.species,
                "lot": lot.lot,
                "left_kg": lot.left_kg,
                "bought_kg": lot.bought_kg,
                "returned_kg": lot.returned_kg,
                "drawn_kg": lot.drawn_kg,
                "discarded_kg": lot.discarded_kg,
                "counted_kg": lot.counted_kg,
                "first_day": lot.first_day.isoformat(),
                "opened": _day(lot.opened),
                "tested": _day(lot.tested),
                "retest_by": _day(lot.retest_by),
                "kept": lot.kept,
                "tag": {name: cell for name, cell in lot.tag.items() if cell},
                "held_kg_by_job": dict(lot.by_job),
            }
            for lot in stock.lots
        ],
    }


def need_object(needed: Sequence[LotSequence], job: str, entry: int | None = None) -> dict[str, object]:
    """What a job needs as nested dicts in SI; ``entry`` is the number of the write that drew it, if it was."""
    return {
        "schema": "fieldplan/stock-need/1",
        "job": job,
        "entry": entry,
        "lots": list(map(sequence_object, needed)),
    }


def sequence_object(one: LotSequence) -> dict[str, object]:
    """The lots of one need in their order."""
    return {
        "species": one.species,
        "lot": one.lot,
        "need_kg": one.need_kg,
        "buy_kg": one.buy_kg,
        "turns": [
            {
                "lot": turn.lot,
                "in_stock": turn.on_shelf,
                "bulk_kg": turn.bulk_kg,
                "bulk_kg_per_m2": turn.bulk_kg_per_m2,
                "change_frac": turn.change_frac,
                "ground_m2": turn.ground_m2,
                "bags": turn.bags,
            }
            for turn in one.turns
        ],
        "without_tag": list(one.passed_over),
    }


def stock_csv(stock: Stock) -> str:
    """A row a lot, in pounds: for a spreadsheet; the stock file itself has the rows that it is summed from."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("species", "lot", "kept", "bought_lb", "opened", "tested", "retest_by", "left_lb"))
    for lot in stock.lots:
        writer.writerow(
            (
                guarded(lot.species),
                guarded(lot.lot),
                guarded(lot.kept),
                f"{lot.bought_kg / POUND_KG:.3f}",
                _day(lot.opened) or "",
                _day(lot.tested) or "",
                _day(lot.retest_by) or "",
                f"{max(0.0, lot.left_kg) / POUND_KG:.3f}",
            )
        )
    return out.getvalue()


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
