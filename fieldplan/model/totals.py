"""Ground, distances and hours of one field or of several together: all outputs take these sums from here."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields

from fieldplan.model.work import TimePart, added_up, spent_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """Sums over one or more fields.

    Parameters
    ----------
    to_sow_m2
        Plantable ground times the number of sowings: shares of missed ground, overlap and ground outside
        are shares of this.
    backing
        Turns that back up.
    pass_m, headland_m
        Distances driven with the openers in the ground.
    turn_m, transfer_m
        Distances driven with the drill lifted.
    reverse_m
        The part of ``turn_m`` that is driven in reverse.
    for_seed_m
        The part of ``transfer_m`` that leads to the seed and back.
    """

    mapped_m2: float
    plantable_m2: float
    to_sow_m2: float
    drilled_m2: float
    overlap_m2: float
    missed_m2: float
    outside_m2: float
    passes: int
    turns: int
    backing: int
    refills: int
    pass_m: float
    headland_m: float
    turn_m: float
    reverse_m: float
    transfer_m: float
    for_seed_m: float
    time_parts: tuple[TimePart, ...]

    @classmethod
    def of(cls, parts: Iterable[Totals]) -> Totals:
        """The sums over several fields."""
        each = list(parts)
        sums = {
            member.name: sum(getattr(part, member.name) for part in each)
            for member in fields(cls)
            if member.name != "time_parts"
        }
        return cls(**sums, time_parts=added_up(part.time_parts for part in each))

    @property
    def excluded_m2(self) -> float:
        """Mapped ground that must not be sown."""
        return self.mapped_m2 - self.plantable_m2

    @property
    def sown_m(self) -> float:
        """Distance driven with the openers in the ground."""
        return self.pass_m + self.headland_m

    @property
    def lifted_m(self) -> float:
        """Distance driven with the drill lifted, including trips to the seed."""
        return self.turn_m + self.transfer_m

    @property
    def field_s(self) -> float:
        """Time between entering and leaving the fields, all of it."""
        return spent_s(self.time_parts)
