"""Progress of a job: what was measured so far, and the outlook for the rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Protocol

from fieldplan.model.budget import BoxBudget, BoxChange
from fieldplan.model.job import BookingTerms
from fieldplan.model.stock import Sequence
from fieldplan.model.work import Booking, Odds


class Ordered(Protocol):
    """A lot or carrier of which something was ordered."""

    @property
    def species(self) -> str:
        """Species, or name of the carrier."""

    @property
    def lot(self) -> str:
        """Lot; empty for a carrier."""

    @property
    def ordered_kg(self) -> float:
        """Weight of the whole bags or bales ordered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SoFar:
    """Readings so far.

    Parameters
    ----------
    metered_m2
        Ground on the drill's meter.
    worked_s
        Time in the fields.
    left_kg
        Seed left in bags and boxes, by species and lot.
    done
        Ids of fields reported as done, if they were not sown in the order of the plan.
    """

    metered_m2: float
    worked_s: float
    left_kg: dict[tuple[str, str], float]
    done: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldAhead:
    """The plan of a field: drilled ground, field time, and seed and carrier by species and lot.

    Parameters
    ----------
    mix, boxes
        Its mix, and what each box is to deliver.
    changes
        What to do to the boxes before it, in the order in which fields are sown.
    """

    field_id: str
    drilled_m2: float
    field_s: float
    sown_kg: Mapping[tuple[str, str], float]
    mix: str = ""
    boxes: tuple[BoxBudget, ...] = ()
    changes: tuple[BoxChange, ...] = ()

    @property
    def changing_s(self) -> float:
        """Time of the box changes before it."""
        return sum(change.takes_s for change in self.changes)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxNow:
    """What a box is to deliver on the field under way, or on the next.

    Parameters
    ----------
    wanted_kg_per_m2
        Rate of seed and carrier.
    off_frac
        How much more than that it delivered so far, by the lots that were weighed; ``None`` if none was, or none
        of them says anything yet.
    mixes
        The mixes in which these lots were sown so far: of several, the error is that of all of them together.
    """

    box: str
    wanted_kg_per_m2: float
    off_frac: float | None
    mixes: tuple[str, ...]

    @property
    def real_kg_per_m2(self) -> float | None:
        """What it delivers if it goes on like that."""
        return None if self.off_frac is None else self.wanted_kg_per_m2 * (1 + self.off_frac)


@dataclass(frozen=True, slots=True, kw_only=True)
class Now:
    """The field under way, or the next one if none is begun, and what to change.

    Parameters
    ----------
    begun
        Whether it is under way.
    changes
        Of the boxes, before it begins; none if it is under way.
    following
        The field after it, with the changes before that; ``None`` if it is the last.
    """

    field_id: str
    mix: str
    begun: bool
    changes: tuple[BoxChange, ...]
    boxes: tuple[BoxNow, ...]
    following: FieldAhead | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldDone:
    """Share of a field that is done, either ``reported`` or from the meter."""

    field_id: str
    share: float
    reported: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LotPace:
    """How fast one lot is used, and whether what is left is enough for the rest.

    Parameters
    ----------
    planned_kg_per_m2, real_kg_per_m2
        Rates on the ground that gets the lot: sown so far or, if the lot is not begun, in all.
    begun
        Whether enough of that ground is done for the seed gone to say something.
    expected_kg
        What should have been sown by now.
    gone_kg
        Ordered less left.
    asked_kg
        What the rest of the job takes at the real rate.
    """

    species: str
    lot: str
    planned_kg_per_m2: float
    real_kg_per_m2: float
    begun: bool
    left_kg: float
    expected_kg: float
    gone_kg: float
    asked_kg: float

    @property
    def error_frac(self) -> float:
        """Relative error of the rate: gone / expected − 1; 0 if the lot is not begun."""
        return self.gone_kg / self.expected_kg - 1 if self.begun else 0.0

    @property
    def short_kg(self) -> float:
        """Seed that is missing at the real rate; negative if some will be left."""
        return self.asked_kg - self.left_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class Since:
    """The days since a job began, today left out.

    Parameters
    ----------
    n_working_days
        Those that are no days off.
    usual_days, range_days
        Fieldwork days among these that are usual, and the fewest and the most in any year of a record; ``None``
        where that is not known.
    """

    start: date
    n_days: int
    n_working_days: int
    usual_days: float | None
    range_days: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """The rest of a job at the pace so far.

    Parameters
    ----------
    drilled_m2, rest_m2
        Ground that the plan drills, in all and still to do.
    planned_s, worked_s
        Time of the ground that is done: as planned and as worked.
    rest_s
        Time of the rest, with moves and clean-out.
    terms
        The booking of the rest, from today on, with the forecast if there is one.
    booking
        Days to book for the rest.
    now
        Where the work stands, and what to change; ``None`` if all is done.
    days_left, prob_in_days_left
        Days left of the booking, if given, and the probability of being done in them.
    finishes
        For some odds asked for, the fewest days that give them.
    since
        The days since the job began, if its start is known.
    sequences
        For lots that fall short or were tested again: the lots that the rest is sown with, one after the other.
    """

    drilled_m2: float
    rest_m2: float
    planned_pace_m2_per_s: float
    real_pace_m2_per_s: float
    planned_s: float
    worked_s: float
    rest_s: float
    fields: tuple[FieldDone, ...]
    lots: tuple[LotPace, ...]
    terms: BookingTerms
    booking: Booking
    now: Now | None
    days_left: int | None
    prob_in_days_left: float | None
    finishes: tuple[tuple[float, Odds], ...] = ()
    since: Since | None = None
    sequences: tuple[Sequence, ...] = ()
