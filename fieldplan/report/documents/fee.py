"""The parts of a fee that its page and invoices share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from fieldplan.model.fee import Acres, Fee, RateCard
from fieldplan.report.documents.document import Part
from fieldplan.report.words.money_and_places import money_text
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.units import ACRE_M2

ACRES_WORDS: Mapping[Acres, str] = {"map": "map", "meter": "meter", "to sow": "plantable"}
"""What a reader calls each kind of acres that a rate card may bill."""


def fee_parts(
    card: RateCard, fee: Fee, q: Quantities, after: Sequence[tuple[str, Decimal]] = ()
) -> Iterator[Part]:
    """Charges with their sum, how each was calculated, and deposits.

    Parameters
    ----------
    after
        Lines after the sum, such as payments, with their amounts.
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
    deposits = tuple(
        (line.name, money_text(line.amount, card.currency)) for line in fee.lines if line.kind == "deposit"
    )
    if deposits:
        yield Part(header=("held, and returned", "sum"), rows=deposits)


def billed_on(fee: Fee, q: Quantities) -> str:
    """Which acres were billed, and that the district's own papers decide."""
    billed = f"{fee.billed_ac:,.2f} {ACRES_WORDS[fee.acres_kind]} acres{beside(fee.billed_ac, q)}"
    minimum = (
        ""
        if f"{fee.billed_ac:.2f}" == f"{fee.acres:.2f}"
        else f", the minimum that the card bills, for {fee.acres:,.2f}{beside(fee.acres, q)}"
    )
    return f"Billed on {billed}{minimum}. The district's own papers decide what it charges."


def beside(acres: float, q: Quantities) -> str:
    """Billed acres in the reader's units, in parentheses; nothing if the reader counts in acres."""
    return "" if q.system == "us" or not acres else f" ({q.area(acres * ACRE_M2)} {q.area_unit})"
