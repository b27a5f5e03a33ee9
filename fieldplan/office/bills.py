"""Bills of a season: what each request owes, or why it cannot be billed yet."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

from fieldplan.errors import FieldplanError
from fieldplan.facts import Fact
from fieldplan.model.fee import RateCard
from fieldplan.model.records import Account, Bill, Entry, Ground
from fieldplan.model.rental_program import RentalProgram
from fieldplan.model.request import Request
from fieldplan.records.billing import bill_of
from fieldplan.records.downtime import is_weather, lost_of
from fieldplan.season.durations import boundary_of

DrillDays = Collection[tuple[str, date]]


def ground_of(request: Request) -> tuple[Ground, ...]:
    """The fields of a request, with their mapped and plantable area."""
    return tuple(
        Ground(field_id=field.field_id, mapped_m2=field.mapped_m2, plantable_m2=field.plantable_m2)
        for field in boundary_of(request).fields
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Billing:
    """What the bills of a season rest on besides the accounts.

    Parameters
    ----------
    as_of
        The day of the bills.
    lost, down
        Drill and day of each working day that was lost to weather, and to a breakdown.
    """

    program: RentalProgram
    card: RateCard
    as_of: date
    lost: DrillDays
    down: DrillDays

    @classmethod
    def of(cls, program: RentalProgram, card: RateCard, entries: Sequence[Entry], as_of: date) -> Billing:
        """Bills by the current entries of a season."""
        every = lost_of(entries, [drill.name for drill in program.drills])
        worked = {at: why for at, why in every.items() if program.works(*at)}
        return cls(
            program=program,
            card=card,
            as_of=as_of,
            lost=[at for at, why in worked.items() if is_weather(why)],
            down=[at for at, why in worked.items() if not is_weather(why)],
        )

    def bill(self, account: Account) -> Bill:
        """The bill of a request.

        Raises
        ------
        FieldplanError
            If it cannot be billed yet.
        """
        ground = ground_of(account.request)
        return bill_of(account, ground, self.card, self.as_of, self.lost, self.down, self.program.works)

    def bill_or_why(self, account: Account) -> Bill | Fact:
        """The bill of a request, or why it cannot be billed."""
        try:
            return self.bill(account)
        except FieldplanError as error:
            return error.problems[0].as_fact()
