"""The bill as a page and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from fieldplan.model.fee import Fee, RateCard
from fieldplan.report.documents.document import Part
from fieldplan.report.words.money_and_places import money_text
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.units import ACRE_M2


def fee_parts(
    card: RateCard, fee: Fee, q: Quantities, after: Sequence[tuple[str, Decimal]] = ()
) -> Iterator[Part]:
    """Charges with their sum and what comes ``after`` it, how each came about, and what is held and given
    back.
    """
    charges = [line for line in fee.lines if line.kind == "charge"]
    sums = [*((line.name, line.amount) for line in charges), ("all", fee.total), *after]
    yield Part(
        header=("for", "sum"),
        rows=tuple((name, money_text(amount, card.currency)) for name, amount in sums),
    )
    yield Part(
        lines=tuple(
            f"{line.name}: {sentence(line.how, q)}{beside(line.billed_ac, q)}."
            for line in charges
            if line.how
        )
    )
    held = tuple(
        (line.name, money_text(line.amount, card.currency)) for line in fee.lines if line.kind == "deposit"
    )
    if held:
        yield Part(header=("held, and given back", "sum"), rows=held)


def billed_on(fee: Fee, q: Quantities) -> str:
    """Which acres were billed, and whose word is the last."""
    billed = f"{fee.billed_ac:,.2f} {fee.acres_kind} acres{beside(fee.billed_ac, q)}"
    minimum = (
        ""
        if f"{fee.billed_ac:.2f}" == f"{fee.acres:.2f}"
        else f", the least that the card counts, for {fee.acres:,.2f}{beside(fee.acres, q)}"
    )
    return f"Billed on {billed}{minimum}. What a district charges is what its own paper says."


def beside(acres: float, q: Quantities) -> str:
    """The same ground in the reader's units, behind the acres that a rate card bills, if those are not the
    reader's.
    """
    return "" if q.system == "us" or not acres else f" ({q.area(acres * ACRE_M2)} {q.area_unit})"
