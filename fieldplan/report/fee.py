"""The bill as a page and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from fieldplan.model.fee import Fee, RateCard
from fieldplan.report.document import Document, Part, document_text


def money(amount: Decimal | float, currency: str) -> str:
    """An amount with its currency as it was written: a sign before, a code after."""
    shown = f"{abs(amount):,.2f}"
    minus = "−" if amount < 0 else ""
    return f"{minus}{shown} {currency}" if currency.isalpha() else f"{minus}{currency}{shown}"


def fee_page(card: RateCard, fee: Fee, about: Sequence[str]) -> str:
    """The bill line by line, with how each came about; ``about`` says what it is for and what must be seen before it."""
    return document_text(
        Document(title=f"Fee by {card.name}", about=tuple(about), parts=tuple(fee_parts(card, fee)), last=billed_on(fee))
    )


def fee_parts(card: RateCard, fee: Fee, after: Sequence[tuple[str, Decimal]] = ()) -> Iterator[Part]:
    """Charges with their sum and what comes ``after`` it, how each came about, and what is held and given back."""
    charges = [line for line in fee.lines if line.kind == "charge"]
    sums = [*((line.name, line.amount) for line in charges), ("all", fee.total), *after]
    yield Part(header=("for", "sum"), rows=tuple((name, money(amount, card.currency)) for name, amount in sums))
    yield Part(lines=tuple(f"{line.name}: {line.how}." for line in charges if line.how))
    held = tuple((line.name, money(line.amount, card.currency)) for line in fee.lines if line.kind == "deposit")
    if held:
        yield Part(header=("held, and given back", "sum"), rows=held)


def billed_on(fee: Fee) -> str:
    """Which acres were billed, and whose word is the last."""
    return f"Billed on {fee.acres:,.2f} {fee.acres_kind} acres. What a district charges is what its own paper says."


def fee_object(card: RateCard, fee: Fee) -> dict[str, object]:
    """The bill as nested dicts: sums as text, to the cent."""
    return {
        "schema": "fieldplan/fee/1", "card": card.name, "currency": card.currency, "acres_kind": fee.acres_kind, "acres": fee.acres,
        "lines": [{"name": one.name, "kind": one.kind, "amount": str(one.amount), "how": one.how} for one in fee.lines],
        "total": str(fee.total), "deposits": str(fee.deposits),
    }  # fmt: skip
