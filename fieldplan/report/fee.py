"""The bill as a page and as JSON."""

from __future__ import annotations

from decimal import Decimal

from fieldplan.model.fee import Fee, RateCard
from fieldplan.report.table import paragraph, table


def money(amount: Decimal | float, currency: str) -> str:
    """An amount with its currency as it was written: a sign before, a code after."""
    shown = f"{abs(amount):,.2f}"
    minus = "−" if amount < 0 else ""
    return f"{minus}{shown} {currency}" if currency.isalpha() else f"{minus}{currency}{shown}"


def fee_page(card: RateCard, fee: Fee, about: str) -> str:
    """The bill line by line, with how each came about."""
    lines = [f"Fee by {card.name}", *paragraph(about, indent=0), ""]
    charges = [line for line in fee.lines if line.kind == "charge"]
    rows = [(line.name, money(line.amount, card.currency)) for line in charges]
    lines += table(("for", "sum"), [*rows, ("all", money(fee.total, card.currency))])
    lines += ["", *(part for line in charges if line.how for part in paragraph(f"{line.name}: {line.how}."))]
    held = [line for line in fee.lines if line.kind == "deposit"]
    if held:
        lines += ["", *table(("held, and given back", "sum"), [(line.name, money(line.amount, card.currency)) for line in held])]
    lines += [
        "",
        *paragraph(f"Billed on {fee.acres:,.2f} {fee.acres_kind} acres. What a district charges is what its own paper says."),
    ]
    return "\n".join(lines) + "\n"


def fee_object(card: RateCard, fee: Fee) -> dict[str, object]:
    """The bill as nested dicts: sums as text, to the cent."""
    return {
        "schema": "fieldplan/fee/1", "card": card.name, "currency": card.currency, "acres_kind": fee.acres_kind, "acres": fee.acres,
        "lines": [{"name": one.name, "kind": one.kind, "amount": str(one.amount), "how": one.how} for one in fee.lines],
        "total": str(fee.total), "deposits": str(fee.deposits),
    }  # fmt: skip
