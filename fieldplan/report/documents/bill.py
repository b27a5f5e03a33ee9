"""An invoice: three acreages, the lines of the rate card, what was paid and what is owed."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from fieldplan.model.records import Bill, Entry, Rental
from fieldplan.report.documents.document import Document, Part
from fieldplan.report.documents.fee import ACRES_WORDS, billed_on, fee_parts
from fieldplan.report.words.money_and_places import money_text
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.quantities import Quantities
from fieldplan.units import ACRE_M2


def bill_document(bill: Bill, season: str, q: Quantities) -> Document:
    """The invoice of a request.

    Parameters
    ----------
    season
        Name of the season.
    """
    request, currency = bill.account.request, bill.card.currency
    back = max(rental.back.day for rental in bill.account.rentals if rental.back)
    offer = (
        f"If it is all paid by {back + timedelta(days=bill.prompt_days):%a %d %b %Y}: {money_text(bill.if_prompt - bill.paid, currency)}."
        if bill.if_prompt is not None and bill.prompt_days is not None
        else ""
    )
    due = ""
    if bill.due is not None and bill.owed > 0:
        by = f"ue by {bill.due:%a %d %b %Y}"
        over = bill.as_of > bill.due
        due = f"{f'Was d{by} ({due_from(bill)})' if over else f'D{by}'}: {money_text(bill.owed, currency)}."
    terms = bill.card.terms if bill.owed > 0 else ()
    deposit = (
        f"A deposit of {money_text(bill.account.deposit, currency)} is held and will be returned."
        if bill.account.deposit
        else ""
    )
    return Document(
        title=f"Invoice {request.request_id}: {request.renter}",
        about=(
            f'{season}, made out on {bill.as_of:%a %d %b %Y} by the rate card "{bill.card.name}".',
            *rented_lines(bill, q),
        ),
        parts=(
            acres_part(bill, q),
            *charge_parts(bill, q),
            *(Part(lines=(text,)) for text in (due, offer, *late_lines(bill), *terms, deposit) if text),
        ),
        last=billed_on(bill.fee, q),
        blanks=("district", "date"),
    )


def rented_lines(bill: Bill, q: Quantities) -> tuple[str, ...]:
    """Drill, days and meters of each rental, how many days they were, and which of them are charged."""
    rentals = [(rental, rental.back) for rental in bill.account.rentals if rental.back]
    lost = f", {bill.lost_days} of them lost to weather" if bill.lost_days else ""
    lost += f", {bill.down_days} of them with the drill out of work" if bill.down_days else ""
    return (
        *(
            f"{rental.drill}: out {rental.out.day:%a %d %b %Y}, in {returned.day:%a %d %b %Y}; {q.meter} {q.area(rental.out.facts['meter'], 1)} {q.area_unit} out, {_changed(rental, returned, q)}{q.area(returned.facts['meter'], 1)} {q.area_unit} in."
            for rental, returned in rentals
        ),
        f"{counted(bill.account.days, 'calendar day')}, counting the first and the last{lost}.",
        *_days_billed(bill),
    )


def due_from(bill: Bill) -> str:
    """From when the days to pay count, as the rate card says: "30 days after the return"."""
    return f"{counted(bill.card.paid_in_days or 0, 'day')} after the return"


def late_lines(bill: Bill) -> tuple[str, ...]:
    """What the card adds to what is paid late, while something is owed."""
    return tuple(
        f"{charge.name}: {float(charge.share.share_frac) * 100:g} % of what is unpaid {charge.each_days} days after the return, and again every {charge.each_days} days."
        for charge in bill.card.charges
        if charge.share and charge.each_days and not charge.when and bill.owed > 0
    )


def acres_part(bill: Bill, q: Quantities) -> Part:
    """The three acreages: on the map, drilled and billed."""
    return Part(
        header=("three acreages", "from", q.area_word),
        left=2,
        rows=(
            (
                "on the map",
                "the request's boundary" if bill.account.request.fields else "the request",
                q.area(bill.mapped_m2),
            ),
            ("drilled", "the drill's meter", q.area(bill.drilled_m2)),
            (
                "billed",
                f"{ACRES_WORDS[bill.fee.acres_kind]} acres, as the card says",
                q.area(bill.billed_ac * ACRE_M2),
            ),
        ),
    )


def charge_parts(bill: Bill, q: Quantities) -> tuple[Part, ...]:
    """The lines of the rate card, payments and what is owed, and how each line was calculated."""
    payments = [
        (
            f"{'paid' if entry.facts['sum'] >= 0 else 'paid back'} {entry.day:%a %d %b %Y}",
            -entry.facts["sum"],
        )
        for entry in bill.account.paid
    ]
    owed = [("owed", bill.owed)] if bill.owed >= 0 else [("to be paid back", -bill.owed)]
    charges = tuple(line for line in bill.fee.lines if line.kind == "charge")
    return tuple(fee_parts(bill.card, replace(bill.fee, lines=charges), q, [*payments, *owed]))


def _changed(rental: Rental, returned: Entry, q: Quantities) -> str:
    """What happened to the meter between its readings: where it turned over, and what an old one showed last."""
    said = []
    for entry in (*rental.between, returned):
        facts, new = entry.facts, entry.facts.get("new_meter", 0.0)
        if "turns_at" in facts:
            said.append(f"turned over at {q.area(facts['turns_at'], 1)} {q.area_unit}, ")
        if "old_meter" in facts:
            new = facts["meter"] if entry.kind == "meter" else new
            said.append(
                f"replaced at {q.area(facts['old_meter'], 1)} {q.area_unit} by one that showed {q.area(new, 1)} {q.area_unit}, "
            )
    return "".join(said)


def _days_billed(bill: Bill) -> tuple[str, ...]:
    """Which days charges by the day count, by the words of the rate card; nothing if it has no such charge."""
    if not any(charge.unit == "day" for charge in bill.card.charges):
        return ()
    if not bill.free_days:
        return ("Charges by the day count every one of them, as the rate card says.",)
    free = ", ".join(f"{day:%a %d %b}" for day in bill.free_days)
    return (
        f"Charges by the day count {bill.account.days - len(bill.free_days)} of them; the rate card leaves out {free}.",
    )
