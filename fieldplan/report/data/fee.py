"""A rental fee as JSON."""

from __future__ import annotations

from fieldplan.model.fee import Fee, RateCard
from fieldplan.report.words.notes import values_as_data
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence


def lines_object(fee: Fee) -> list[dict[str, object]]:
    """The lines of a fee as dicts: how each was calculated, as a sentence in US units and as quantities by
    name.
    """
    us = Quantities("us")
    return [
        {
            "name": line.name,
            "kind": line.kind,
            "amount": str(line.amount),
            "how": sentence(line.how, us) if line.how else "",
            "values": values_as_data(line.how.values) if line.how else {},
        }
        for line in fee.lines
    ]


def fee_object(card: RateCard, fee: Fee) -> dict[str, object]:
    """The fee as nested dicts: sums of money as text, to the cent."""
    return {
        "schema": "fieldplan/fee/1",
        "card": card.name,
        "currency": card.currency,
        "acres_kind": fee.acres_kind,
        "acres": fee.acres,
        "billed_ac": fee.billed_ac,
        "lines": lines_object(fee),
        "total": str(fee.total),
        "deposits": str(fee.deposits),
    }
