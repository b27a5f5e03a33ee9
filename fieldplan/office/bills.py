"""Bills of a season: what each request owes, or why it cannot be billed yet."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fieldplan.errors import FieldplanError
from fieldplan.facts import Fact
from fieldplan.model.fee import RateCard
from fieldplan.model.records import Account, Bill, Entry, Ground
from fieldplan.model.season import RentalProgram, Request
from fieldplan.records.billing import bill_of
from fieldplan.records.standing import days_lost
from fieldplan.season.durations import boundary_of


def works_on(program: RentalProgram, drill: str, day: date) -> bool:
    """Whether a drill works on a day; one that the season has no more counts as working."""
    off = {one.name: one for one in program.drills}.get(drill)
    return off is None or not (day.weekday() in off.weekdays_off or day in off.dates_off)


def lost_of(program: RentalProgram, entries: Sequence[Entry]) -> list[tuple[str, date]]:
    """Drills by name, each with a working day that it lost.

    Parameters
    ----------
    entries
        Current entries.
    """
    names = [drill.name for drill in program.drills]
    return [
        at
        for entry in entries
        if entry.kind in ("rain", "lost")
        for at in days_lost(entry, names)
        if works_on(program, *at)
    ]


def ground_of(request: Request) -> tuple[Ground, ...]:
    """The fields of a request, with their mapped and plantable area."""
    return tuple(
        Ground(field_id=field.field_id, mapped_m2=field.mapped_m2, plantable_m2=field.plantable_m2)
        for field in boundary_of(request).fields
    )


def bill_or_why(
    account: Account, card: RateCard, as_of: date, lost: Sequence[tuple[str, date]]
) -> Bill | Fact:
    """The bill of a request as of a day, or why it cannot be billed."""
    try:
        return bill_of(account, ground_of(account.request), card, as_of, lost)
    except FieldplanError as error:
        return error.problems[0].as_fact()
