"""What could be true and is likely a slip: said after an entry is written, never a reason to refuse it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from fieldplan.model.records import Entry, Ground
from fieldplan.records.loans import loans_of
from fieldplan.units import ACRE_M2, POUND_KG, shown_acres

OFTEN = 2.0
"""A meter that counts more than so many times the ground on the map is read again (assumed)."""
DOUBTED = ("in", "sown", "seed")
"""Kinds whose figures are held against the map."""
FEW_M2 = ACRE_M2
MOST_SEED_KG_PER_M2 = 400 * POUND_KG / ACRE_M2
"""No drilled seeding is heavier (assumed)."""


def doubts(new: Sequence[Entry], holds: Sequence[Entry], grounds: Mapping[str, Sequence[Ground]], today: date) -> Iterator[str]:
    """A sentence for each new entry whose figures are far from the map, and one for all whose day is still to come.

    Parameters
    ----------
    holds
        All entries that hold, with the new ones.
    grounds
        The fields on the map of the requests that the new entries are about.
    """
    to_come = [entry for entry in new if entry.day > today]
    if to_come:
        yield f"{len(to_come)} of these entries lie after today, {today}, such as row {to_come[0].number} on {to_come[0].day}."
    loans = {loan.back.number: loan for own in loans_of(holds).values() for loan in own if loan.back}
    for entry in new:
        ground = grounds.get(entry.request, ())
        whole_m2 = sum(one.mapped_m2 for one in ground)
        field_m2 = next((one.mapped_m2 for one in ground if one.field_id == entry.facts.get("field")), whole_m2)
        loan = loans.get(entry.number)
        if loan and loan.drilled_m2 is not None and _far_over(loan.drilled_m2, whole_m2):
            yield f"the meter counted {shown_acres(loan.drilled_m2)}, and {entry.request} has {shown_acres(whole_m2)} on the map (row {entry.number})."
        if entry.kind == "sown" and _far_over(entry.facts.get("acres", 0.0), field_m2):
            yield f"{shown_acres(entry.facts['acres'])} were sown, and {entry.facts['field']} has {shown_acres(field_m2)} on the map (row {entry.number})."
        if entry.kind == "seed" and field_m2 and entry.facts["weight"] / field_m2 > MOST_SEED_KG_PER_M2:
            yield f"{entry.typed['weight']} of {entry.facts['species']} went into {shown_acres(field_m2)} (row {entry.number})."


def _far_over(value_m2: float, mapped_m2: float) -> bool:
    return value_m2 > OFTEN * mapped_m2 + FEW_M2
