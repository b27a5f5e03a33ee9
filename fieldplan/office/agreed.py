"""Days of bookings that clerk and renter agreed on by themselves, such as offers that were taken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldplan.errors import FieldplanError, InputError, Problem, placed
from fieldplan.model.records import Fresh
from fieldplan.office.entered import booking_entry
from fieldplan.office.office import Office
from fieldplan.records.kinds import facts_of
from fieldplan.season.agreed import agreed_booking


def with_days(office: Office, fresh: Sequence[Fresh]) -> tuple[Fresh, ...]:
    """Entries with the days of each yes to a place other than the planned one, where the season has a plan.

    Entries that cannot be read are left as they are: they are refused with the others.

    Raises
    ------
    InputError
        With each that the drill cannot do or the season has no days for.
    """
    if not office.standing.planned:
        return tuple(fresh)
    found: list[Fresh] = []
    problems: list[Problem] = []
    for entry in fresh:
        try:
            found.append(_with_days(office, entry) if entry.kind == "confirm" else entry)
        except InputError as error:
            problems += (placed(fault, file=entry.where, about="confirm") for fault in error.problems)
    if problems:
        raise InputError(tuple(problems))
    return tuple(found)


def _with_days(office: Office, entry: Fresh) -> Fresh:
    try:
        facts = facts_of(entry)
    except FieldplanError:
        return entry
    booked = office.standing.bookings.get(facts["request"])
    if "drill" not in facts or "first" not in facts or "days" in facts:
        return entry
    if booked is not None and (booked.drill, booked.days[0]) == (facts["drill"], facts["first"]):
        return entry
    agreed = agreed_booking(
        office.program,
        office.requests,
        office.standing,
        facts["request"],
        facts["drill"],
        facts["first"],
    )
    if agreed is None or agreed.days[0] != facts["first"]:
        return entry
    counted = booking_entry("confirm", facts["request"], agreed, facts["day"]).typed
    return replace(entry, typed={**counted, **entry.typed})
