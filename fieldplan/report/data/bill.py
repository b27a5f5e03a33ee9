"""An invoice as JSON."""

from __future__ import annotations

from fieldplan.model.records import Bill
from fieldplan.report.data.fee import lines_object
from fieldplan.units import ACRE_M2


def bill_object(bill: Bill) -> dict[str, object]:
    """The invoice as nested dicts: areas in m², sums of money as text to the cent."""
    return {
        "schema": "fieldplan/invoice/1",
        "request": bill.account.request.request_id,
        "renter": bill.account.request.renter,
        "as_of": bill.as_of.isoformat(),
        "currency": bill.card.currency,
        "acres": {
            "mapped_m2": bill.mapped_m2,
            "drilled_m2": bill.drilled_m2,
            "billed_m2": bill.billed_ac * ACRE_M2,
        },
        "days": {
            "out": bill.account.days,
            "lost": bill.lost_days,
            "down": bill.down_days,
            "free": [day.isoformat() for day in bill.free_days],
        },
        "lines": lines_object(bill.fee),
        "total": str(bill.fee.total),
        "paid": str(bill.paid),
        "owed": str(bill.owed),
        "deposits": str(bill.fee.deposits),
        "if_prompt": None if bill.if_prompt is None else str(bill.if_prompt),
        "prompt_days": bill.prompt_days,
        "due": None if bill.due is None else bill.due.isoformat(),
        "terms": list(bill.card.terms),
        "deposit_held": str(bill.account.deposit),
    }
